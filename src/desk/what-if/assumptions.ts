import { analysisOnDryMatter, type ConcentrationBasis } from '../../core/forage/basis.js';
import type { ForageAnalysis } from '../../core/forage/forage-analysis.js';
import type { RationField, RationLot } from '../../core/ration/ration.js';
import { rationLotOf } from '../../core/ration/ration-lot.js';
import type { AnimalDescription } from '../../core/requirements/requirement-set.js';
import type { Mass } from '../../core/units/mass.js';
import type { HerdFacts } from '../facts/herd-facts.js';
import type { LotFacts } from '../facts/lot-facts.js';
import type { RationContent } from '../facts/ration-content.js';
import { type StatedWeather, statedWeather } from '../facts/weather-choice.js';

/** What is assumed of a herd in place of what the records say. */
export interface HerdAssumptions {
  weather?: StatedWeather | undefined;
  bodyWeight?: Mass | undefined;
  bodyCondition?: number | undefined;
}

/** The facts of a herd under assumptions; the temperature that cattle are used to stays as it is known. */
export function assumedHerd(facts: HerdFacts, { weather, bodyWeight, bodyCondition }: HerdAssumptions): HerdFacts {
  const assumed = (animal: AnimalDescription): AnimalDescription => ({
    ...animal,
    ...(bodyWeight === undefined ? {} : { fullBodyWeightKg: bodyWeight.kilograms.toNumber() }),
    ...(bodyCondition === undefined ? {} : { bodyConditionScore: bodyCondition }),
  });
  return {
    ...facts,
    ...(weather === undefined ? {} : { weather: statedWeather(facts.on, weather, facts.usedToC) }),
    ...(bodyWeight === undefined ? {} : { bodyWeight, bodyWeightFrom: 'assumed' }),
    animal: assumed(facts.animal),
    standing: {
      ...facts.standing,
      main: assumed(facts.standing.main),
      parts: facts.standing.parts.map((part) => ({ ...part, animal: assumed(part.animal) })),
    },
  };
}

/** Test values assumed for a lot, each in place of the recorded one. */
export interface AssumedTest {
  lotId: string;
  basis: ConcentrationBasis;
  /** On that basis. */
  analysis: ForageAnalysis;
}

/** Values that depend on digestibility, dropped when it is assumed. */
const ENERGY: readonly string[] = [
  'totalDigestibleNutrientsPercent',
  'netEnergyMaintenanceMcalPerKg',
  'netEnergyGainMcalPerKg',
];

/**
 * An assumed lot with the recorded figures for everything not assumed: an assumed protein must not hide a recorded
 * nitrate.
 */
function withRecorded(assumed: RationLot, recorded: RationLot): RationLot {
  const assumedEnergy = assumed.composition.totalDigestibleNutrientsPercent?.origin === 'lab-test';
  const kept = Object.fromEntries(
    Object.entries(recorded.composition).filter(
      ([field]) =>
        assumed.composition[field as RationField]?.origin !== 'lab-test' && !(assumedEnergy && ENERGY.includes(field)),
    ),
  );
  return { ...assumed, composition: { ...assumed.composition, ...kept } };
}

/** The facts of lots; an assumed test counts as sampled on the day. */
export function assumedLots(
  lots: ReadonlyMap<string, LotFacts>,
  tests: readonly AssumedTest[],
  on: string,
): Map<string, LotFacts> {
  return new Map(
    [...lots].map(([lotId, facts]) => {
      const test = tests.find((one) => one.lotId === lotId);
      if (test === undefined) return [lotId, facts];
      const { row, lot } = facts;
      return [
        lotId,
        {
          ...facts,
          lot: withRecorded(
            rationLotOf({
              lotId,
              lotName: row.name,
              hayKind: row.hay_kind,
              tests: [{ id: 'assumed', method: 'near-infrared', analysis: analysisOnDryMatter(test) }],
              price: lot.price,
            }),
            lot,
          ),
          testedOn: on,
          testTakenFrom: null,
          cores: null,
        },
      ];
    }),
  );
}

/** Which lots of a ration were judged by a test that nobody took. */
export function assumedTestNotes(
  { parts }: Pick<RationContent, 'parts'>,
  lots: ReadonlyMap<string, LotFacts>,
  tests: readonly AssumedTest[],
): { code: string; message: string; source: string }[] {
  const lotIds = new Set(parts.map((part) => part.lotId));
  return tests
    .filter(({ lotId }) => lotIds.has(lotId))
    .map(({ lotId }) => ({
      code: 'test-assumed',
      message:
        `The test of ${lots.get(lotId)?.row.name ?? lotId} is assumed: its cautions and figures hold only if the hay ` +
        'is so.',
      source: 'assumed in the request',
    }));
}
