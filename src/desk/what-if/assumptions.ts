import { analysisOnDryMatter, type ConcentrationBasis } from '../../core/forage/basis.js';
import type { ForageAnalysis } from '../../core/forage/forage-analysis.js';
import { rationLotOf } from '../../core/ration/ration-lot.js';
import type { AnimalDescription } from '../../core/requirements/requirement-set.js';
import type { Mass } from '../../core/units/mass.js';
import type { HerdFacts } from '../facts/herd-facts.js';
import type { LotFacts } from '../facts/lot-facts.js';
import { type StatedWeather, statedWeather } from '../facts/weather-choice.js';

/** What is taken to be so of a herd, in place of what the records say. */
export interface HerdAssumptions {
  weather?: StatedWeather | undefined;
  bodyWeight?: Mass | undefined;
  bodyCondition?: number | undefined;
}

/** The facts of a herd under assumptions; what cattle are used to stays as it was recorded. */
export function assumedHerd(facts: HerdFacts, { weather, bodyWeight, bodyCondition }: HerdAssumptions): HerdFacts {
  const assumed = (animal: AnimalDescription): AnimalDescription => ({
    ...animal,
    ...(bodyWeight === undefined ? {} : { fullBodyWeightKg: bodyWeight.kilograms.toNumber() }),
    ...(bodyCondition === undefined ? {} : { bodyConditionScore: bodyCondition }),
  });
  return {
    ...facts,
    ...(weather === undefined ? {} : { weather: statedWeather(facts.on, weather, facts.weather ?? undefined) }),
    ...(bodyWeight === undefined ? {} : { bodyWeight, bodyWeightFrom: 'assumed' }),
    animal: assumed(facts.animal),
    standing: {
      ...facts.standing,
      main: assumed(facts.standing.main),
      parts: facts.standing.parts.map((part) => ({ ...part, animal: assumed(part.animal) })),
    },
  };
}

/** Test values that are taken to be a lot's, in place of all its tests. */
export interface AssumedTest {
  lotId: string;
  basis: ConcentrationBasis;
  /** On that basis. */
  analysis: ForageAnalysis;
}

/** The facts of lots, those with an assumed test as if it had been sampled on the day. */
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
          lot: rationLotOf({
            lotId,
            lotName: row.name,
            hayKind: row.hay_kind,
            tests: [{ id: 'assumed', method: 'near-infrared', analysis: analysisOnDryMatter(test) }],
            price: lot.price,
          }),
          testedOn: on,
          testTakenFrom: null,
          cores: null,
        },
      ];
    }),
  );
}
