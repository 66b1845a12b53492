/*
 * A spreadsheet is exported again with what came since: what is there already is told by row and asked, and with
 * duplicates=skip exactly the new rows are entered.
 */
import fc, { examples } from '../support/properties.js';
import type { Operation } from '../support/people.js';
import { operationWith } from '../support/people.js';
import { balance, herd, lot, ranch } from '../support/things.js';
import { openWorld, type World } from '../support/world.js';

let world: World;
let operation: Operation;
let ranchId: string;
beforeAll(async () => {
  world = await openWorld();
});
beforeEach(async () => {
  operation = await operationWith(world, { roles: ['owner', 'manager', 'hand'] });
  ranchId = await ranch(operation);
});
afterAll(async () => {
  await world.close();
});

const CSV = { headers: { 'Content-Type': 'text/csv' } };
type Choice = 'enter' | 'skip' | undefined;
interface Import {
  id: string;
  rowCount: number;
  recordCount: number;
  skippedCount: number;
}
interface Refusal {
  type: string;
  errors: { parameter: string; code: string; given: string; allowed: string }[];
}
interface Check {
  recordCount: number;
  problemCount: number;
  duplicateCount: number;
  duplicates: { rows: number[]; likeRow: number | null; recordKind: string | null; recordId: string | null }[];
}
const lines = (...rows: string[]): string => `${rows.join('\n')}\n`;
const query = (duplicates: Choice) => (duplicates === undefined ? {} : { query: { duplicates } });
const take = async (kind: string, text: string, duplicates?: Choice): Promise<Import> =>
  (
    await operation.as.manager.post<Import>(operation.at(`/imports/${kind}`), text, {
      ...CSV,
      ...query(duplicates),
      expect: 201,
    })
  ).body;
const asked = async (kind: string, text: string): Promise<Refusal> =>
  (await operation.as.manager.post<Refusal>(operation.at(`/imports/${kind}`), text, { ...CSV, expect: 409 })).body;
const check = async (kind: string, text: string, duplicates?: Choice): Promise<Check> =>
  (
    await operation.as.manager.post<Check>(operation.at(`/imports/${kind}/check`), text, {
      ...CSV,
      ...query(duplicates),
      key: null,
      expect: 200,
    })
  ).body;
const standing = async (path: string): Promise<number> =>
  (
    await operation.as.manager.get<{ items: { reversal?: unknown }[] }>(operation.at(path), {
      query: { limit: '200' },
      expect: 200,
    })
  ).body.items.filter((one) => (one.reversal ?? null) === null).length;

const HEADER =
  'vendor,purchased_on,lot,ranch,hay_kind,bale_form,storage_method,bale_count,net_weight_lb,price_usd_per_ton';
const OLD = [
  'Creek bottom hay,2026-10-02,Meadow,Home ranch,meadow,round,tarp,40,47600,145',
  'Creek bottom hay,2026-10-12,Meadow,Home ranch,meadow,round,tarp,20,23800,150',
];
const NEW = 'Creek bottom hay,2026-10-15,Meadow,Home ranch,meadow,round,tarp,10,11900,150';

describe('a spreadsheet exported again with one new row', () => {
  it('is asked about by row, and saves nothing', async () => {
    await take('hay-tickets', lines(HEADER, ...OLD));
    const { type, errors } = await asked('hay-tickets', lines(HEADER, ...OLD, NEW));
    expect(type).toBe('/problems/likely-duplicates');
    expect(errors.map(({ parameter, code }) => [parameter, code])).toEqual([
      ['row 2', 'likely-duplicate'],
      ['row 3', 'likely-duplicate'],
    ]);
    expect(errors[0]?.allowed).toContain('duplicates=skip');
    expect(await standing('/hay-purchases')).toBe(2);
    const tried = await check('hay-tickets', lines(HEADER, ...OLD, NEW));
    expect(tried).toMatchObject({ recordCount: 1, problemCount: 0, duplicateCount: 2 });
    expect(tried.duplicates).toMatchObject([
      { rows: [2], likeRow: null, recordKind: 'hay-purchase', recordId: errors[0]?.given },
      { rows: [3], likeRow: null, recordKind: 'hay-purchase', recordId: errors[1]?.given },
    ]);
  });

  it('enters only that row with duplicates=skip, once, and all of them with duplicates=enter', async () => {
    await take('hay-tickets', lines(HEADER, ...OLD));
    const more = lines(HEADER, ...OLD, NEW);
    const made = await take('hay-tickets', more, 'skip');
    expect(made).toMatchObject({ rowCount: 3, recordCount: 1, skippedCount: 2 });
    expect(await standing('/hay-purchases')).toBe(3);
    // What was skipped then is skipped again: the same file is answered with its import.
    expect(await take('hay-tickets', more, 'skip')).toEqual(made);
    expect(await take('hay-tickets', more)).toEqual(made);
    expect(await standing('/hay-purchases')).toBe(3);
    expect(await take('hay-tickets', lines(HEADER, NEW), 'enter')).toMatchObject({ recordCount: 1, skippedCount: 0 });
    expect(await standing('/hay-purchases')).toBe(4);
  });

  it('does not count what was reversed', async () => {
    const { id } = await take('hay-tickets', lines(HEADER, ...OLD));
    const more = lines(HEADER, ...OLD, NEW);
    await take('hay-tickets', more, 'skip');
    await operation.as.manager.post(operation.at(`/imports/${id}/reversal`), { reason: 'wrong' }, { expect: 201 });
    // The rows that were skipped are there no longer, so the longer file enters them.
    expect(await take('hay-tickets', more)).toMatchObject({ recordCount: 2, skippedCount: 0 });
    expect(await standing('/hay-purchases')).toBe(3);
  });

  it('is the same weight in whatever unit it was written, and the same lot in other letter case', async () => {
    await take('hay-tickets', lines(HEADER, OLD[0] ?? ''));
    const other = lines(
      'vendor,purchased_on,lot,net_weight_ton,price_usd_lump_sum',
      'Creek bottom hay,2026-10-02,MEADOW,23.80,3451',
    );
    expect((await asked('hay-tickets', other)).errors).toHaveLength(1);
    const later = other.replace('2026-10-02', '2026-10-03');
    expect(await take('hay-tickets', later)).toMatchObject({ recordCount: 1 });
  });
});

describe('the same row twice in one file', () => {
  it('is told with the row that it repeats', async () => {
    const text = lines(HEADER, OLD[0] ?? '', OLD[1] ?? '', OLD[0] ?? '');
    expect((await asked('hay-tickets', text)).errors).toMatchObject([{ parameter: 'row 4', given: 'row 2' }]);
    expect((await check('hay-tickets', text)).duplicates).toMatchObject([{ rows: [4], likeRow: 2, recordId: null }]);
    expect(await take('hay-tickets', text, 'skip')).toMatchObject({ recordCount: 2, skippedCount: 1 });
  });

  it('is entered twice where that is said', async () => {
    const text = lines(HEADER, OLD[0] ?? '', OLD[0] ?? '');
    expect(await take('hay-tickets', text, 'enter')).toMatchObject({ recordCount: 2, skippedCount: 0 });
  });
});

describe('every kind of file', () => {
  it('taken again under other bytes is asked about whole, and skips it whole', async () => {
    // Not the head of the sample, which would be there already.
    await herd(operation, ranchId, { head: 99 });
    await herd(operation, ranchId, { name: 'Sick pen', head: 0 });
    const { kinds } = (
      await operation.as.hand.get<{ kinds: { kind: string; sample: string }[] }>(operation.at('/import-columns'), {
        expect: 200,
      })
    ).body;
    for (const { kind, sample } of kinds) {
      const { text } = await operation.as.manager.get(sample, { expect: 200 });
      const { recordCount, rowCount } = await take(kind, text);
      const again = `${text}\n\n`;
      const { errors } = await asked(kind, again);
      const rows = errors.flatMap(({ parameter }) => parameter.split(', '));
      expect({ kind, rows: rows.length }).toEqual({ kind, rows: rowCount });
      expect({ kind, ...(await check(kind, again)) }).toMatchObject({ kind, recordCount: 0, problemCount: 0 });
      const skipped = await take(kind, again, 'skip');
      expect({ kind, ...skipped }).toMatchObject({ kind, recordCount: 0, skippedCount: rowCount });
      expect(recordCount).toBeGreaterThan(0);
    }
  });

  it('of feedings with hay that is all fed leaves the lot as it was', async () => {
    await herd(operation, ranchId);
    const { lotId } = await lot(operation, ranchId, { name: 'Small', tons: '1' });
    const header = 'herd,fed_on,method,role,lot,weight_lb';
    const fed = 'Weaned calves,2027-01-08,bunk,coarse,Small,1500';
    await take('feedings', lines(header, fed));
    const more = lines(header, fed, 'Weaned calves,2027-01-09,bunk,coarse,Small,500');
    expect(await check('feedings', more)).toMatchObject({ recordCount: 1, problemCount: 0, duplicateCount: 1 });
    expect(await take('feedings', more, 'skip')).toMatchObject({ recordCount: 1, skippedCount: 1 });
    expect(await balance(operation, lotId)).toBe('0');
  });

  it('of animals enters the one that the export has more', async () => {
    await herd(operation, ranchId);
    const header = 'herd,weighed_on,fill,visual_tag,weight_lb';
    const [one, two, three] = ['A 1', 'A 2', 'A 3'].map((tag) => `Weaned calves,2027-01-12,full,${tag},561`);
    await take('animal-weights', lines(header, one ?? '', two ?? ''));
    const made = await take('animal-weights', lines(header, one ?? '', two ?? '', three ?? ''), 'skip');
    expect(made).toMatchObject({ recordCount: 1, skippedCount: 2 });
    const weighIns = (
      await operation.as.manager.get<{ items: { head: number }[] }>(operation.at('/weigh-ins'), { expect: 200 })
    ).body.items;
    expect(weighIns.map((weighIn) => weighIn.head).sort()).toEqual([1, 2]);
  });
});

describe('any file exported again', () => {
  it('with k new rows and duplicates=skip enters exactly k', async () => {
    await lot(operation, ranchId, { name: 'Meadow' });
    const row = fc.record({
      day: fc.integer({ min: 1, max: 28 }),
      pounds: fc.integer({ min: 20_000, max: 20_040 }),
      vendor: fc.constantFrom('Creek bottom hay', 'Bench fields'),
    });
    const rows = fc.uniqueArray(row, {
      minLength: 2,
      maxLength: 14,
      selector: ({ day, pounds }) => `${day} ${pounds}`,
    });
    const text = (some: readonly { day: number; pounds: number; vendor: string }[], month: number): string =>
      lines(
        'vendor,purchased_on,lot,net_weight_lb,price_usd_per_ton',
        ...some.map(
          ({ day, pounds, vendor }) =>
            `${vendor},2026-${String(month).padStart(2, '0')}-${String(day).padStart(2, '0')},Meadow,${pounds},150`,
        ),
      );
    let month = 0;
    await fc.assert(
      fc.asyncProperty(rows, fc.double({ min: 0, max: 1, noNaN: true }), fc.boolean(), async (all, share, mixed) => {
        month = (month % 10) + 1;
        const old = all.slice(0, Math.max(1, Math.floor(all.length * share)));
        const fresh = all.length - old.length;
        const before = await standing('/hay-purchases');
        const first = await take('hay-tickets', text(old, month), 'enter');
        const again = mixed ? all.toReversed() : all;
        const made = await take('hay-tickets', `${text(again, month)}\n`, 'skip');
        expect(made.recordCount).toBe(fresh);
        expect(await standing('/hay-purchases')).toBe(before + all.length);
        for (const { id } of fresh === 0 ? [first] : [made, first])
          await operation.as.manager.post(operation.at(`/imports/${id}/reversal`), { reason: 'x' }, { expect: 201 });
        expect(await standing('/hay-purchases')).toBe(before);
      }),
      { numRuns: examples(6) },
    );
  });
});
