const BELOW_65 =
  'Patterson, Adams, Klopfenstein & Lardy 2006, Professional Animal Scientist 22:307 (adjusted below 65 % of TDN; ' +
  'the figure from memory)';

/**
 * Degradable protein that the microbes of the rumen need, g per 100 g of TDN, by TDN of the diet; straight lines
 * between, constant outside. NRC 2000, chapter 2 (p. 17): 13 is a good generalization but does not fit all diets;
 * where digestibility is low, slow passage lowers it. With grass hay of 50 % TDN whose protein is two thirds
 * degradable, 9 g is what 7 % of crude protein gives: the rule of the University of Arizona, South Dakota State and
 * Nebraska extension for the microbes that digest fiber.
 */
export const MICROBIAL_EFFICIENCY = [
  { totalDigestibleNutrientsPercent: 46.25, gramsPer100: 8, source: `the lowest in use; ${BELOW_65}` },
  {
    totalDigestibleNutrientsPercent: 50,
    gramsPer100: 9,
    source: `University of Arizona Cooperative Extension (Sprinkle), Protein supplementation: 7 % protein; ${BELOW_65}`,
  },
  { totalDigestibleNutrientsPercent: 65, gramsPer100: 13, source: 'NRC 2000, chapter 2; Patterson et al. 2006' },
] as const;
