/*
 * A first closing begins with the first entry of the books. A report over the fiscal year is worked out anew, though
 * nothing is posted in the days before that: it says which days would give what was stored, and those do.
 */
import { type Operation, operationWith } from '../support/people.js';
import { feeding, herd, lot, ranch } from '../support/things.js';
import { openWorld, type World } from '../support/world.js';

interface Told {
  closed: { closingId: string } | null;
  batchId?: string | null;
  flags: { code: string; message: string }[];
}

let world: World;
let operation: Operation;
let closing: { id: string; from: string; until: string };

beforeAll(async () => {
  world = await openWorld();
  operation = await operationWith(world);
  const ranchId = await ranch(operation);
  const herdId = await herd(operation, ranchId);
  const { lotId } = await lot(operation, ranchId, { purchasedOn: '2026-11-05' });
  await feeding(operation, herdId, [[lotId, '2000']], { fedOn: '2026-12-01' });
  const { accountant } = operation.as;
  closing = (await accountant.post<typeof closing>(operation.at('/closings'), { until: '2026-12-31' }, { expect: 201 }))
    .body;
});
afterAll(() => world.close());

describe.each([
  'reports/season-cost',
  'reports/cost-of-gain',
  'general-ledger',
  'reports/trial-balance',
  'reports/cost-variances',
  'reports/herd-closeouts',
  'journal',
])('%s', (path) => {
  const told = async (from: string, until = '2026-12-31'): Promise<Told> =>
    (await operation.as.accountant.get<Told>(operation.at(`/${path}`), { query: { from, until }, expect: 200 })).body;
  const hintsOf = ({ flags }: Told): string[] =>
    flags.filter(({ code }) => code === 'closing-has-other-days').map(({ message }) => message);

  it('over a fiscal year says which days were stored at the closing', async () => {
    const year = await told('2026-07-01');
    const [hint, ...more] = hintsOf(year);
    expect([year.closed, more]).toEqual([null, []]);
    expect(hint).toContain(`from=${closing.from}&until=2026-12-31`);
  });

  it('over those days is what was stored, and has nothing to say of it', async () => {
    const stored = await told(closing.from);
    expect([stored.closed?.closingId, hintsOf(stored)]).toEqual([closing.id, []]);
    if (path === 'general-ledger') expect(stored.batchId).toBe(closing.id);
  });

  it('over other days says nothing of it', async () => {
    for (const days of [
      await told(closing.from, '2026-12-30'),
      await told('2026-12-01'),
      await told('2026-07-01', '2027-01-10'),
    ])
      expect(hintsOf(days)).toEqual([]);
  });
});
