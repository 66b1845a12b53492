import type { DietContext } from '../requirements/requirement-set.js';
import type { RationSupply, Supply } from './ration-supply.js';

/** The diet of a ration, as the requirement takes it. Unknown parts are left out. */
export function dietContextOf(supply: RationSupply): DietContext {
  const { dryMatterKg } = supply;
  const percent = (each: Supply) => (each.value === null || dryMatterKg === 0 ? null : each.value / dryMatterKg);
  const protein = percent(supply.crudeProteinG);
  const fiber = percent(supply.neutralDetergentFiberKg);
  const fat = percent(supply.fatKg);
  return {
    ...(supply.netEnergyMaintenanceMcalPerKg === null
      ? {}
      : { netEnergyMaintenanceMcalPerKg: supply.netEnergyMaintenanceMcalPerKg }),
    ...(supply.netEnergyGainMcalPerKg === null ? {} : { netEnergyGainMcalPerKg: supply.netEnergyGainMcalPerKg }),
    ...(supply.totalDigestibleNutrientsPercent === null
      ? {}
      : { totalDigestibleNutrientsPercent: supply.totalDigestibleNutrientsPercent }),
    ...(fiber === null ? {} : { neutralDetergentFiberPercent: fiber * 100 }),
    ...(protein === null ? {} : { crudeProteinPercent: protein / 10 }),
    ...(fat === null ? {} : { fatPercent: fat * 100 }),
    ...(supply.minerals.sodium.atLeast > 0 ? { sodiumGPerDay: supply.minerals.sodium.atLeast } : {}),
    ...(dryMatterKg === 0 ? {} : { forageShare: supply.forageDryMatterKg / dryMatterKg }),
  };
}
