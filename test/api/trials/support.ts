import { seededRandom } from '../../../src/core/trial/seeded-random.js';
import type { Operation } from '../../support/people.js';
import { feedingBody, herd, lot, ranch, type WithId } from '../../support/things.js';
import type { World } from '../../support/world.js';

export const BEGINS = '2026-11-10';

export function dayOf(day: number, begins = BEGINS): string {
  return new Date(Date.parse(`${begins}T00:00:00Z`) + day * 86_400_000).toISOString().slice(0, 10);
}

export interface TrialAnswer extends WithId {
  state: string;
  version: number;
  arms: { id: string; name: string; role: string }[];
  [field: string]: unknown;
}

export function planBody(herdId: string, more: Record<string, unknown> = {}): Record<string, unknown> {
  return {
    name: 'Rich hay under coarse',
    herdId,
    question: 'Do heifers gain more when rich hay is laid under coarse hay?',
    arms: [
      { name: 'usual', role: 'usual', feeding: 'Meadow hay in a ring' },
      { name: 'layered', role: 'change', feeding: 'Alfalfa under meadow hay' },
    ],
    unit: 'animal',
    unitsPerArm: 10,
    lengthDays: 30,
    worthwhileDifference: { value: '0.25', unit: 'lb' },
    spread: { from: 'default' },
    classOfAnimals: 'weaned heifers',
    season: 'early winter',
    hay: 'meadow and alfalfa hay',
    herdHead: 200,
    ...more,
  };
}

function tags(count: number): string[] {
  return Array.from({ length: count }, (_, index) => `T${String(index + 1).padStart(2, '0')}`);
}

/** Start weights about 500 lb, always the same. */
export function startWeights(count: number): Map<string, number> {
  const random = seededRandom({ seed: '77' });
  return new Map(tags(count).map((tag) => [tag, 500 + 30 * random.nextNormal()]));
}

export async function weigh(
  operation: Operation,
  herdId: string,
  on: string,
  weights: ReadonlyMap<string, number>,
  more: Record<string, unknown> = {},
): Promise<string> {
  const answer = await operation.as.hand.post<WithId>(
    operation.at('/weigh-ins'),
    {
      scope: 'animal',
      herdId,
      weighedOn: on,
      fill: 'full',
      animals: [...weights].map(([visualTag, pounds]) => ({
        visualTag,
        weight: { value: pounds.toFixed(1), unit: 'lb' },
      })),
      ...more,
    },
    { expect: 201 },
  );
  return answer.body.id;
}

export interface Drawn extends WithId {
  seed: string;
  assignments: { visualTag: string; armId: string; pen: string | null }[];
  penArms: { pen: string; armId: string }[];
  balance: { armId: string; head: number; meanStartWeight: { value: string } }[];
}

export interface RunningTrial {
  trialId: string;
  version: number;
  arms: TrialAnswer['arms'];
  drawn: Drawn;
  sourceHerdId: string;
  herdOfArm: Map<string, string>;
  /** One for each arm, or for each pen of a trial with pens. */
  herds: { armId: string; pen: string | null; herdId: string }[];
  lotId: string;
  at(path: string): string;
}

/** Two pens of five head in each arm, judged by the means of the pens. */
export const IN_PENS = {
  unit: 'pen',
  unitsPerArm: 2,
  headPerPen: 5,
  pens: ['north', 'east', 'south', 'west'],
  method: 'welch',
};

/** A trial of two arms of ten head, planned, drawn and begun, with a herd for each arm and hay in a lot. */
export async function aRunningTrial(
  _world: World,
  operation: Operation,
  more: Record<string, unknown> = {},
): Promise<RunningTrial> {
  const { nutritionist } = operation.as;
  const ranchId = await ranch(operation);
  const sourceHerdId = await herd(operation, ranchId, { name: 'All heifers', head: 20 });
  const { lotId } = await lot(operation, ranchId, { tons: '40' });
  const planned = (
    await nutritionist.post<TrialAnswer>(operation.at('/trials'), planBody(sourceHerdId, more), { expect: 201 })
  ).body;
  const at = (path: string): string => operation.at(`/trials/${planned.id}${path}`);
  const weighInId = await weigh(operation, sourceHerdId, dayOf(-3), startWeights(20));
  const drawn = (
    await nutritionist.post<Drawn>(at('/draws'), { weighInIds: [weighInId], seed: '4711' }, { expect: 201 })
  ).body;
  const herdOfArm = new Map<string, string>();
  const herds: RunningTrial['herds'] = [];
  const places = drawn.penArms.length > 0 ? drawn.penArms : planned.arms.map((arm) => ({ pen: null, armId: arm.id }));
  for (const { pen, armId } of places) {
    const name = `Pen of ${pen ?? planned.arms.find((arm) => arm.id === armId)?.name ?? ''}`;
    const herdId = await herd(operation, ranchId, { name, head: 20 / places.length, since: dayOf(-2) });
    herds.push({ armId, pen, herdId });
    herdOfArm.set(armId, herdId);
  }
  const before = await nutritionist.get<TrialAnswer>(at(''), { expect: 200 });
  const begun = await nutritionist.post<TrialAnswer>(
    at('/beginning'),
    {
      beginsOn: BEGINS,
      herds: herds.map(({ armId, pen, herdId }) => (pen === null ? { armId, herdId } : { pen, herdId })),
    },
    { ifMatch: before.headers['etag'] ?? '', expect: 200 },
  );
  return {
    trialId: planned.id,
    version: begun.body.version,
    arms: planned.arms,
    drawn,
    sourceHerdId,
    herdOfArm,
    herds,
    lotId,
    at,
  };
}

export interface Gains {
  usual: number;
  change: number;
  sd: number;
}

/** Weights of a day, in pounds: start weight and a gain of one's own, the same for every call. */
export function weightsOn(
  running: RunningTrial,
  day: number,
  { usual, change, sd }: Gains,
): Map<string, Map<string, number>> {
  const random = seededRandom({ seed: '123' });
  const starts = startWeights(20);
  const gains = new Map(tags(20).map((tag) => [tag, sd * random.nextNormal()]));
  return new Map(
    running.arms.map((arm) => [
      arm.id,
      new Map(
        running.drawn.assignments
          .filter((one) => one.armId === arm.id)
          .map((one) => [
            one.visualTag,
            (starts.get(one.visualTag) ?? 0) +
              day * ((arm.role === 'usual' ? usual : change) + (gains.get(one.visualTag) ?? 0)),
          ]),
      ),
    ]),
  );
}

export async function weighAll(
  operation: Operation,
  running: RunningTrial,
  day: number,
  gains: Gains,
  more: Record<string, unknown> = {},
): Promise<void> {
  const all = weightsOn(running, day, gains);
  for (const { armId, pen, herdId } of running.herds) {
    const here = new Set(
      running.drawn.assignments.filter((one) => one.armId === armId && one.pen === pen).map((one) => one.visualTag),
    );
    const weights = [...(all.get(armId) ?? [])].filter(([tag]) => here.has(tag));
    await weigh(operation, herdId, dayOf(day), new Map(weights), more);
  }
}

export async function feed(
  operation: Operation,
  running: RunningTrial,
  days: readonly number[],
  { pounds = '240', wasted = '24', method = 'windrow-on-ground' } = {},
): Promise<void> {
  for (const day of days) {
    for (const { herdId } of running.herds) {
      await operation.as.hand.post(
        operation.at('/feedings'),
        feedingBody(herdId, [[running.lotId, pounds]], {
          fedOn: dayOf(day),
          method,
          wasted: { value: wasted, unit: 'lb' },
          refused: { value: '0', unit: 'lb' },
        }),
        { expect: 201 },
      );
    }
  }
}
