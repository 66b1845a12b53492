import { CAUTIONS } from '../cautions/cautions.data.js';
import type { LayerBasis, LayerRole } from '../laying/layer.js';
import { NUTRIENTS } from '../nutrients/nutrients.data.js';
import type { LeastCostMineral } from '../nutrients/nutrients.js';
import { bacterialProtein, metabolizableProteinSupply } from '../requirements/protein.js';
import type { RequirementSet } from '../requirements/requirement-set.js';
import type { RationField, RationLot } from './ration.js';
import { valueOf } from '../judge/ration-supply.js';

/** A lot that may be fed in a role: on hand, or a quote on offer. */
export interface Candidate {
  readonly lot: RationLot;
  readonly role: LayerRole;
  /** Needed for share bands by volume, kg as fed per m3. */
  readonly bulkDensityKgPerM3?: number;
  /** Of the lot, for the whole feeding period, kg as fed; `null` where as much as wanted can be bought. */
  readonly availableKg: number | null;
  /** Mean weight of a bale, kg as fed; `null` or absent where it is not baled or nobody knows. */
  readonly baleWeightKg?: number | null;
}

interface ShareBand {
  readonly role: LayerRole;
  readonly atLeast?: number;
  readonly atMost?: number;
}

/** What the least-cost ration has to keep. Requirements are asked per head per day. */
export interface RationLimits {
  readonly requirement: RequirementSet;
  readonly fullBodyWeightKg: number;
  /** Metabolizable protein needs the degradable share and TDN of every lot; crude protein needs only crude protein. */
  readonly proteinSystem: 'metabolizable' | 'crude';
  readonly minerals: readonly LeastCostMineral[];
  /** Cap on dry matter as a share of predicted intake; 1 if not given. `null` sets no cap. */
  readonly intakeCapShare?: number | null;
  readonly wastedShare?: number;
  readonly shareBands?: { readonly basis: LayerBasis; readonly bands: readonly ShareBand[] };
  readonly maxLegumeShare?: number;
  /** Of the whole ration, ppm NO3-N of dry matter. */
  readonly maxNitrateNitrogenPpm?: number;
  /** % of dry matter, from feed. */
  readonly maxSulfurPercent?: number;
  readonly minCalciumToPhosphorus?: number;
  /** Long-stem forage, kg of dry matter a day. */
  readonly minLongStemKg?: number;
  /** NDF that the animal can hold, % of full body weight a day. */
  readonly maxFiberPercentOfWeight?: number;
  readonly head: number;
  readonly days: number;
}

export interface RationRow {
  readonly key: string;
  /** The row in the trade's words. */
  readonly words: string;
  readonly unit: string;
  readonly lower: number | null;
  readonly upper: number | null;
  /** Per kg as fed of each candidate, in the order of the candidates; then per gram of bacterial protein. */
  readonly perKg: readonly number[];
  readonly perBacterialProteinG: number;
}

/** Composition fields without which a lot cannot stand in the rows asked for. */
export function fieldsNeeded(limits: RationLimits): readonly RationField[] {
  return [
    ...new Set<RationField>([
      'crudeProteinPercent',
      'netEnergyMaintenanceMcalPerKg',
      ...(limits.requirement.netEnergyGainMcalPerDay > 0 ? (['netEnergyGainMcalPerKg'] as const) : []),
      ...(limits.proteinSystem === 'metabolizable'
        ? (['degradableProteinPercentOfCrudeProtein', 'totalDigestibleNutrientsPercent'] as const)
        : []),
      ...limits.minerals.map((mineral) => NUTRIENTS[mineral].lab.field),
      ...(limits.minCalciumToPhosphorus === undefined ? [] : (['calciumPercent', 'phosphorusPercent'] as const)),
      ...(limits.maxNitrateNitrogenPpm === undefined ? [] : (['nitrateNitrogenPpm'] as const)),
      ...(limits.maxSulfurPercent === undefined ? [] : (['sulfurPercent'] as const)),
      ...(limits.maxFiberPercentOfWeight === undefined ? [] : (['neutralDetergentFiberPercent'] as const)),
    ]),
  ];
}

/**
 * The rows of the least-cost ration, per head per day. `feedForMaintenanceShare` is the share of the dry matter that
 * covers maintenance (1 where no gain is asked); with it fixed, both energy rows are linear: NEm·f ≥ need and
 * NEg·(1−f) ≥ need. Bacterial protein is a column of its own, held below what energy and what degradable protein
 * allow.
 */
export function rationRows({
  limits,
  candidates,
  feedForMaintenanceShare,
}: {
  readonly limits: RationLimits;
  readonly candidates: readonly Candidate[];
  readonly feedForMaintenanceShare: number;
}): RationRow[] {
  const { wastedShare = 0 } = limits;
  const eaten = candidates.map(({ lot }) => (lot.dryMatterPercent.value / 100) * (1 - wastedShare));
  const content = (field: RationField, factor: number) =>
    candidates.map(({ lot }, index) => (valueOf({ lot, field }).value ?? 0) * factor * (eaten[index] ?? 0));
  const matrix: Matrix = { candidates, eaten, content };
  return [
    ...intakeRows(limits, matrix),
    ...energyRows(limits, matrix, feedForMaintenanceShare),
    ...proteinRows(limits, matrix),
    ...mineralRows(limits, matrix),
    ...shareOfDryMatterRows(limits, matrix),
    ...structureRows(limits, matrix),
    ...shareRows(limits, candidates),
    ...balanceRows(limits, candidates),
  ];
}

/** What the candidates bring, in their order. */
interface Matrix {
  readonly candidates: readonly Candidate[];
  /** Dry matter eaten of a kilogram as fed. */
  readonly eaten: readonly number[];
  /** Content of that dry matter, times a factor to the unit of the row. */
  readonly content: (field: RationField, factor: number) => number[];
}

function row(
  key: string,
  words: string,
  unit: string,
  { lower, upper }: { readonly lower?: number; readonly upper?: number },
  perKg: readonly number[],
  perBacterialProteinG = 0,
): RationRow {
  return { key, words, unit, lower: lower ?? null, upper: upper ?? null, perKg, perBacterialProteinG };
}

function intakeRows({ requirement, intakeCapShare }: RationLimits, { eaten }: Matrix): RationRow[] {
  const cap = intakeCapShare === undefined ? 1 : intakeCapShare;
  if (cap === null) return [];
  const upper = requirement.dryMatterIntakeKgPerDay * cap;
  return [row('intake', 'dry matter that the animal will eat', 'kg', { upper }, eaten)];
}

function energyRows({ requirement }: RationLimits, { content }: Matrix, feedForMaintenanceShare: number): RationRow[] {
  const maintenance = row(
    'energy-maintenance',
    'net energy for maintenance, pregnancy and milk',
    'Mcal',
    { lower: requirement.netEnergyMaintenanceTotalMcalPerDay / feedForMaintenanceShare },
    content('netEnergyMaintenanceMcalPerKg', 1),
  );
  if (!(requirement.netEnergyGainMcalPerDay > 0)) return [maintenance];
  const gain = row(
    'energy-gain',
    'net energy for gain',
    'Mcal',
    { lower: requirement.netEnergyGainMcalPerDay / (1 - feedForMaintenanceShare) },
    content('netEnergyGainMcalPerKg', 1),
  );
  return [maintenance, gain];
}

function mineralRows(
  { minerals, requirement, minCalciumToPhosphorus }: RationLimits,
  { content }: Matrix,
): RationRow[] {
  const needs = minerals.map((mineral) => {
    const { name, lab, ration } = NUTRIENTS[mineral];
    const lower = requirement.minerals[mineral];
    return row(mineral, name.toLowerCase(), ration.unit, { lower }, content(lab.field, ration.perKg));
  });
  if (minCalciumToPhosphorus === undefined) return needs;
  const phosphorus = content('phosphorusPercent', 10);
  const ratio = row(
    'calcium-to-phosphorus',
    `calcium at least ${minCalciumToPhosphorus} times phosphorus`,
    'g',
    { lower: 0 },
    content('calciumPercent', 10).map((value, index) => value - minCalciumToPhosphorus * (phosphorus[index] ?? 0)),
  );
  return [...needs, ratio];
}

/** Nitrate, sulfur and legume: at most so much of the dry matter of the whole ration. */
function shareOfDryMatterRows(
  { maxNitrateNitrogenPpm, maxSulfurPercent, maxLegumeShare }: RationLimits,
  { candidates, eaten, content }: Matrix,
): RationRow[] {
  const atMost = (key: string, words: string, unit: string, limit: number, values: readonly number[]) =>
    row(
      key,
      words,
      unit,
      { upper: 0 },
      values.map((value, index) => value - limit * (eaten[index] ?? 0)),
    );
  const rows: RationRow[] = [];
  if (maxNitrateNitrogenPpm !== undefined) {
    const words = `nitrate nitrogen of the whole ration at most ${maxNitrateNitrogenPpm} ppm`;
    rows.push(atMost('nitrate', words, 'mg', maxNitrateNitrogenPpm, content('nitrateNitrogenPpm', 1)));
  }
  if (maxSulfurPercent !== undefined) {
    const words = `sulfur of the feed at most ${maxSulfurPercent} %`;
    rows.push(atMost('sulfur', words, '% · kg', maxSulfurPercent, content('sulfurPercent', 1)));
  }
  if (maxLegumeShare !== undefined) {
    const words = `legume at most ${maxLegumeShare * 100} % of the dry matter`;
    const legume = candidates.map(({ lot }, index) => (lot.legumeShare ?? 0) * (eaten[index] ?? 0));
    rows.push(atMost('legume', words, 'kg', maxLegumeShare, legume));
  }
  return rows;
}

function structureRows(
  { minLongStemKg, maxFiberPercentOfWeight, fullBodyWeightKg }: RationLimits,
  { candidates, eaten, content }: Matrix,
): RationRow[] {
  const rows: RationRow[] = [];
  if (minLongStemKg !== undefined) {
    const longStem = candidates.map(({ lot }, index) => (lot.isLongStem ? (eaten[index] ?? 0) : 0));
    rows.push(row('long-stem', 'long-stem forage', 'kg', { lower: minLongStemKg }, longStem));
  }
  if (maxFiberPercentOfWeight !== undefined) {
    const upper = (fullBodyWeightKg * maxFiberPercentOfWeight) / 100;
    const fiber = content('neutralDetergentFiberPercent', 0.01);
    rows.push(row('fiber', 'fibre that the animal can hold', 'kg', { upper }, fiber));
  }
  return rows;
}

function proteinRows({ requirement, proteinSystem }: RationLimits, { candidates, content }: Matrix): RationRow[] {
  const crude = content('crudeProteinPercent', 10);
  if (proteinSystem === 'crude')
    return [row('crude-protein', 'crude protein', 'g', { lower: requirement.crudeProteinGPerDay }, crude)];
  const degradableShare = candidates.map(
    ({ lot }) => (valueOf({ lot, field: 'degradableProteinPercentOfCrudeProtein' }).value ?? 0) / 100,
  );
  const degradable = crude.map((value, index) => value * (degradableShare[index] ?? 0));
  const undegraded = crude.map((value, index) => value * (1 - (degradableShare[index] ?? 0)));
  const tdnG = content('totalDigestibleNutrientsPercent', 10);
  // Bacterial protein is a straight line over TDN in both editions (below 3.9 % fat); its equation is asked for two
  // points of the line.
  const bacteriaAt = (dryMatterIntakeKgPerDay: number) =>
    bacterialProtein({ edition: requirement.edition, dryMatterIntakeKgPerDay, totalDigestibleNutrientsPercent: 100 })
      .energyAllowedGPerDay;
  const constantG = bacteriaAt(0);
  const slope = (bacteriaAt(1) - constantG) / 1000;
  const perBacterial = metabolizableProteinSupply({
    bacterialProteinGPerDay: 1,
    undegradedProteinGPerDay: 0,
  }).metabolizableProteinGPerDay;
  const perUndegraded = metabolizableProteinSupply({
    bacterialProteinGPerDay: 0,
    undegradedProteinGPerDay: 1,
  }).metabolizableProteinGPerDay;
  return [
    row(
      'metabolizable-protein',
      'metabolizable protein',
      'g',
      { lower: requirement.metabolizableProteinGPerDay },
      undegraded.map((value) => value * perUndegraded),
      perBacterial,
    ),
    row(
      'bacteria-by-energy',
      'bacterial protein that the energy allows',
      'g',
      { lower: -constantG },
      tdnG.map((value) => value * slope),
      -1,
    ),
    row('bacteria-by-protein', 'bacterial protein that degradable protein allows', 'g', { lower: 0 }, degradable, -1),
  ];
}

/** How much of a basis one kilogram as fed is worth. */
function worth({ lot, bulkDensityKgPerM3 }: Candidate, basis: LayerBasis): number {
  if (basis === 'as-fed') return 1;
  return basis === 'dry-matter' ? lot.dryMatterPercent.value / 100 : 1 / (bulkDensityKgPerM3 ?? Number.NaN);
}

function shareRows({ shareBands }: RationLimits, candidates: readonly Candidate[]): RationRow[] {
  if (shareBands === undefined) return [];
  const { basis, bands } = shareBands;
  return bands.flatMap(({ role, atLeast, atMost }) => {
    const minus = (share: number) =>
      candidates.map((candidate) => worth(candidate, basis) * ((candidate.role === role ? 1 : 0) - share));
    return [
      ...(atLeast === undefined
        ? []
        : [
            row(
              `share-at-least-${role}`,
              `${role} layer at least ${Number((atLeast * 100).toFixed(2))} % by ${basis}`,
              basis === 'volume' ? 'm3' : 'kg',
              { lower: 0 },
              minus(atLeast),
            ),
          ]),
      ...(atMost === undefined
        ? []
        : [
            row(
              `share-at-most-${role}`,
              `${role} layer at most ${Number((atMost * 100).toFixed(2))} % by ${basis}`,
              basis === 'volume' ? 'm3' : 'kg',
              { upper: 0 },
              minus(atMost),
            ),
          ]),
    ];
  });
}

function balanceRows({ head, days }: RationLimits, candidates: readonly Candidate[]): RationRow[] {
  const lots = [...new Map(candidates.map((candidate) => [candidate.lot.lotId, candidate])).values()];
  return lots.flatMap(({ lot, availableKg }) =>
    availableKg === null
      ? []
      : [
          row(
            `balance-${lot.lotId}`,
            `${lot.lotName} on hand for ${head} head and ${days} days`,
            'kg',
            { upper: availableKg / (head * days) },
            candidates.map((candidate) => (candidate.lot.lotId === lot.lotId ? 1 : 0)),
          ),
        ],
  );
}

/** The legume share and the sulfur maximum that the caution catalogue would warn of, as limits to start from. */
export const CAUTION_LIMITS = {
  maxLegumeShare: CAUTIONS['legume-bloat'].thresholds.legumeShare.value,
  minCalciumToPhosphorus: CAUTIONS['calcium-phosphorus-ratio'].thresholds.low.value,
} as const;
