import { plain } from '../cautions/caution.js';
import { PROTEIN_EQUIVALENT_OF_UREA } from '../nutrients/nutrients.data.js';
import { PROTEIN_UNIT } from '../nutrients/amount-shown.js';
import { quantity, sentence } from '../units/wording.js';
import { CAUTIONS } from '../cautions/cautions.data.js';
import { valueOf } from '../judge/ration-supply.js';
import { type Candidate, type Matrix, type RationRow, row } from './ration-row.js';
import { isPlainSalt } from './plain-salt.js';
import { INSIDE, SAFE_LIMITS } from './safe-limits.data.js';

/** What the judge warns of, as limits of a mixture. `null`: no such limit. */
export interface CautionLimits {
  /** Largest share of the dry matter, by lot id, of hays whose nitrate the guide allows in part; they add up. */
  readonly nitrateShares: ReadonlyMap<string, number>;
  /** Starchy grain, kg as fed a day. */
  readonly grainKg: number | null;
  /** Long-stem NDF at least, % of dry matter; asked where grain may be fed. */
  readonly longStemFiberPercent: number | null;
  /** Crude protein from urea and similar, as a share of all crude protein. */
  readonly nonProteinNitrogenShare: number | null;
  /** Urea and what amounts to it, % of dry matter. */
  readonly ureaPercent: number | null;
  /** The same, kg a day. */
  readonly ureaKg: number | null;
  /** % of dry matter. */
  readonly fatPercent: number | null;
  /** Salt and mineral feeds, share of dry matter. */
  readonly mineralFeedShare: number | null;
  readonly strawShare: number | null;
  /** Crude protein at least, % of dry matter: what the rumen needs. */
  readonly crudeProteinPercent: number | null;
  /** Forage at least, share of dry matter: the condition of the higher sulfur maximum. */
  readonly forageShare: number | null;
}

/**
 * The judge's cautions as rows. An unknown value counts as zero, as it does there: it raises no caution by itself,
 * and lots that may not be fed untested are left out beforehand.
 */
export function cautionRows(limits: CautionLimits, matrix: Matrix): RationRow[] {
  return [
    ...nitrateRows(limits, matrix),
    ...grainRows(limits, matrix),
    ...shareRows(limits, matrix),
    ...ureaRows(limits, matrix),
    ...takenRows(matrix),
  ];
}

/** By amount, beside its share of the crude protein. */
function ureaRows({ ureaPercent, ureaKg }: CautionLimits, { candidates, eaten }: Matrix): RationRow[] {
  const of = 'urea';
  const ureaPerKg = candidates.map(
    ({ lot }, index) => ((lot.nonProteinNitrogenPercent ?? 0) / 100 / PROTEIN_EQUIVALENT_OF_UREA) * (eaten[index] ?? 0),
  );
  const rows: RationRow[] = [];
  if (ureaPercent !== null) {
    const words = `urea and similar at most ${plain(ureaPercent)} % of the dry matter`;
    const perKg = ureaPerKg.map((urea, index) => urea - (ureaPercent / 100) * (eaten[index] ?? 0));
    rows.push(row('urea-of-dry-matter', { of, words }, 'kg', { upper: 0 }, perKg));
  }
  if (ureaKg !== null) {
    const words = sentence`urea and similar at most ${quantity(ureaKg, 'kg', 3)} a head a day`;
    rows.push(row('urea-a-day', { of, words }, 'kg', { upper: ureaKg }, ureaPerKg));
  }
  return rows;
}

/** Salt and mineral are taken by the ounce, however cheap they are. What is asked in a fixed amount is fed in that. */
function takenRows({ candidates }: Matrix): RationRow[] {
  const mostSaltKg = CAUTIONS['mineral-by-the-pound'].thresholds.saltKg.value * (1 - INSIDE);
  const chosen = (one: Candidate): boolean => one.lot.feedGroup === 'mineral' && one.fixedKg === undefined;
  const atMost = (key: string, of: string, upper: number, counts: (one: Candidate) => boolean): RationRow[] => {
    if (!candidates.some(counts)) return [];
    const why = 'unless a fixed amount is asked for';
    const most = quantity(upper, 'kg', 3);
    const words = sentence`${of} no more than cattle are meant to take, ${most} a head a day, ${why}`;
    return [
      row(
        key,
        { of, words },
        'kg',
        { upper },
        candidates.map((one) => (counts(one) ? 1 : 0)),
      ),
    ];
  };
  return [
    ...atMost('salt-taken', 'salt', mostSaltKg, (one) => chosen(one) && isPlainSalt(one.lot)),
    ...atMost('minerals-taken', 'salt and minerals', SAFE_LIMITS.mostMineralKg.value, chosen),
  ];
}

/** One row for each share that the guide allows: the hays held to it and to less, all together. */
function nitrateRows({ nitrateShares }: CautionLimits, { candidates, eaten }: Matrix): RationRow[] {
  const held = [...new Map(candidates.map(({ lot }) => [lot.lotId, lot])).values()].flatMap((lot) => {
    const share = nitrateShares.get(lot.lotId);
    return share === undefined ? [] : [{ lot, share }];
  });
  const shares = [...new Set(held.map((one) => one.share))];
  return shares.map((share) => {
    const lots = held.filter((one) => one.share <= share).sort((a, b) => b.share - a.share);
    const names = lots.map(({ lot }) => lot.lotName).join(', ');
    const words =
      lots.length === 1
        ? `${names} at most ${plain(share * 100)} % of the dry matter, for its nitrate`
        : `${names} together at most ${plain(share * 100)} % of the dry matter, for their nitrate`;
    const ids = new Set(lots.map(({ lot }) => lot.lotId));
    const perKg = candidates.map(({ lot }, index) => ((ids.has(lot.lotId) ? 1 : 0) - share) * (eaten[index] ?? 0));
    return row(`nitrate-of-${lots[0]?.lot.lotId}`, { of: names, words }, 'kg', { upper: 0 }, perKg);
  });
}

function grainRows({ grainKg, longStemFiberPercent }: CautionLimits, matrix: Matrix): RationRow[] {
  const { candidates, eaten } = matrix;
  const rows: RationRow[] = [];
  if (grainKg !== null) {
    // As fed and as laid, as the caution counts it.
    const perKg = candidates.map(({ lot }) => (lot.isStarchyGrain ? 1 : 0));
    const words = sentence`starchy grain at most ${quantity(grainKg, 'kg', 2)} a day`;
    rows.push(row('grain', { of: 'starchy grain', words }, 'kg', { upper: grainKg }, perKg));
  }
  if (longStemFiberPercent !== null) {
    const perKg = candidates.map(
      ({ lot }, index) =>
        (((lot.isLongStem ? (valueOf({ lot, field: 'neutralDetergentFiberPercent' }).value ?? 0) : 0) -
          longStemFiberPercent) /
          100) *
        (eaten[index] ?? 0),
    );
    const words = `fiber of long-stem forage at least ${plain(longStemFiberPercent)} % of the dry matter`;
    rows.push(row('long-stem-fiber', { of: 'fiber of long-stem forage', words }, 'kg', { lower: 0 }, perKg));
  }
  return rows;
}

function shareRows(limits: CautionLimits, { candidates, eaten, content }: Matrix): RationRow[] {
  const { fatPercent, nonProteinNitrogenShare, mineralFeedShare, strawShare, crudeProteinPercent, forageShare } =
    limits;
  const less = (values: readonly number[], limit: number) =>
    values.map((value, index) => value - limit * (eaten[index] ?? 0));
  const kilogramsWhere = (test: (lot: Matrix['candidates'][number]['lot']) => boolean) =>
    candidates.map(({ lot }, index) => (test(lot) ? (eaten[index] ?? 0) : 0));
  const rows: RationRow[] = [];
  if (fatPercent !== null) {
    const words = `fat at most ${plain(fatPercent)} % of the dry matter`;
    const perKg = less(content('fatPercent', 0.01), fatPercent / 100);
    rows.push(row('fat', { of: 'fat', words }, 'kg', { upper: 0 }, perKg));
  }
  if (nonProteinNitrogenShare !== null) {
    const protein = content('crudeProteinPercent', 10);
    const perKg = candidates.map(
      ({ lot }, index) =>
        (lot.nonProteinNitrogenPercent ?? 0) * 10 * (eaten[index] ?? 0) -
        nonProteinNitrogenShare * (protein[index] ?? 0),
    );
    const words = `urea and similar at most ${plain(nonProteinNitrogenShare * 100, 0)} % of the crude protein`;
    rows.push(row('urea', { of: 'protein from urea', words }, PROTEIN_UNIT, { upper: 0 }, perKg));
  }
  if (mineralFeedShare !== null) {
    const words = `salt and minerals at most ${plain(mineralFeedShare * 100)} % of the dry matter`;
    const perKg = less(
      kilogramsWhere((lot) => lot.feedGroup === 'mineral'),
      mineralFeedShare,
    );
    rows.push(row('mineral-feeds', { of: 'salt and minerals', words }, 'kg', { upper: 0 }, perKg));
  }
  if (strawShare !== null) {
    const words = `straw at most ${plain(strawShare * 100)} % of the dry matter while protein is low`;
    const perKg = less(
      kilogramsWhere((lot) => lot.isStraw),
      strawShare,
    );
    rows.push(row('straw', { of: 'straw', words }, 'kg', { upper: 0 }, perKg));
  }
  if (crudeProteinPercent !== null) {
    const words = `crude protein at least ${plain(crudeProteinPercent)} % of the dry matter, for the rumen`;
    const perKg = less(content('crudeProteinPercent', 10), crudeProteinPercent * 10);
    rows.push(row('rumen-protein', { of: 'crude protein', words }, PROTEIN_UNIT, { lower: 0 }, perKg));
  }
  if (forageShare !== null) {
    const words = `forage at least ${plain(forageShare * 100)} % of the dry matter`;
    const perKg = less(
      kilogramsWhere((lot) => lot.isForage),
      forageShare,
    );
    rows.push(row('forage', { of: 'forage', words }, 'kg', { lower: 0 }, perKg));
  }
  return rows;
}
