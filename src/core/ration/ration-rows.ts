import { plain } from '../cautions/caution.js';
import { CAUTIONS } from '../cautions/cautions.data.js';
import { SODIUM_IN_SALT } from '../cautions/minerals.js';
import { highestTolerable } from '../cautions/trace-minerals.js';
import type { LayerBasis, LayerRole } from '../laying/layer.js';
import type { NutrientRow } from '../nutrients/nutrient-row.js';
import { PROTEIN_UNIT } from '../nutrients/amount-shown.js';
import { NUTRIENTS } from '../nutrients/nutrients.data.js';
import { type LeastCostMineral, NUTRIENTS_OF_DRY_MATTER } from '../nutrients/nutrients.js';
import { type MicrobeNeed, microbeNeedAt } from './microbe-need.js';
import { bacterialProtein, metabolizableProteinSupply } from '../requirements/protein.js';
import type { RequirementSet } from '../requirements/requirement-set.js';
import { counted } from '../units/counted.js';
import { quantity, sentence } from '../units/wording.js';
import type { Unit } from '../units/unit.js';
import type { RationField, TestsThatDiffer } from './ration.js';
import { endOf, mostOf, valueOf } from '../judge/ration-supply.js';
import { type CautionLimits, cautionRows } from './caution-rows.js';
import { type Candidate, ENERGY_BAND, type Matrix, type RationRow, row, type RowWords } from './ration-row.js';

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
  /** Where fiber fills them, what salt and mineral thin out raises the intake predicted by as much. */
  readonly filledByFiber?: boolean;
  readonly wastedShare?: number;
  readonly shareBands?: { readonly basis: LayerBasis; readonly bands: readonly ShareBand[] };
  readonly maxLegumeShare?: number;
  /** Of the whole ration, ppm NO3-N of dry matter. */
  readonly maxNitrateNitrogenPpm?: number;
  /** % of dry matter, of feed and water. */
  readonly maxSulfurPercent?: number;
  /** Sulfur of feed and water, g a day. */
  readonly maxSulfurGPerDay?: number;
  /** All sodium taken for salt, % of dry matter. */
  readonly maxSaltPercent?: number;
  /** Keeps minerals, trace minerals and vitamins below what cattle tolerate of them. */
  readonly tolerable?: boolean;
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

/**
 * Composition fields that a lot must have for the rows asked for. A mineral that nobody tested counts as nothing
 * towards the need of it, as the judge counts it: salt can make up for hay whose sodium is not known.
 */
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
    ...sulfurRows(limits, matrix),
    ...(limits.tolerable === true ? tolerableRows(matrix) : []),
    ...structureRows(limits, matrix),
    ...(limits.cautions === undefined ? [] : cautionRows(limits.cautions, matrix)),
    ...saltRows(limits, matrix),
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
  const words = {
    of: 'dry matter',
    words: sentence`no more dry matter than they eat, ${quantity(upper, 'kg', 1)} a head a day`,
  };
  if (intakeTangent === undefined) return [row('intake', words, 'kg', { upper }, eaten)];
  // The cap at the mixture's NEm n is upper + capKgPerMcal·(n − at), where n − at = (NEm eaten − at·kg)/kg; the
  // kilograms of the answer stand below the line.
  const { capKgPerMcal, atMcalPerKg, dryMatterKg } = intakeTangent;
  const energy = content('netEnergyMaintenanceMcalPerKg', 1);
  const perKg = eaten.map((kg, index) => kg - (capKgPerMcal / dryMatterKg) * ((energy[index] ?? 0) - atMcalPerKg * kg));
  return [row('intake', words, 'kg', { upper }, perKg)];
}

/** A need in words: "at least 12.3 g of sodium a head a day". */
function needWords(of: string, value: number, unit: Unit, why = ''): RowWords {
  return { of, words: sentence`at least ${quantity(value, unit, unit === 'g' ? 0 : 1)} of ${of} a head a day${why}` };
}

/** The same of protein: whole grams, or hundredths of a pound. */
function proteinWords(of: string, grams: number): RowWords {
  return { of, words: sentence`at least ${quantity(grams, PROTEIN_UNIT, { metric: 0, us: 2 })} of ${of} a head a day` };
}

/** Needs can be met with so little of a rich feed that cattle stay hungry. */
function fillRows(
  { minDryMatterKg = 0, minFiberKg, filledByFiber = false }: RationLimits,
  { candidates, eaten, content }: Matrix,
): RationRow[] {
  const fill = (of: string, lower: number, perKg: readonly number[]) =>
    row('fill', needWords(of, lower, 'kg', ', so that they are full'), 'kg', { lower }, perKg);
  if (minFiberKg !== undefined) return [fill('fiber (NDF)', minFiberKg, content('neutralDetergentFiberPercent', 0.01))];
  if (minDryMatterKg <= 0) return [];
  // Salt and mineral fill nobody.
  const filling = candidates.map(({ lot }, index) =>
    lot.feedGroup === 'mineral' && !filledByFiber ? 0 : (eaten[index] ?? 0),
  );
  return [fill('dry matter', minDryMatterKg, filling)];
}

function energyBandRows({ energyBand }: RationLimits, { eaten, content }: Matrix): RationRow[] {
  if (energyBand === undefined) return [];
  const energy = content('netEnergyMaintenanceMcalPerKg', 1);
  const beyond = (edge: number) => energy.map((value, index) => value - edge * (eaten[index] ?? 0));
  const words = { of: 'net energy', words: 'net energy of the mixture' };
  return [
    row(`${ENERGY_BAND}-from`, words, 'Mcal', { lower: 0 }, beyond(energyBand.from)),
    row(`${ENERGY_BAND}-to`, words, 'Mcal', { upper: 0 }, beyond(energyBand.to)),
  ];
}

export const maintenanceWords = ({ netEnergyMaintenanceTotalMcalPerDay }: RequirementSet): RowWords =>
  needWords('net energy for maintenance, pregnancy and milk', netEnergyMaintenanceTotalMcalPerDay, 'Mcal');

export const gainWords = ({ netEnergyGainMcalPerDay }: RequirementSet): RowWords =>
  needWords('net energy for gain', netEnergyGainMcalPerDay, 'Mcal');

function energyRows({ requirement }: RationLimits, { content }: Matrix, feedForMaintenanceShare: number): RationRow[] {
  const maintenance = row(
    'energy-maintenance',
    maintenanceWords(requirement),
    'Mcal',
    { lower: requirement.netEnergyMaintenanceTotalMcalPerDay / feedForMaintenanceShare },
    content('netEnergyMaintenanceMcalPerKg', 1),
  );
  if (!(requirement.netEnergyGainMcalPerDay > 0)) return [maintenance];
  const gain = row(
    'energy-gain',
    gainWords(requirement),
    'Mcal',
    { lower: requirement.netEnergyGainMcalPerDay / (1 - feedForMaintenanceShare) },
    content('netEnergyGainMcalPerKg', 1),
  );
  return [maintenance, gain];
}

function mineralRows(
  { minerals, requirement, minCalciumToPhosphorus }: RationLimits,
  { candidates, eaten, content }: Matrix,
): RationRow[] {
  const needs = minerals.map((mineral) => {
    const { name, lab, ration } = NUTRIENTS[mineral];
    const lower = requirement.minerals[mineral];
    const words = needWords(name.toLowerCase(), lower, ration.unit);
    return row(mineral, words, ration.unit, { lower }, content(lab.field, ration.perKg));
  });
  if (minCalciumToPhosphorus === undefined) return needs;
  // By the worse of tests that differ, as the caution has it.
  const ends = (field: 'calciumPercent' | 'phosphorusPercent', end: keyof TestsThatDiffer) =>
    candidates.map(({ lot }, index) => (endOf({ lot, field }, end) ?? 0) * 10 * (eaten[index] ?? 0));
  const phosphorus = ends('phosphorusPercent', 'most');
  const ratio = row(
    'calcium-to-phosphorus',
    { of: 'calcium', words: `calcium at least ${minCalciumToPhosphorus} times phosphorus` },
    'g',
    { lower: 0 },
    ends('calciumPercent', 'least').map((value, index) => value - minCalciumToPhosphorus * (phosphorus[index] ?? 0)),
  );
  return [...needs, ratio];
}

/** Sulfur has limits of its own, which count the water too. */
const TOLERABLE_SHARES = NUTRIENTS_OF_DRY_MATTER.flatMap((code) => {
  const { need, ofDryMatter }: NutrientRow = NUTRIENTS[code];
  const highest = ofDryMatter === undefined ? null : highestTolerable(ofDryMatter);
  const counts = need?.kind === 'range' && need.tooMuch === 'tolerable share of dry matter';
  return counts && highest !== null ? [{ code, highest }] : [];
});

/** Nitrate and legume: their largest share of the dry matter of the whole ration. */
function shareOfDryMatterRows(
  { maxNitrateNitrogenPpm, maxLegumeShare }: RationLimits,
  { candidates, eaten }: Matrix,
): RationRow[] {
  const atMost = (key: string, words: RowWords, unit: string, limit: number, values: readonly number[]) =>
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
    rows.push(atMost('nitrate', { of: 'nitrate nitrogen', words }, 'mg', maxNitrateNitrogenPpm, nitrate));
  }
  if (maxLegumeShare !== undefined) {
    const words = `legume at most ${plain(maxLegumeShare * 100)} % of the dry matter`;
    const legume = candidates.map(({ lot }, index) => (lot.legumeShare ?? 0) * (eaten[index] ?? 0));
    rows.push(atMost('legume', { of: 'legume', words }, 'kg', maxLegumeShare, legume));
  }
  return rows;
}

/** By the most that each lot may hold. What tells nothing of it and is no forage thins nothing out. */
function mostRow(
  { key, words: words, unit }: { readonly key: string; readonly words: RowWords; readonly unit: string },
  { field, perKg, limitPerKg }: { readonly field: RationField; readonly perKg: number; readonly limitPerKg: number },
  { candidates, eaten }: Matrix,
): RationRow {
  const values = candidates.map(({ lot }, index) => {
    const most = mostOf({ lot, field });
    const limit = most === null && !lot.isForage ? 0 : limitPerKg;
    return ((most ?? 0) * perKg - limit) * (eaten[index] ?? 0);
  });
  return row(key, words, unit, { upper: 0 }, values);
}

/** Sulfur of feed and water: its share of the dry matter, and the grams a day that mature cows are held to. */
function sulfurRows(
  { maxSulfurPercent, maxSulfurGPerDay, sulfurFromWaterG = 0 }: RationLimits,
  matrix: Matrix,
): RationRow[] {
  const fromWater = sulfurFromWaterG > 0 ? ` with ${Number(sulfurFromWaterG.toFixed(1))} g from the water` : '';
  const rowOf = (key: string, limit: string, limitPerKg: number, upper: number): RationRow => {
    const words = { of: 'sulfur', words: `sulfur at most ${limit}${fromWater}` };
    return {
      ...mostRow({ key, words: words, unit: 'g' }, { field: 'sulfurPercent', perKg: 10, limitPerKg }, matrix),
      upper,
    };
  };
  return [
    ...(maxSulfurPercent === undefined
      ? []
      : [rowOf('sulfur', `${plain(maxSulfurPercent)} % of the dry matter`, maxSulfurPercent * 10, -sulfurFromWaterG)]),
    ...(maxSulfurGPerDay === undefined
      ? []
      : [rowOf('sulfur-a-day', `${plain(maxSulfurGPerDay, 1)} g a day`, 0, maxSulfurGPerDay - sulfurFromWaterG)]),
  ];
}

/** All sodium taken for salt, as the caution takes it, where a lot may hold more of it than cattle tolerate. */
function saltRows({ maxSaltPercent }: RationLimits, matrix: Matrix): RationRow[] {
  if (maxSaltPercent === undefined) return [];
  const field = 'sodiumPercent';
  const limitPerKg = maxSaltPercent * 10;
  const perKg = 10 / SODIUM_IN_SALT;
  if (matrix.candidates.every(({ lot }) => (mostOf({ lot, field }) ?? 0) * perKg <= limitPerKg)) return [];
  const words = { of: 'salt', words: `salt at most ${plain(maxSaltPercent)} % of the dry matter` };
  return [mostRow({ key: 'salt', words, unit: 'g' }, { field, perKg, limitPerKg }, matrix)];
}

/** What cattle tolerate of each mineral, trace mineral and vitamin, where a lot may hold more than that. */
function tolerableRows(matrix: Matrix): RationRow[] {
  return TOLERABLE_SHARES.flatMap(({ code, highest }) => {
    const { name, lab, ration } = NUTRIENTS[code];
    const { field } = lab;
    if (matrix.candidates.every(({ lot }) => (mostOf({ lot, field }) ?? 0) <= highest)) return [];
    const { unit } = NUTRIENTS[code].ofDryMatter;
    const of = name.toLowerCase();
    const words = { of, words: `${of} at most ${plain(highest)} ${unit}, which is what cattle tolerate` };
    const limitPerKg = highest * ration.perKg;
    return [
      mostRow(
        { key: `tolerable-${code}`, words: words, unit: ration.unit },
        { field, perKg: ration.perKg, limitPerKg },
        matrix,
      ),
    ];
  });
}

function structureRows(
  { minLongStemKg, maxFiberPercentOfWeight, fullBodyWeightKg }: RationLimits,
  { candidates, eaten, content }: Matrix,
): RationRow[] {
  const rows: RationRow[] = [];
  if (minLongStemKg !== undefined) {
    const longStem = candidates.map(({ lot }, index) => (lot.isLongStem ? (eaten[index] ?? 0) : 0));
    const words = needWords('long-stem forage', minLongStemKg, 'kg');
    rows.push(row('long-stem', words, 'kg', { lower: minLongStemKg }, longStem));
  }
  if (maxFiberPercentOfWeight !== undefined) {
    const upper = (fullBodyWeightKg * maxFiberPercentOfWeight) / 100;
    const fiber = content('neutralDetergentFiberPercent', 0.01);
    const words = sentence`no more fiber (NDF) than they can hold, ${quantity(upper, 'kg', 1)} a head a day`;
    rows.push(row('fibre', { of: 'fiber (NDF)', words }, 'kg', { upper }, fiber));
  }
  return rows;
}

const BACTERIAL: RowWords = { of: 'bacterial protein', words: 'bacterial protein that the feed allows' };

function microbeRows(
  { requirement, minDegradableShare: share, microbeNeed = microbeNeedAt(requirement) }: RationLimits,
  {
    degradable,
    tdnG,
    eaten,
  }: { readonly degradable: readonly number[]; readonly tdnG: readonly number[]; readonly eaten: readonly number[] },
): RationRow[] {
  if (share === undefined) return [];
  const { constantG, perTdnG, perDryMatterKg } = microbeNeed;
  const words = { of: 'degradable protein', words: 'degradable protein enough for the microbes of the rumen' };
  const perKg = degradable.map(
    (value, index) => value - share * (perTdnG * (tdnG[index] ?? 0) + perDryMatterKg * (eaten[index] ?? 0)),
  );
  return [row('degradable-protein', words, PROTEIN_UNIT, { lower: share * constantG }, perKg)];
}

function proteinRows(limits: RationLimits, matrix: Matrix): RationRow[] {
  const { requirement, proteinSystem } = limits;
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
  const forTheMicrobes = microbeRows(limits, { degradable, tdnG, eaten });
  if (proteinSystem === 'crude')
    return [
      row(
        'crude-protein',
        proteinWords('crude protein', requirement.crudeProteinGPerDay),
        PROTEIN_UNIT,
        { lower: requirement.crudeProteinGPerDay },
        crude,
      ),
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
      proteinWords('metabolizable protein', requirement.metabolizableProteinGPerDay),
      PROTEIN_UNIT,
      { lower: requirement.metabolizableProteinGPerDay },
      undegraded.map((value) => value * perUndegraded),
      perBacterial,
    ),
    row(
      'bacteria-by-energy',
      BACTERIAL,
      PROTEIN_UNIT,
      { lower: -constantG },
      tdnG.map((value) => value * slope),
      -1,
    ),
    row('bacteria-by-protein', BACTERIAL, PROTEIN_UNIT, { lower: 0 }, degradable, -1),
    ...forTheMicrobes,
  ];
}

/** How much of a basis one kilogram as fed is worth. */
function worth({ lot, bulkDensityKgPerM3 }: Candidate, basis: LayerBasis): number {
  if (basis === 'as-fed') return 1;
  return basis === 'dry-matter' ? lot.dryMatterPercent.value / 100 : 1 / (bulkDensityKgPerM3 ?? Number.NaN);
}

const BASIS_WORDS: Readonly<Record<LayerBasis, string>> = {
  'as-fed': 'weight as fed',
  'dry-matter': 'dry matter',
  volume: 'volume',
};

const shareWords = (role: LayerRole, bound: string, share: number, basis: LayerBasis): string =>
  `the ${role} layer ${bound} ${Number((share * 100).toFixed(2))} % of the ${BASIS_WORDS[basis]}`;

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
              { of: `${role} hay`, words: shareWords(role, 'at least', atLeast, basis) },
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
              { of: `${role} hay`, words: shareWords(role, 'at most', atMost, basis) },
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
  return lots.flatMap(({ lot, availableKg }) => {
    if (availableKg === null) return [];
    const upper = availableKg / (head * days);
    const span = `for ${counted(head, 'head', 'head')} over ${counted(days, 'day')}`;
    const words = sentence`no more ${lot.lotName} than there is, ${quantity(upper, 'kg', 2)} a head a day ${span}`;
    const perKg = candidates.map((candidate) => (candidate.lot.lotId === lot.lotId ? 1 : 0));
    return [row(`balance-${lot.lotId}`, { of: lot.lotName, words }, 'kg', { upper }, perKg)];
  });
}

function fixedRows(candidates: readonly Candidate[]): RationRow[] {
  return candidates.flatMap(({ lot, fixedKg }, at) =>
    fixedKg === undefined
      ? []
      : [
          row(
            `fixed-${lot.lotId}`,
            {
              of: lot.lotName,
              words: sentence`${quantity(fixedKg, 'kg', 3)} of ${lot.lotName} a head a day, as asked`,
            },
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
