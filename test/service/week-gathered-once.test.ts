/*
 * What one meal does is judged day by day, of what is gathered once for all days: a herd that was fed on seven days
 * costs no more questions about herds, rations, feedings and weather than one that was fed on two, and of the rest a
 * few for each day more. Statements are counted as sent. Invented herd and feed.
 */
import { Database } from '../../src/platform/database/database.js';
import { type Operation, operationWith } from '../support/people.js';
import * as things from '../support/things.js';
import { openWorld, type World } from '../support/world.js';

const FEW = ['2027-01-13', '2027-01-14'];
const WEEK = ['2027-01-08', '2027-01-09', '2027-01-10', '2027-01-11', '2027-01-12', ...FEW];
/** Lots as known that day, the water then, and the last day of feeding up to it. */
const EACH_DAY = 9;
const ONCE = [
  'head_change',
  'herd_event',
  'weigh_in',
  'place',
  'weather_day',
  'ration',
  'ration_layer',
  'feeding_layer',
];

let world: World;
let operation: Operation;
const statements: string[] = [];
beforeAll(async () => {
  world = await openWorld();
  world.application.get(Database, { strict: false }).watchStatements(({ text }) => statements.push(text));
  operation = await operationWith(world);
});
afterAll(() => world.close());

async function askedOfHerdFedOn(days: readonly string[]): Promise<{ all: number; once: Record<string, number> }> {
  const ranchId = await things.ranch(operation, { name: `Fed on ${days.length} days` });
  const herdId = await things.herd(operation, ranchId, { name: `Fed on ${days.length} days` });
  const lots = [];
  for (const hayKind of ['meadow', 'corn-grain'])
    lots.push((await things.lot(operation, ranchId, { name: `${hayKind} ${days.length}`, hayKind })).lotId);
  for (const fedOn of days)
    await things.feeding(
      operation,
      herdId,
      lots.map((lotId) => [lotId, fedOn === days.at(-1) ? '1200' : '600'] as const),
      { fedOn },
    );
  statements.length = 0;
  const { body } = await operation.as.owner.get<{ cautions: { message: string }[] }>(
    operation.at(`/herds/${herdId}/ration-review?on=2027-01-15`),
    { expect: 200 },
  );
  // Single days were judged, not the mean alone.
  expect(body.cautions.some(({ message }) => message.startsWith('On '))).toBe(true);
  const from = (table: string): number => statements.filter((text) => text.includes(`from "${table}"`)).length;
  return { all: statements.length, once: Object.fromEntries(ONCE.map((table) => [table, from(table)])) };
}

it('by the statements of a review', async () => {
  const few = await askedOfHerdFedOn(FEW);
  const week = await askedOfHerdFedOn(WEEK);
  expect(Object.values(few.once).some((count) => count > 0)).toBe(true);
  expect(week.once).toEqual(few.once);
  expect(week.all - few.all).toBeLessThanOrEqual((WEEK.length - FEW.length) * EACH_DAY);
});
