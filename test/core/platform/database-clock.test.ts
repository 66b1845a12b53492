/* The clock that servers go by: the database's, carried on by a count that nobody can set. */
import { DatabaseClock } from '../../../src/platform/database/database-clock.js';

const NOON = Date.parse('2027-01-15T12:00:00Z');
const HOUR = 3_600_000;

/** A database whose clock is set by the test, on a machine whose count goes on by what the test says. */
async function world() {
  const state = { count: 5000, there: NOON, told: [] as string[] };
  const clock = await DatabaseClock.of(
    () => Promise.resolve(state.there),
    () => state.count,
  );
  const pass = (ms: number): void => {
    state.count += ms;
    state.there += ms;
  };
  const look = (): Promise<void> => clock.look((words) => state.told.push(words));
  return { state, clock, pass, look };
}

test("it is the database's, and goes on between two looks", async () => {
  const { clock, pass } = await world();
  expect(clock.now().getTime()).toBe(NOON);
  pass(1500);
  expect(clock.now().getTime()).toBe(NOON + 1500);
});

test('half of the way there and back is counted', async () => {
  let count = 0;
  const clock = await DatabaseClock.of(
    () => {
      count += 100;
      return Promise.resolve(NOON);
    },
    () => count,
  );
  // It was noon there 50 ms ago.
  expect(clock.now().getTime()).toBe(NOON + 50);
});

test('a small step back lets it stand still; one that somebody set is followed and told', async () => {
  const { state, clock, pass, look } = await world();
  pass(1000);
  expect(clock.now().getTime()).toBe(NOON + 1000);
  state.there -= 400;
  await look();
  expect(clock.now().getTime()).toBe(NOON + 1000);
  pass(500);
  expect(clock.now().getTime()).toBe(NOON + 1100);
  expect(state.told).toEqual([]);
  state.there -= 72 * HOUR;
  await look();
  expect(clock.now().getTime()).toBe(NOON + 1100 - 72 * HOUR);
  expect(state.told).toEqual(["The database's clock was set back by 259200 s."]);
});

test('what has passed runs neither ahead with a clock nor behind it', async () => {
  const { state, clock, pass, look } = await world();
  pass(HOUR);
  state.there += 72 * HOUR;
  await look();
  expect(clock.now().getTime()).toBe(NOON + 73 * HOUR);
  expect(clock.passed().getTime()).toBe(NOON + HOUR);
  state.there -= 100 * HOUR;
  await look();
  expect(clock.passed()).toEqual(clock.now());
});
