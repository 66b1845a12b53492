interface FeedEnergy {
  readonly digestibleEnergyMcalPerKg: number;
  readonly metabolizableEnergyMcalPerKg: number;
  readonly netEnergyMaintenanceMcalPerKg: number;
  readonly netEnergyGainMcalPerKg: number;
}

/** Digestible energy of one kilogram of TDN, Mcal. Source: NRC 2000; 1 lb of TDN is 2000 kcal of DE. */
export const DIGESTIBLE_ENERGY_PER_KG_TDN_MCAL = 4.409;
/** ME as a share of DE. Source: NRC 2000. */
export const METABOLIZABLE_SHARE_OF_DIGESTIBLE_ENERGY = 0.82;

/** NEm = 1.37·ME − 0.138·ME² + 0.0105·ME³ − 1.12 (Mcal/kg DM). Source: Garrett 1980, in NRC 2000. */
export function garrett1980NetEnergyMaintenance({
  metabolizableEnergyMcalPerKg: me,
}: {
  metabolizableEnergyMcalPerKg: number;
}): {
  netEnergyMaintenanceMcalPerKg: number;
} {
  return { netEnergyMaintenanceMcalPerKg: 1.37 * me - 0.138 * me ** 2 + 0.0105 * me ** 3 - 1.12 };
}

/** NEg = 1.42·ME − 0.174·ME² + 0.0122·ME³ − 1.65 (Mcal/kg DM). Source: Garrett 1980, in NRC 2000. */
export function garrett1980NetEnergyGain({
  metabolizableEnergyMcalPerKg: me,
}: {
  metabolizableEnergyMcalPerKg: number;
}): {
  netEnergyGainMcalPerKg: number;
} {
  return { netEnergyGainMcalPerKg: 1.42 * me - 0.174 * me ** 2 + 0.0122 * me ** 3 - 1.65 };
}

/**
 * Energy of a feed from its TDN (% of DM): DE = 4.409·TDN, ME = 0.82·DE, then the two cubics. Mcal per kg of DM.
 * Source: NRC 2000 (equations held from memory; the km of 0.576 at ME 2.0 on p. 43 is reproduced).
 */
export function nrc2000EnergyFromTdn({
  totalDigestibleNutrientsPercent,
}: {
  totalDigestibleNutrientsPercent: number;
}): FeedEnergy {
  const digestibleEnergyMcalPerKg = (DIGESTIBLE_ENERGY_PER_KG_TDN_MCAL * totalDigestibleNutrientsPercent) / 100;
  const metabolizableEnergyMcalPerKg = METABOLIZABLE_SHARE_OF_DIGESTIBLE_ENERGY * digestibleEnergyMcalPerKg;
  return {
    digestibleEnergyMcalPerKg,
    metabolizableEnergyMcalPerKg,
    ...garrett1980NetEnergyMaintenance({ metabolizableEnergyMcalPerKg }),
    ...garrett1980NetEnergyGain({ metabolizableEnergyMcalPerKg }),
  };
}

/** NEg = 0.877·NEm − 0.41 (Mcal/kg DM). Source: Zinn & Shen 1998; confirmed in J. Anim. Sci. 2008, 86:2680. */
export function zinn1998NetEnergyGainFromMaintenance({
  netEnergyMaintenanceMcalPerKg,
}: {
  netEnergyMaintenanceMcalPerKg: number;
}): {
  netEnergyGainMcalPerKg: number;
} {
  return { netEnergyGainMcalPerKg: 0.877 * netEnergyMaintenanceMcalPerKg - 0.41 };
}

/**
 * The ME (Mcal/kg DM) at which the NEm cubic gives a value; the cubic rises everywhere, so there is exactly one.
 * Newton's method, converged to the last bits of a double.
 * @throws RangeError on a value that is not finite.
 */
export function metabolizableEnergyFromNetEnergyMaintenance({
  netEnergyMaintenanceMcalPerKg,
}: {
  netEnergyMaintenanceMcalPerKg: number;
}): {
  metabolizableEnergyMcalPerKg: number;
} {
  if (!Number.isFinite(netEnergyMaintenanceMcalPerKg)) throw new RangeError('NEm must be a finite number');
  let me = (netEnergyMaintenanceMcalPerKg + 0.6) / 0.9;
  for (let turn = 0; turn < 60; turn += 1) {
    const off =
      garrett1980NetEnergyMaintenance({ metabolizableEnergyMcalPerKg: me }).netEnergyMaintenanceMcalPerKg -
      netEnergyMaintenanceMcalPerKg;
    const slope = 1.37 - 0.276 * me + 0.0315 * me * me;
    const next = me - off / slope;
    if (Math.abs(next - me) <= 1e-15 * Math.max(1, Math.abs(me))) return { metabolizableEnergyMcalPerKg: next };
    me = next;
  }
  return { metabolizableEnergyMcalPerKg: me };
}
