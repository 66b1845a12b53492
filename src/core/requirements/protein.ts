import { nrc2000RetainedEnergy } from './gain.js';
import { microbialEfficiencyNeeded } from './microbial-efficiency.js';
import type { RequirementEdition } from './requirement-set.js';

/**
 * Metabolizable protein for maintenance, g/d: 3.8 · SBW^0.75. Source: NRC 2000, after Wilkerson et al. 1993 (from
 * memory); NASEM 2016 keeps it.
 */
export function nrc2000MaintenanceProtein({ shrunkBodyWeightKg }: { shrunkBodyWeightKg: number }): {
  metabolizableProteinGPerDay: number;
} {
  return { metabolizableProteinGPerDay: 3.8 * shrunkBodyWeightKg ** 0.75 };
}

/**
 * Efficiency of MP for gain: 0.834 − 0.00114·EQSBW up to 300 kg, 0.492 above (the two meet at 300 kg). Source: NRC
 * 2000 (from memory).
 */
export function nrc2000GainProteinEfficiency({
  equivalentShrunkBodyWeightKg,
}: {
  equivalentShrunkBodyWeightKg: number;
}): { efficiency: number } {
  return { efficiency: equivalentShrunkBodyWeightKg <= 300 ? 0.834 - 0.00114 * equivalentShrunkBodyWeightKg : 0.492 };
}

/**
 * Protein for gain, g/d: net = SWG · (268 − 29.4·RE/SWG) = 268·SWG − 29.4·RE (never below 0), MP = net
 * / efficiency.
 * Source: NRC 2000 (from memory; the table of growing cattle of 533 kg is reproduced).
 */
export function nrc2000GainProtein({
  equivalentShrunkBodyWeightKg,
  shrunkGainKgPerDay,
  retainedEnergyMcalPerDay,
}: {
  equivalentShrunkBodyWeightKg: number;
  shrunkGainKgPerDay: number;
  retainedEnergyMcalPerDay: number;
}): { metabolizableProteinGPerDay: number; netProteinGPerDay: number; efficiency: number } {
  const netProteinGPerDay = Math.max(0, 268 * shrunkGainKgPerDay - 29.4 * retainedEnergyMcalPerDay);
  const { efficiency } = nrc2000GainProteinEfficiency({ equivalentShrunkBodyWeightKg });
  return { netProteinGPerDay, metabolizableProteinGPerDay: netProteinGPerDay / efficiency, efficiency };
}

/** The gain beyond which retained protein would fall again in the NRC equations: no real gain comes near it. */
const GAIN_CEILING_KG_PER_DAY = 4;

/**
 * Gain that the metabolizable protein left over allows, kg/d: the SWG whose net protein (268·SWG − 29.4·RE(SWG))
 * equals MP left · efficiency. RE moves with the gain, so the equation is solved by bisection; above the ceiling of 4
 * kg/d it stops. Source: NRC 2000, equations of `nrc2000GainProtein` inverted.
 */
export function proteinAllowableGain({
  equivalentShrunkBodyWeightKg,
  metabolizableProteinForGainGPerDay,
}: {
  equivalentShrunkBodyWeightKg: number;
  /** MP supply less maintenance, pregnancy and milk; zero or negative allows no gain. */
  metabolizableProteinForGainGPerDay: number;
}): { shrunkGainKgPerDay: number; netProteinGPerDay: number; efficiency: number } {
  const { efficiency } = nrc2000GainProteinEfficiency({ equivalentShrunkBodyWeightKg });
  const netProteinGPerDay = metabolizableProteinForGainGPerDay * efficiency;
  if (!(netProteinGPerDay > 0)) return { shrunkGainKgPerDay: 0, netProteinGPerDay, efficiency };
  const retained = (shrunkGainKgPerDay: number) =>
    268 * shrunkGainKgPerDay -
    29.4 * nrc2000RetainedEnergy({ equivalentShrunkBodyWeightKg, shrunkGainKgPerDay }).retainedEnergyMcalPerDay;
  let low = 0;
  let high = 0;
  // Net protein rises with gain until energy per kg of gain outgrows it; walk up to the first bracket.
  for (let step = 1; step <= 400; step += 1) {
    high = (GAIN_CEILING_KG_PER_DAY * step) / 400;
    if (retained(high) >= netProteinGPerDay) break;
    if (step === 400 || retained(high) < retained(low))
      return { shrunkGainKgPerDay: high, netProteinGPerDay, efficiency };
    low = high;
  }
  for (let turn = 0; turn < 100; turn += 1) {
    const middle = (low + high) / 2;
    if (retained(middle) < netProteinGPerDay) low = middle;
    else high = middle;
  }
  return { shrunkGainKgPerDay: (low + high) / 2, netProteinGPerDay, efficiency };
}

/** CP need approximated as MP / 0.67. Source: University of Arkansas MP391 (tables 4 to 12, notes). */
const METABOLIZABLE_SHARE_OF_CRUDE_PROTEIN = 0.67;

/** See `METABOLIZABLE_SHARE_OF_CRUDE_PROTEIN`. Any mass unit. */
export function crudeProteinFromMetabolizable({ metabolizableProtein }: { metabolizableProtein: number }): {
  crudeProtein: number;
} {
  return { crudeProtein: metabolizableProtein / METABOLIZABLE_SHARE_OF_CRUDE_PROTEIN };
}

/** Fat of the diet, % of DM, from which the 2016 equation uses fat-free TDN. Source: NASEM 2016 (from memory). */
const FAT_THRESHOLD_PERCENT = 3.9;

/**
 * Bacterial crude protein, g/d. NRC 2000: 0.13 · TDN intake (g), lowered by 2.2 % for each point of effective NDF
 * below 20 % of DM (the slope from memory). NASEM 2016: 0.087·TDN intake (g) + 42.73 up to 3.9 % fat, else
 * 0.096·fat-free TDN intake (g) + 53.33; fat-free TDN = TDN − 2.25·fat. A smaller degradable supply limits it. Iowa
 * State (ASL R3133, 2017) found the 2016 equation to feed well only with the older efficiency on forage of 51.5 to 64 %
 * TDN: the edition is a choice, and a report names it. Sources: NRC 2000 chapter 2; Galyean & Tedeschi 2014, J. Anim.
 * Sci. 92:4451, adopted by NASEM 2016 (from memory).
 *
 * Degradable protein needed: in the 2016 system the bacterial protein; in that of 2000 less on diets of low
 * digestibility (`microbialEfficiencyNeeded`). More than that still makes more bacterial protein, up to what the energy
 * allows.
 */
export function bacterialProtein({
  edition,
  dryMatterIntakeKgPerDay,
  totalDigestibleNutrientsPercent,
  fatPercent,
  effectiveFiberPercent = 20,
  degradableProteinSupplyGPerDay,
}: {
  edition: RequirementEdition;
  dryMatterIntakeKgPerDay: number;
  totalDigestibleNutrientsPercent: number;
  fatPercent?: number;
  effectiveFiberPercent?: number;
  /** Without it the energy of the diet alone decides. */
  degradableProteinSupplyGPerDay?: number;
}): {
  bacterialProteinGPerDay: number;
  energyAllowedGPerDay: number;
  degradableProteinNeededGPerDay: number;
  limitedBy: 'energy' | 'degradable-protein';
  equation: 'nrc2000' | 'galyean-tedeschi-2014-tdn' | 'galyean-tedeschi-2014-fat-free';
} {
  const tdnG = dryMatterIntakeKgPerDay * totalDigestibleNutrientsPercent * 10;
  let energyAllowedGPerDay: number;
  let equation: 'nrc2000' | 'galyean-tedeschi-2014-tdn' | 'galyean-tedeschi-2014-fat-free';
  if (edition === 'NRC2000') {
    energyAllowedGPerDay = 0.13 * tdnG * (1 - 0.022 * Math.max(0, 20 - effectiveFiberPercent));
    equation = 'nrc2000';
  } else if (fatPercent !== undefined && fatPercent >= FAT_THRESHOLD_PERCENT) {
    energyAllowedGPerDay = 0.096 * (tdnG - 2.25 * dryMatterIntakeKgPerDay * fatPercent * 10) + 53.33;
    equation = 'galyean-tedeschi-2014-fat-free';
  } else {
    energyAllowedGPerDay = 0.087 * tdnG + 42.73;
    equation = 'galyean-tedeschi-2014-tdn';
  }
  const short = degradableProteinSupplyGPerDay !== undefined && degradableProteinSupplyGPerDay < energyAllowedGPerDay;
  return {
    bacterialProteinGPerDay: short ? degradableProteinSupplyGPerDay : energyAllowedGPerDay,
    energyAllowedGPerDay,
    degradableProteinNeededGPerDay:
      edition === 'NRC2000'
        ? Math.min(
            energyAllowedGPerDay,
            microbialEfficiencyNeeded({ totalDigestibleNutrientsPercent }).efficiency * tdnG,
          )
        : energyAllowedGPerDay,
    limitedBy: short ? 'degradable-protein' : 'energy',
    equation,
  };
}

/**
 * MP supply, g/d: 0.64 of bacterial protein (80 % true protein, 80 % digested) and 0.80 of undegraded protein. Source:
 * NRC 2000 (from memory).
 */
export function metabolizableProteinSupply({
  bacterialProteinGPerDay,
  undegradedProteinGPerDay,
}: {
  bacterialProteinGPerDay: number;
  undegradedProteinGPerDay: number;
}): { metabolizableProteinGPerDay: number; fromBacteriaGPerDay: number; fromUndegradedGPerDay: number } {
  const fromBacteriaGPerDay = 0.64 * bacterialProteinGPerDay;
  const fromUndegradedGPerDay = 0.8 * undegradedProteinGPerDay;
  return {
    metabolizableProteinGPerDay: fromBacteriaGPerDay + fromUndegradedGPerDay,
    fromBacteriaGPerDay,
    fromUndegradedGPerDay,
  };
}
