import type { RequirementSet } from './requirement-set.js';

/** Energy of a diet, in its dry matter; `null`: not known. */
interface EnergyOfDiet {
  readonly netEnergyMaintenanceMcalPerKg: number | null;
  readonly netEnergyGainMcalPerKg: number | null;
  readonly totalDigestibleNutrientsPercent: number | null;
}

/**
 * The net energy needed, as TDN of this diet, kg/d: that of as much of it as holds the NEm and the NEg. `null` while
 * its energy is not known, or where it has none for a gain that is wanted.
 */
export function digestibleNeedKg(
  { netEnergyMaintenanceTotalMcalPerDay, netEnergyGainMcalPerDay }: RequirementSet,
  {
    netEnergyMaintenanceMcalPerKg: nem,
    netEnergyGainMcalPerKg: neg,
    totalDigestibleNutrientsPercent: tdn,
  }: EnergyOfDiet,
): number | null {
  if (tdn === null || nem === null || nem <= 0) return null;
  const forMaintenanceKg = netEnergyMaintenanceTotalMcalPerDay / nem;
  if (!(netEnergyGainMcalPerDay > 0)) return (forMaintenanceKg * tdn) / 100;
  if (neg === null || neg <= 0) return null;
  return ((forMaintenanceKg + netEnergyGainMcalPerDay / neg) * tdn) / 100;
}
