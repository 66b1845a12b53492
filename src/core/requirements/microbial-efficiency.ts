import { MICROBIAL_EFFICIENCY } from './microbial-efficiency.data.js';

/**
 * Degradable protein that the microbes need, g per g of TDN, by TDN of the diet. Sources: `MICROBIAL_EFFICIENCY`.
 */
export function microbialEfficiencyNeeded({
  totalDigestibleNutrientsPercent: percent,
}: {
  totalDigestibleNutrientsPercent: number;
}): { efficiency: number } {
  const [lowest] = MICROBIAL_EFFICIENCY;
  let before: (typeof MICROBIAL_EFFICIENCY)[number] = lowest;
  for (const point of MICROBIAL_EFFICIENCY) {
    if (percent <= point.totalDigestibleNutrientsPercent) {
      const width = point.totalDigestibleNutrientsPercent - before.totalDigestibleNutrientsPercent;
      const part = width === 0 ? 1 : (percent - before.totalDigestibleNutrientsPercent) / width;
      return { efficiency: (before.gramsPer100 + part * (point.gramsPer100 - before.gramsPer100)) / 100 };
    }
    before = point;
  }
  return { efficiency: before.gramsPer100 / 100 };
}
