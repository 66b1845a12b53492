import { plain } from '../cautions/caution.js';
import { CAUTIONS } from '../cautions/cautions.data.js';
import type { LayerBasis, LayerRole } from '../laying/layer.js';
import { NUTRIENTS } from '../nutrients/nutrients.data.js';
import type { LeastCostMineral } from '../nutrients/nutrients.js';
import { type MicrobeNeed, microbeNeedAt } from './microbe-need.js';
import { bacterialProtein, metabolizableProteinSupply } from '../requirements/protein.js';
import type { RequirementSet } from '../requirements/requirement-set.js';
import { quantity, sentence } from '../units/told.js';
import type { RationField } from './ration.js';
import { mostOf, valueOf } from '../judge/ration-supply.js';
import { type CautionLimits, cautionRows } from './caution-rows.js';
import { type Candidate, type Matrix, type RationRow, row } from './ration-row.js';

export type { Candidate, RationRow };

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
  /** Dry matter at least, kg a day, so that cattle are filled; not asked if absent. */
  readonly minDryMatterKg?: number;
  /** The same where it is their fiber that fills them: NDF at least, kg a day, instead of dry matter. */
  readonly minFiberKg?: number;
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
  /** What the judge would warn of, beside the limits above. */
  readonly cautions?: CautionLimits;
  /** Limits that come from the judge: a value that is not known counts in them as the judge counts it, as nothing. */
  readonly asTheJudge?: readonly JudgedLimit[];
  /** Sulfur that the water brings, g/d: it leaves less room for the feed's. */
  readonly sulfurFromWaterG?: number;
  /** Degradable protein at least, as a share of what the microbes need on the energy eaten; not asked if absent. */
  readonly minDegradableShare?: number;
  /** What the microbes need on mixtures like this one; around the requirement's own diet if absent. */
  readonly microbeNeed?: MicrobeNeed;
  /** NEm of the mixture, Mcal per kg of dry matter: between these. */
  readonly energyBand?: { readonly from: number; readonly to: number };
  /** How the intake cap moves with the NEm of the mixture around an answer; a fixed cap if absent. */
  readonly intakeTangent?: {
    readonly capKgPerMcal: number;
    readonly atMcalPerKg: number;
    readonly dryMatterKg: number;
  };
  readonly head: number;
  readonly days: number;
}

export type JudgedLimit = 'nitrate' | 'sulfur' | 'legume' | 'fiber' | 'calcium-to-phosphorus';

/** Composition fields that a lot must have for the rows asked for. */
export function fieldsNeeded(limits: RationLimits): readonly RationField[] {
  const asked = (limit: JudgedLimit, value: number | undefined) => value !== undefined && isAsked(limits, limit);
  return [
    ...new Set<RationField>([
      'crudeProteinPercent',
      'netEnergyMaintenanceMcalPerKg',
      ...(limits.requirement.netEnergyGainMcalPerDay > 0 ? (['netEnergyGainMcalPerKg'] as const) : []),
      ...(limits.proteinSystem === 'metabolizable'
        ? (['degradableProteinPercentOfCrudeProtein', 'totalDigestibleNutrientsPercent'] as const)
        : []),
      ...limits.minerals.map((mineral) => NUTRIENTS[mineral].lab.field),
      ...(asked('calcium-to-phosphorus', limits.minCalciumToPhosphorus)
        ? (['calciumPercent', 'phosphorusPercent'] as const)
        : []),
      ...(asked('nitrate', limits.maxNitrateNitrogenPpm) ? (['nitrateNitrogenPpm'] as const) : []),
      ...(asked('sulfur', limits.maxSulfurPercent) ? (['sulfurPercent'] as const) : []),
      ...(asked('fiber', limits.maxFiberPercentOfWeight) ? (['neutralDetergentFiberPercent'] as const) : []),
    ]),
  ];
}

/** Whether a limit was asked for, rather than kept only because the judge would warn. */
export function isAsked({ asTheJudge = [] }: RationLimits, limit: JudgedLimit): boolean {
  return !asTheJudge.includes(limit);
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
    ...fillRows(limits, matrix),
    ...energyRows(limits, matrix, feedForMaintenanceShare),
    ...proteinRows(limits, matrix),
    ...mineralRows(limits, matrix),
    ...shareOfDryMatterRows(limits, matrix),
    ...structureRows(limits, matrix),
    ...(limits.cautions === undefined ? [] : cautionRows(limits.cautions, matrix)),
    ...energyBandRows(limits, matrix),
    ...shareRows(limits, candidates),
    ...balanceRows(limits, candidates),
    ...fixedRows(candidates),
  ];
}

function intakeRows(
  { requirement, intakeCapShare, intakeTangent }: RationLimits,
  { eaten, content }: Matrix,
): RationRow[] {
  const cap = intakeCapShare === undefined ? 1 : intakeCapShare;
  if (cap === null) return [];
  const upper = requirement.dryMatterIntakeKgPerDay * cap;
  const words = 'dry matter that the animal will eat';
  if (intakeTangent === undefined) return [row('intake', words, 'kg', { upper }, eaten)];
  // The cap at the mixture's NEm n is upper + capKgPerMcal·(n − at), where n − at = (NEm eaten − at·kg)/kg; the
  // kilograms of the answer stand below the line.
  const { capKgPerMcal, atMcalPerKg, dryMatterKg } = intakeTangent;
  const energy = content('netEnergyMaintenanceMcalPerKg', 1);
  const perKg = eaten.map((kg, index) => kg - (capKgPerMcal / dryMatterKg) * ((energy[index] ?? 0) - atMcalPerKg * kg));
  return [row('intake', words, 'kg', { upper }, perKg)];
}

/** Needs can be met with so little of a rich feed that cattle stay hungry. */
function fillRows({ minDryMatterKg = 0, minFiberKg }: RationLimits, { eaten, content }: Matrix): RationRow[] {
  const fill = (lower: number, perKg: readonly number[]) =>
    row('fill', 'feed enough to fill the animal', 'kg', { lower }, perKg);
  if (minFiberKg !== undefined) return [fill(minFiberKg, content('neutralDetergentFiberPercent', 0.01))];
  return minDryMatterKg > 0 ? [fill(minDryMatterKg, eaten)] : [];
}

/** The name of a row that nobody asked for: it only holds the mixture where its need and its intake were worked out. */
export const ENERGY_BAND = 'diet-energy';

function energyBandRows({ energyBand }: RationLimits, { eaten, content }: Matrix): RationRow[] {
  if (energyBand === undefined) return [];
  const energy = content('netEnergyMaintenanceMcalPerKg', 1);
  const beyond = (edge: number) => energy.map((value, index) => value - edge * (eaten[index] ?? 0));
  const words = 'net energy of the mixture';
  return [
    row(`${ENERGY_BAND}-from`, words, 'Mcal', { lower: 0 }, beyond(energyBand.from)),
    row(`${ENERGY_BAND}-to`, words, 'Mcal', { upper: 0 }, beyond(energyBand.to)),
  ];
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

/** Nitrate, sulfur and legume: their largest share of the dry matter of the whole ration. */
function shareOfDryMatterRows(
  { maxNitrateNitrogenPpm, maxSulfurPercent, sulfurFromWaterG = 0, maxLegumeShare }: RationLimits,
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
    const words = `nitrate nitrogen of the whole ration at most ${plain(maxNitrateNitrogenPpm)} ppm`;
    const nitrate = candidates.map(
      ({ lot }, index) => (mostOf({ lot, field: 'nitrateNitrogenPpm' }) ?? 0) * (eaten[index] ?? 0),
    );
    rows.push(atMost('nitrate', words, 'mg', maxNitrateNitrogenPpm, nitrate));
  }
  if (maxSulfurPercent !== undefined) {
    const fromWater = sulfurFromWaterG > 0 ? ` with ${Number(sulfurFromWaterG.toFixed(1))} g from the water` : '';
    const words = `sulfur at most ${plain(maxSulfurPercent)} % of the dry matter${fromWater}`;
    const sulfur = atMost('sulfur', words, '% · kg', maxSulfurPercent, content('sulfurPercent', 1));
    rows.push({ ...sulfur, upper: -sulfurFromWaterG / 10 });
  }
  if (maxLegumeShare !== undefined) {
    const words = `legume at most ${plain(maxLegumeShare * 100)} % of the dry matter`;
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
    rows.push(row('fibre', 'fiber that the animal can hold', 'kg', { upper }, fiber));
  }
  return rows;
}

function proteinRows(limits: RationLimits, matrix: Matrix): RationRow[] {
  const { requirement, proteinSystem, minDegradableShare, microbeNeed = microbeNeedAt(requirement) } = limits;
  const { candidates, eaten, content } = matrix;
  const crude = content('crudeProteinPercent', 10);
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
  const forTheMicrobes =
    minDegradableShare === undefined
      ? []
      : [
          row(
            'degradable-protein',
            'degradable protein for the microbes of the rumen',
            'g',
            { lower: minDegradableShare * microbeNeed.constantG },
            degradable.map(
              (value, index) =>
                value -
                minDegradableShare *
                  (microbeNeed.perTdnG * (tdnG[index] ?? 0) + microbeNeed.perDryMatterKg * (eaten[index] ?? 0)),
            ),
          ),
        ];
  if (proteinSystem === 'crude')
    return [
      row('crude-protein', 'crude protein', 'g', { lower: requirement.crudeProteinGPerDay }, crude),
      ...forTheMicrobes,
    ];
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
    ...forTheMicrobes,
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

function fixedRows(candidates: readonly Candidate[]): RationRow[] {
  return candidates.flatMap(({ lot, fixedKg }, at) =>
    fixedKg === undefined
      ? []
      : [
          row(
            `fixed-${lot.lotId}`,
            sentence`${quantity(fixedKg, 'kg', 3)} of ${lot.lotName} a head a day, as asked`,
            'kg',
            { lower: fixedKg, upper: fixedKg },
            candidates.map((_one, index) => (index === at ? 1 : 0)),
          ),
        ],
  );
}

/** The legume share and the sulfur maximum that the caution catalogue would warn of, as limits to start from. */
export const CAUTION_LIMITS = {
  maxLegumeShare: CAUTIONS['legume-bloat'].thresholds.legumeShare.value,
  minCalciumToPhosphorus: CAUTIONS['calcium-phosphorus-ratio'].thresholds.low.value,
} as const;
