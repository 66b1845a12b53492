import {
  garrett1980NetEnergyGain,
  garrett1980NetEnergyMaintenance,
  METABOLIZABLE_SHARE_OF_DIGESTIBLE_ENERGY,
  DIGESTIBLE_ENERGY_PER_KG_TDN_MCAL,
  metabolizableEnergyFromNetEnergyMaintenance,
  nrc2000EnergyFromTdn,
} from '../forage/energy-from-tdn.js';
import type { DietContext } from './requirement-set.js';

/** One diet, all its energy values. Mcal/kg of DM, TDN in % of DM. */
export interface DietEnergy {
  readonly metabolizableEnergyMcalPerKg: number;
  readonly netEnergyMaintenanceMcalPerKg: number;
  readonly netEnergyGainMcalPerKg: number;
  readonly totalDigestibleNutrientsPercent: number;
  /** km = NEm/ME. */
  readonly efficiencyOfMaintenance: number;
}

function tdnFromMe(me: number): number {
  return (me / METABOLIZABLE_SHARE_OF_DIGESTIBLE_ENERGY / DIGESTIBLE_ENERGY_PER_KG_TDN_MCAL) * 100;
}

/** The whole set from NEm alone, by inverting the NRC cubics. */
export function dietEnergyFromNetEnergyMaintenance({
  netEnergyMaintenanceMcalPerKg,
}: {
  netEnergyMaintenanceMcalPerKg: number;
}): DietEnergy {
  const { metabolizableEnergyMcalPerKg } = metabolizableEnergyFromNetEnergyMaintenance({
    netEnergyMaintenanceMcalPerKg,
  });
  return {
    metabolizableEnergyMcalPerKg,
    netEnergyMaintenanceMcalPerKg,
    ...garrett1980NetEnergyGain({ metabolizableEnergyMcalPerKg }),
    totalDigestibleNutrientsPercent: tdnFromMe(metabolizableEnergyMcalPerKg),
    efficiencyOfMaintenance: netEnergyMaintenanceMcalPerKg / metabolizableEnergyMcalPerKg,
  };
}

/**
 * The energy values of a diet from whichever were given: NEm first, then ME, then TDN; given values are kept, the
 * others derived. `undefined` if none was given.
 */
export function dietEnergy(diet: DietContext | undefined): DietEnergy | undefined {
  if (diet === undefined) return undefined;
  const {
    netEnergyMaintenanceMcalPerKg: nem,
    metabolizableEnergyMcalPerKg: me,
    totalDigestibleNutrientsPercent: tdn,
  } = diet;
  let base: DietEnergy | undefined;
  if (nem !== undefined) base = dietEnergyFromNetEnergyMaintenance({ netEnergyMaintenanceMcalPerKg: nem });
  else if (me !== undefined || tdn !== undefined) {
    const metabolizableEnergyMcalPerKg =
      me ?? nrc2000EnergyFromTdn({ totalDigestibleNutrientsPercent: tdn ?? 0 }).metabolizableEnergyMcalPerKg;
    const { netEnergyMaintenanceMcalPerKg } = garrett1980NetEnergyMaintenance({ metabolizableEnergyMcalPerKg });
    base = {
      metabolizableEnergyMcalPerKg,
      netEnergyMaintenanceMcalPerKg,
      ...garrett1980NetEnergyGain({ metabolizableEnergyMcalPerKg }),
      totalDigestibleNutrientsPercent: tdnFromMe(metabolizableEnergyMcalPerKg),
      efficiencyOfMaintenance: netEnergyMaintenanceMcalPerKg / metabolizableEnergyMcalPerKg,
    };
  }
  if (base === undefined) return undefined;
  const metabolizableEnergyMcalPerKg = me ?? base.metabolizableEnergyMcalPerKg;
  return {
    ...base,
    metabolizableEnergyMcalPerKg,
    totalDigestibleNutrientsPercent: tdn ?? base.totalDigestibleNutrientsPercent,
    netEnergyGainMcalPerKg: diet.netEnergyGainMcalPerKg ?? base.netEnergyGainMcalPerKg,
    efficiencyOfMaintenance: base.netEnergyMaintenanceMcalPerKg / metabolizableEnergyMcalPerKg,
  };
}
