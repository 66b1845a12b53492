/** Week of peak milk of a suckled beef cow. Source: NRC 2000 p. 45 (confirmed). */
export const PEAK_WEEK = 8.5;
/**
 * Typical beef milk. Source: NRC 2000 pp. 45-46 (SNF mean 8.31 confirmed; fat 4.0 and protein 3.4 of the tables from
 * memory).
 */
export const TYPICAL_MILK = { fatPercent: 4, solidsNotFatPercent: 8.31, proteinPercent: 3.4 } as const;
/**
 * Share of mature milk by age of cow, years. Source: NRC 2000 p. 46 (0.74 stands in Arkansas MP391 2018, Table 5; 0.88
 * from memory).
 */
export const MILK_SHARE_BY_AGE = { two: 0.74, three: 0.88, mature: 1 } as const;

/**
 * Milk of the day, kg/d, from the peak: n / (a·exp(k·n)), n week of lactation, k = 1/8.5, a = 1/(peak·k·e).
 * Source: NRC 2000 p. 45, after Jenkins & Ferrell 1984 (form and week of peak confirmed).
 * @throws RangeError on a negative week.
 */
export function nrc2000MilkYield({
  peakMilkKgPerDay,
  weekOfLactation,
  peakWeek = PEAK_WEEK,
}: {
  peakMilkKgPerDay: number;
  weekOfLactation: number;
  peakWeek?: number;
}): { milkKgPerDay: number; k: number; a: number } {
  if (!(weekOfLactation >= 0)) throw new RangeError('The week of lactation cannot be negative');
  const k = 1 / peakWeek;
  // At a peak of zero the constant a would be infinite; the milk is simply zero.
  const a = peakMilkKgPerDay > 0 ? 1 / (peakMilkKgPerDay * k * Math.E) : Infinity;
  return { milkKgPerDay: weekOfLactation / (a * Math.exp(k * weekOfLactation)), k, a };
}

/**
 * Energy of milk, Mcal/kg: 0.092·fat + 0.049·SNF − 0.0569 (percentages). It counts 1:1 as NEm.
 * Source: NRC 2000 p. 45, after Tyrrell & Reid 1965 (coefficients from memory, the 1:1 rule confirmed).
 */
export function nrc2000MilkEnergy({
  fatPercent,
  solidsNotFatPercent,
}: {
  fatPercent: number;
  solidsNotFatPercent: number;
}): {
  milkEnergyMcalPerKg: number;
} {
  return { milkEnergyMcalPerKg: 0.092 * fatPercent + 0.049 * solidsNotFatPercent - 0.0569 };
}

/** Metabolizable protein for milk, g/d: milk protein / 0.65. Source: NRC 2000 (from memory). */
export function nrc2000LactationProtein({
  milkKgPerDay,
  proteinPercent,
}: {
  milkKgPerDay: number;
  proteinPercent: number;
}): {
  metabolizableProteinGPerDay: number;
  netProteinGPerDay: number;
} {
  const netProteinGPerDay = milkKgPerDay * proteinPercent * 10;
  return { netProteinGPerDay, metabolizableProteinGPerDay: netProteinGPerDay / 0.65 };
}
