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

export interface ShareBand {
  readonly role: LayerRole;
  readonly atLeast?: number;
  readonly atMost?: number;
}

/** What the least-cost ration has to keep. Requirements are asked of one head and day. */
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
 * covers maintenance (1 where no gain is asked); with it fixed, both energy rows are linear: NEm·f ≥ need and NEg·(1−f)
 * ≥ need. Bacterial protein is a column of its own, held below what energy and what degradable protein allow.
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
  const { requirement, wastedShare = 0 } = limits;
  const eaten = candidates.map(({ lot }) => (lot.dryMatterPercent.value / 100) * (1 - wastedShare));
  const content = (field: RationField, factor: number) =>
    candidates.map(({ lot }, index) => (valueOf({ lot, field }).value ?? 0) * factor * (eaten[index] ?? 0));
  const row = (
    key: string,
    words: string,
    unit: string,
    bounds: { readonly lower?: number; readonly upper?: number },
    perKg: readonly number[],
    perBacterialProteinG = 0,
  ): RationRow => ({
    key,
    words,
    unit,
    lower: bounds.lower ?? null,
    upper: bounds.upper ?? null,
    perKg,
    perBacterialProteinG,
  });
  const cap = limits.intakeCapShare === undefined ? 1 : limits.intakeCapShare;
  const rows: RationRow[] = [];
  if (cap !== null)
    rows.push(
      row(
        'intake',
        'dry matter that the animal will eat',
        'kg',
        { upper: requirement.dryMatterIntakeKgPerDay * cap },
        eaten,
      ),
    );
  rows.push(
    row(
      'energy-maintenance',
      'net energy for maintenance, pregnancy and milk',
      'Mcal',
      { lower: requirement.netEnergyMaintenanceTotalMcalPerDay / feedForMaintenanceShare },
      content('netEnergyMaintenanceMcalPerKg', 1),
    ),
  );
  if (requirement.netEnergyGainMcalPerDay > 0) {
    rows.push(
      row(
        'energy-gain',
        'net energy for gain',
        'Mcal',
        { lower: requirement.netEnergyGainMcalPerDay / (1 - feedForMaintenanceShare) },
        content('netEnergyGainMcalPerKg', 1),
      ),
    );
  }
  rows.push(...proteinRows(limits, candidates, content, row));
  for (const mineral of limits.minerals) {
    const { name, lab, ration } = NUTRIENTS[mineral];
    const lower = requirement.minerals[mineral];
    rows.push(row(mineral, name.toLowerCase(), ration.unit, { lower }, content(lab.field, ration.perKg)));
  }
  if (limits.minCalciumToPhosphorus !== undefined) {
    const calcium = content('calciumPercent', 10);
    const phosphorus = content('phosphorusPercent', 10);
    const ratio = limits.minCalciumToPhosphorus;
    rows.push(
      row(
        'calcium-to-phosphorus',
        `calcium at least ${ratio} times phosphorus`,
        'g',
        { lower: 0 },
        calcium.map((value, index) => value - ratio * (phosphorus[index] ?? 0)),
      ),
    );
  }
  const atMostOfDryMatter = (key: string, words: string, unit: string, limit: number, values: readonly number[]) =>
    rows.push(
      row(
        key,
        words,
        unit,
        { upper: 0 },
        values.map((value, index) => value - limit * (eaten[index] ?? 0)),
      ),
    );
  if (limits.maxNitrateNitrogenPpm !== undefined)
    atMostOfDryMatter(
      'nitrate',
      `nitrate nitrogen of the whole ration at most ${limits.maxNitrateNitrogenPpm} ppm`,
      'mg',
      limits.maxNitrateNitrogenPpm,
      content('nitrateNitrogenPpm', 1),
    );
  if (limits.maxSulfurPercent !== undefined)
    atMostOfDryMatter(
      'sulfur',
      `sulfur of the feed at most ${limits.maxSulfurPercent} %`,
      '% · kg',
      limits.maxSulfurPercent,
      content('sulfurPercent', 1),
    );
  if (limits.maxLegumeShare !== undefined) {
    atMostOfDryMatter(
      'legume',
      `legume at most ${limits.maxLegumeShare * 100} % of the dry matter`,
      'kg',
      limits.maxLegumeShare,
      candidates.map(({ lot }, index) => (lot.legumeShare ?? 0) * (eaten[index] ?? 0)),
    );
  }
  if (limits.minLongStemKg !== undefined)
    rows.push(
      row(
        'long-stem',
        'long-stem forage',
        'kg',
        { lower: limits.minLongStemKg },
        candidates.map(({ lot }, index) => (lot.isLongStem ? (eaten[index] ?? 0) : 0)),
      ),
    );
  if (limits.maxFiberPercentOfWeight !== undefined) {
    rows.push(
      row(
        'fiber',
        'fibre that the animal can hold',
        'kg',
        { upper: (limits.fullBodyWeightKg * limits.maxFiberPercentOfWeight) / 100 },
        content('neutralDetergentFiberPercent', 0.01),
      ),
    );
  }
  rows.push(...shareRows(limits, candidates, row), ...balanceRows(limits, candidates, row));
  return rows;
}

type MakeRow = (
  key: string,
  words: string,
  unit: string,
  bounds: { readonly lower?: number; readonly upper?: number },
  perKg: readonly number[],
  perBacterialProteinG?: number,
) => RationRow;

function proteinRows(
  { requirement, proteinSystem }: RationLimits,
  candidates: readonly Candidate[],
  content: (field: RationField, factor: number) => number[],
  row: MakeRow,
): RationRow[] {
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

function shareRows({ shareBands }: RationLimits, candidates: readonly Candidate[], row: MakeRow): RationRow[] {
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

function balanceRows({ head, days }: RationLimits, candidates: readonly Candidate[], row: MakeRow): RationRow[] {
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
