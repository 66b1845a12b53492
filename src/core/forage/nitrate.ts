/** Standard atomic masses, rounded. Source: IUPAC (from memory). */
const ATOMIC_MASS = { N: 14.007, O: 15.999, K: 39.098 } as const;
const MOLAR = {
  'NO3-N': ATOMIC_MASS.N,
  NO3: ATOMIC_MASS.N + 3 * ATOMIC_MASS.O,
  KNO3: ATOMIC_MASS.K + ATOMIC_MASS.N + 3 * ATOMIC_MASS.O,
} as const;

/** The three ways laboratories report nitrate. One unit of NO3-N is 4.43 of NO3 and 7.22 of KNO3. */
export const NITRATE_FORMS = ['NO3-N', 'NO3', 'KNO3'] as const;
export type NitrateForm = (typeof NITRATE_FORMS)[number];

/** The same nitrate expressed in another form; any concentration or mass unit. Source: atomic masses (IUPAC). */
export function convertNitrate({ value, from, to }: { value: number; from: NitrateForm; to: NitrateForm }): {
  value: number;
} {
  return { value: (value * MOLAR[to]) / MOLAR[from] };
}

interface NitratePart {
  readonly id: string;
  readonly dryMatterKg: number;
  /** mg of NO3-N per kg of DM; `undefined` when the lot was never tested. */
  readonly nitrateNitrogenPpm: number | undefined;
}

/**
 * Nitrate of a whole ration as NO3-N, mg/kg of DM: the mean of its parts weighted by dry matter. Water can be added as
 * grams. Untested parts count as zero in `ratioPpm` and are listed, with their share of the dry matter: the answer is
 * then a floor.
 * @throws RangeError if the ration has no dry matter or a part is negative.
 */
export function wholeRationNitrate({
  parts,
  nitrateNitrogenFromWaterG = 0,
}: {
  parts: readonly NitratePart[];
  nitrateNitrogenFromWaterG?: number;
}): {
  nitrateNitrogenPpm: number;
  nitrateNitrogenGPerDay: number;
  dryMatterKg: number;
  untested: readonly { readonly id: string; readonly share: number }[];
} {
  const dryMatterKg = parts.reduce((sum, part) => sum + part.dryMatterKg, 0);
  if (!(dryMatterKg > 0) || parts.some((part) => part.dryMatterKg < 0))
    throw new RangeError('A ration needs dry matter');
  const grams = parts.reduce(
    (sum, part) => sum + ((part.nitrateNitrogenPpm ?? 0) * part.dryMatterKg) / 1000,
    nitrateNitrogenFromWaterG,
  );
  return {
    nitrateNitrogenPpm: (grams * 1000) / dryMatterKg,
    nitrateNitrogenGPerDay: grams,
    dryMatterKg,
    untested: parts
      .filter((part) => part.nitrateNitrogenPpm === undefined)
      .map((part) => ({ id: part.id, share: part.dryMatterKg / dryMatterKg })),
  };
}
