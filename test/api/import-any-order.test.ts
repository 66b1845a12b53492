/*
 * A spreadsheet is sorted as its owner likes to read it: newest first, or by herd, or not at all. What its rows say of
 * the cattle is the same in any order, so it is taken in any order. Everything here is invented.
 */
import fc, { examples } from '../support/properties.js';
import { type Operation, operationWith } from '../support/people.js';
import { herd, ranch } from '../support/things.js';
import { openWorld, type World } from '../support/world.js';
import { addDays } from '../../src/core/time/calendar-day.js';

let world: World;
beforeAll(async () => {
  world = await openWorld();
});
afterAll(async () => {
  await world.close();
});

interface Refusal {
  errors: { parameter: string; code: string; message: string }[];
}
interface Yard {
  operation: Operation;
  herds: readonly string[];
}

/** Cows and heifers, entered long before the file's first row. */
async function yard(): Promise<Yard> {
  const operation = await operationWith(world);
  const ranchId = await ranch(operation);
  const since = '2024-01-01';
  const cows = await herd(operation, ranchId, {
    name: 'Cows',
    cattleClass: 'dry-open-cow',
    sex: 'cow',
    bodyWeight: { value: '1250', unit: 'lb' },
    targetDailyGain: undefined,
    head: 120,
    since,
  });
  const heifers = await herd(operation, ranchId, {
    name: 'Heifers',
    cattleClass: 'growing-calf',
    sex: 'heifer',
    bodyWeight: { value: '520', unit: 'lb' },
    head: 40,
    since,
  });
  return { operation, herds: [cows, heifers] };
}

const EVENTS =
  'herd,kind,happened_on,last_on,service,head_checked,head_open,score,weight_lb,cattle_class,daily_gain_lb';
const csv = (header: string, rows: readonly string[]): string => `${[header, ...rows].join('\n')}\n`;
const CSV = { headers: { 'Content-Type': 'text/csv' } };

async function statesOf({ operation, herds }: Yard, days: readonly string[]): Promise<unknown[]> {
  const states: unknown[] = [];
  for (const id of herds)
    for (const on of days) {
      const { body } = await operation.as.manager.get<{ herdId: string }>(operation.at(`/herds/${id}/state`), {
        query: { on },
        expect: 200,
      });
      const { herdId: _herdId, ...state } = body;
      states.push(state);
    }
  return states;
}

/** Two winters of a herd of cows and the growing up of heifers, as a clerk would write them down. */
const history = fc
  .record({
    first: fc.array(fc.integer({ min: 0, max: 20 }), { minLength: 3, maxLength: 3 }),
    bulls: fc.array(fc.integer({ min: 42, max: 65 }), { minLength: 3, maxLength: 3 }),
    carried: fc.array(fc.integer({ min: 276, max: 288 }), { minLength: 2, maxLength: 2 }),
    open: fc.array(fc.integer({ min: 0, max: 12 }), { minLength: 3, maxLength: 3 }),
    gain: fc.integer({ min: 100, max: 150 }),
  })
  .map(({ first, bulls, carried, open, gain }) => {
    const rows: string[] = [];
    const event = (of: string, kind: string, on: string, rest: Record<string, string | number> = {}): void => {
      const cells: Record<string, string | number> = { herd: of, kind, happened_on: on, ...rest };
      rows.push(
        EVENTS.split(',')
          .map((column) => String(cells[column] ?? ''))
          .join(','),
      );
    };
    event('Heifers', 'class', '2025-05-15', { cattle_class: 'replacement-heifer' });
    // No growing calf weighs as much as this cow, and no calf is held to it: the class of the day decides.
    event('Heifers', 'class', '2026-11-01', { cattle_class: 'dry-pregnant-cow' });
    event('Heifers', 'weight', '2026-11-01', { weight_lb: 1150 });
    event('Heifers', 'target-gain', '2024-06-01', { daily_gain_lb: (gain / 100).toFixed(2) });
    for (const [index, year] of [2024, 2025, 2026].entries()) {
      const from = addDays(`${year}-06-01`, first[index] ?? 0);
      const until = addDays(from, bulls[index] ?? 45);
      event('Cows', 'bred', from, { last_on: until, service: 'bull' });
      event('Cows', 'pregnancy-check', `${year}-10-20`, { head_checked: 110, head_open: open[index] ?? 0 });
      event('Cows', 'condition', `${year}-10-20`, { score: `${4 + index}.5` });
      event('Cows', 'weight', `${year}-11-0${index + 1}`, { weight_lb: 1240 + 15 * index });
      const days = carried[index];
      if (days === undefined) continue;
      const calved = addDays(from, days);
      event('Cows', 'calved', calved, { last_on: addDays(until, days) });
      event('Cows', 'weaned', addDays(calved, 205));
    }
    return rows;
  });

const byDay = (rows: readonly string[]): string[] =>
  [...rows].sort((one, other) => ((one.split(',')[2] ?? '') < (other.split(',')[2] ?? '') ? -1 : 1));

const DAYS = ['2024-12-01', '2025-04-15', '2025-09-01', '2026-03-20', '2026-11-20', '2027-01-15'];

it('events of herds may be sorted newest first', async () => {
  const rows = [
    'Cows,weaned,2026-10-15,,,,,,,,',
    'Cows,calved,2026-03-10,2026-05-01,,,,,,,',
    'Cows,pregnancy-check,2025-10-15,,,110,9,,,,',
    'Cows,bred,2025-06-01,2025-08-01,bull,,,,,,',
  ];
  const [newestFirst, oldestFirst] = [await yard(), await yard()];
  for (const [at, text] of [
    [newestFirst, csv(EVENTS, rows)],
    [oldestFirst, csv(EVENTS, rows.toReversed())],
  ] as const) {
    const { operation } = at;
    const checked = await operation.as.manager.post<{ problems: unknown[] }>(
      operation.at('/imports/herd-events/check'),
      text,
      { ...CSV, key: null, expect: 200 },
    );
    expect(checked.body.problems).toEqual([]);
    await operation.as.manager.post(operation.at('/imports/herd-events'), text, { ...CSV, expect: 201 });
  }
  expect(await statesOf(newestFirst, DAYS)).toEqual(await statesOf(oldestFirst, DAYS));
});

it('a shuffled file of events is taken wherever the sorted one is, and gives the same herds', async () => {
  await fc.assert(
    fc.asyncProperty(
      history.chain((rows) =>
        fc.tuple(fc.constant(rows), fc.shuffledSubarray(rows, { minLength: rows.length, maxLength: rows.length })),
      ),
      async ([rows, shuffled]) => {
        const [sorted, mixed] = [await yard(), await yard()];
        for (const [at, text] of [
          [sorted, csv(EVENTS, byDay(rows))],
          [mixed, csv(EVENTS, shuffled)],
        ] as const)
          await at.operation.as.manager.post(at.operation.at('/imports/herd-events'), text, { ...CSV, expect: 201 });
        expect(await statesOf(mixed, DAYS)).toEqual(await statesOf(sorted, DAYS));
      },
    ),
    { numRuns: examples(6) },
  );
});

it('what is wrong in it is told by the row where it stands', async () => {
  const { operation } = await yard();
  const rows = [
    'Cows,condition,2026-12-01,,,,,5.5,,,',
    'Cows,calved,2026-08-10,,,,,,,,',
    'Cows,weaned,2024-03-15,,,,,,,,',
    'Cows,bred,2025-06-01,2025-06-20,bull,,,,,,',
  ];
  const { body } = await operation.as.manager.post<Refusal>(operation.at('/imports/herd-events'), csv(EVENTS, rows), {
    ...CSV,
    expect: 422,
  });
  expect(body.errors.map((one) => [one.parameter, one.code])).toEqual([
    ['row 3, column happened_on', 'calving-outside-breeding'],
    ['row 4, column happened_on', 'not-calved'],
  ]);
});

it('head moves may be sorted newest first: cattle that leave later have come before', async () => {
  const { operation, herds } = await yard();
  const rows = [
    'Cows,sale,150,2026-12-01,',
    'Heifers,move,30,2026-11-01,Cows',
    'Cows,in,60,2026-11-01,',
    'Heifers,in,20,2026-10-01,',
  ];
  await operation.as.manager.post(
    operation.at('/imports/head-changes'),
    csv('herd,kind,head,happened_on,to_herd', rows),
    { ...CSV, expect: 201 },
  );
  const heads = await Promise.all(
    herds.map((id) => operation.as.manager.get<{ head: number }>(operation.at(`/herds/${id}`), { expect: 200 })),
  );
  // 120 + 60 + 30 - 150 and 40 + 20 - 30.
  expect(heads.map((one) => one.body.head)).toEqual([60, 30]);
});
