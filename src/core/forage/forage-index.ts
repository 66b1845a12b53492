/**
 * Digestible dry matter, % of DM: 88.9 − 0.779·ADF. Source: Rohweder, Barnes & Jorgensen 1978, J. Anim. Sci.
 * 47:747-759; as taught by Virginia Cooperative Extension (Stallings 2006).
 */
function rohweder1978DigestibleDryMatter({ acidDetergentFiberPercent }: { acidDetergentFiberPercent: number }): {
  digestibleDryMatterPercent: number;
} {
  return { digestibleDryMatterPercent: 88.9 - 0.779 * acidDetergentFiberPercent };
}

/**
 * Dry matter intake of a full-feeding animal, % of body weight: 120/NDF.
 * Source: Rohweder, Barnes & Jorgensen 1978.
 * @throws RangeError if NDF is not positive.
 */
function rohweder1978DryMatterIntake({ neutralDetergentFiberPercent }: { neutralDetergentFiberPercent: number }): {
  dryMatterIntakePercentOfBodyWeight: number;
} {
  if (!(neutralDetergentFiberPercent > 0)) throw new RangeError('NDF must be above 0');
  return { dryMatterIntakePercentOfBodyWeight: 120 / neutralDetergentFiberPercent };
}

/**
 * Relative feed value: DDM · DMI / 1.29; full-bloom alfalfa (ADF 41, NDF 53) is about 100. Fibers in % of DM.
 * The published tables often round DDM and DMI before multiplying (29/36 is printed as 170, the full figure is 171.3):
 * round only at the end.
 * Source: Rohweder, Barnes & Jorgensen 1978.
 */
export function rohweder1978RelativeFeedValue(fiber: {
  acidDetergentFiberPercent: number;
  neutralDetergentFiberPercent: number;
}): {
  relativeFeedValue: number;
  digestibleDryMatterPercent: number;
  dryMatterIntakePercentOfBodyWeight: number;
} {
  const { digestibleDryMatterPercent } = rohweder1978DigestibleDryMatter(fiber);
  const { dryMatterIntakePercentOfBodyWeight } = rohweder1978DryMatterIntake(fiber);
  return {
    relativeFeedValue: (digestibleDryMatterPercent * dryMatterIntakePercentOfBodyWeight) / 1.29,
    digestibleDryMatterPercent,
    dryMatterIntakePercentOfBodyWeight,
  };
}

/**
 * Relative forage quality: DMI (% of body weight) · TDN (% of DM) / 1.23.
 * Source: Moore & Undersander 2002, Proc. Florida Ruminant Nutrition Symposium; University of Wisconsin Extension.
 */
export function mooreUndersander2002RelativeForageQuality({
  dryMatterIntakePercentOfBodyWeight,
  totalDigestibleNutrientsPercent,
}: {
  dryMatterIntakePercentOfBodyWeight: number;
  totalDigestibleNutrientsPercent: number;
}): { relativeForageQuality: number } {
  return { relativeForageQuality: (dryMatterIntakePercentOfBodyWeight * totalDigestibleNutrientsPercent) / 1.23 };
}

/**
 * Intake of legumes and legume mixtures from fiber and its digestibility, % of body weight:
 * 120/NDF + (NDFD48 − 45)·0.374/1350·100. Intake of cool- and warm-season grasses:
 * −2.318 + 0.442·CP − 0.0100·CP² − 0.0638·TDN + 0.000922·TDN² + 0.180·ADF − 0.00196·ADF²
 * − 0.00529·CP·ADF.
 * Source: Moore & Undersander 2002 (coefficients from memory).
 */
export function mooreUndersander2002LegumeIntake({
  neutralDetergentFiberPercent,
  fiberDigestibility48hPercentOfNdf,
}: {
  neutralDetergentFiberPercent: number;
  fiberDigestibility48hPercentOfNdf: number;
}): { dryMatterIntakePercentOfBodyWeight: number } {
  if (!(neutralDetergentFiberPercent > 0)) throw new RangeError('NDF must be above 0');
  return {
    dryMatterIntakePercentOfBodyWeight:
      120 / neutralDetergentFiberPercent + ((fiberDigestibility48hPercentOfNdf - 45) * 0.374 * 100) / 1350,
  };
}

/** See `mooreUndersander2002LegumeIntake` for equation and source. All inputs in % of DM. */
export function mooreUndersander2002GrassIntake({
  crudeProteinPercent: cp,
  totalDigestibleNutrientsPercent: tdn,
  acidDetergentFiberPercent: adf,
}: {
  crudeProteinPercent: number;
  totalDigestibleNutrientsPercent: number;
  acidDetergentFiberPercent: number;
}): { dryMatterIntakePercentOfBodyWeight: number } {
  return {
    dryMatterIntakePercentOfBodyWeight:
      -2.318 +
      0.442 * cp -
      0.01 * cp * cp -
      0.0638 * tdn +
      0.000922 * tdn * tdn +
      0.18 * adf -
      0.00196 * adf * adf -
      0.00529 * cp * adf,
  };
}
