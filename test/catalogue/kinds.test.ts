/* The lists of kinds in the code are those of the database. */
import { MOVEMENT_KIND_CODES, MOVEMENT_KINDS } from '../../src/core/stock/movement-kinds.data.js';
import { BOOK_RECORD_KINDS, RECEIPT_KINDS, RECORD_KINDS } from '../../src/platform/wire/record-kinds.data.js';
import { openYard, type Yard } from '../support/world.js';

let yard: Yard;
beforeAll(async () => {
  yard = await openYard();
});
afterAll(async () => {
  await yard.close();
});

const rows = async <Row extends object>(text: string, values: readonly unknown[] = []): Promise<Row[]> =>
  (await yard.ownerPool.query<Row>(text, [...values])).rows;

/** The condition of a check constraint, as the database keeps it. */
const condition = async (constraint: string): Promise<string> => {
  const [found] = await rows<{ text: string }>(
    'SELECT pg_get_expr(conbin, conrelid) AS text FROM pg_constraint WHERE conname = $1',
    [constraint],
  );
  if (found === undefined) throw new Error(`No constraint ${constraint}`);
  return found.text;
};
const quoted = (text: string): string[] => [...text.matchAll(/'([^']+)'::text/g)].map(([, word]) => word ?? '').sort();

describe('kinds of movement', () => {
  it('are those that the ledger takes', async () => {
    expect(quoted(await condition('stock_movement_kind_words'))).toEqual([...MOVEMENT_KIND_CODES].sort());
  });

  it('add, draw or do either, as the ledger demands', async () => {
    const sign = await condition('stock_movement_sign');
    const taken = await rows<{ kind: string; adds: boolean; draws: boolean; nothing: boolean }>(
      `SELECT kind, bool_or(kilograms > 0) FILTER (WHERE ok) AS adds, bool_or(kilograms < 0) FILTER (WHERE ok) AS draws,
              bool_or(kilograms = 0) FILTER (WHERE ok) AS nothing
         FROM (SELECT kind, kilograms, (${sign}) AS ok
                 FROM unnest($1::text[]) AS kind, (VALUES (1::numeric), (0), (-1)) AS change(kilograms)) AS tried
        GROUP BY kind ORDER BY kind`,
      [MOVEMENT_KIND_CODES],
    );
    expect(taken).toEqual(
      [...MOVEMENT_KIND_CODES].sort().map((kind) => {
        const { mass } = MOVEMENT_KINDS[kind];
        return { kind, adds: mass !== 'draws', draws: mass !== 'adds', nothing: false };
      }),
    );
  });

  it('are each posted by a kind of record', () => {
    for (const { record } of Object.values(MOVEMENT_KINDS))
      expect([...Object.keys(RECORD_KINDS), 'reversal']).toContain(record);
  });
});

describe('kinds of record', () => {
  it('are entries of the books where the reversal of one may not lie in a closed period', async () => {
    const [trigger] = await rows<{ text: string }>(
      "SELECT pg_get_triggerdef(oid) AS text FROM pg_trigger WHERE tgname = 'reversal_closed_day'",
    );
    expect(quoted(trigger?.text ?? '')).toEqual([...BOOK_RECORD_KINDS].sort());
  });

  it('take later bills where they are receipts', async () => {
    expect(quoted(await condition('late_cost_receipt_kind_words'))).toEqual([...RECEIPT_KINDS].sort());
  });
});
