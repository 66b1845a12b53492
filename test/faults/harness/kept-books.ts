import pg from 'pg';
import type { Sent } from './phones.js';
import type { YardOfFaults } from './yard-of-faults.js';

/** What the books say of what phones were told. Each is a list of words; all empty is as it must be. */
export interface KeptBooks {
  /** Acknowledged, but not there. */
  readonly lost: string[];
  /** There more often than once. */
  readonly doubled: string[];
  /** There without all that was written with it. */
  readonly half: string[];
}

interface Listed {
  id: string;
  note: string | null;
}

/** Reads the books over the API, and what stands behind each entry as the schema's owner. */
export async function keptBooks(
  { url, ownerUrl, yard }: { url: string; ownerUrl: string; yard: YardOfFaults },
  sent: readonly Sent[],
): Promise<KeptBooks> {
  const listed = [...(await all(url, yard, 'hay-purchases')), ...(await all(url, yard, 'hay-sales'))];
  const ids = new Set(listed.map(({ id }) => id));
  const times = new Map<string, number>();
  for (const { note } of listed) if (note !== null) times.set(note, (times.get(note) ?? 0) + 1);
  return {
    lost: sent.filter((one) => one.acknowledged !== undefined && !ids.has(one.acknowledged)).map(({ mark }) => mark),
    doubled: [...times].filter(([, count]) => count > 1).map(([mark, count]) => `${mark} (${count} times)`),
    half: await halves(ownerUrl, yard.operationId),
  };
}

async function all(url: string, { operationId, keys }: YardOfFaults, kind: Sent['kind']): Promise<Listed[]> {
  const items: Listed[] = [];
  let cursor: string | null = null;
  do {
    const at = `${url}/v1/operations/${operationId}/${kind}?limit=200${cursor === null ? '' : `&cursor=${cursor}`}`;
    const answer = await fetch(at, {
      headers: { Authorization: `Bearer ${keys[0]}`, 'X-Forwarded-For': '10.3.0.1' },
    });
    if (answer.status !== 200) throw new Error(`${at} answered ${answer.status}: ${await answer.text()}`);
    const page = (await answer.json()) as { items: Listed[]; nextCursor: string | null };
    items.push(...page.items);
    cursor = page.nextCursor;
  } while (cursor !== null);
  return items;
}

/**
 * One ticket or sale is a row, its movement (for its kilograms, in or out), its price, a line of the audit and the
 * answer kept under its key. An entry that lacks one of them, one of them without its entry, a lot whose balance is
 * below zero, and an audit whose chain does not hold are halves.
 */
const HALVES = `
  WITH entry AS (
    SELECT 'hay-purchase' AS kind, id, weight_kg AS kilograms FROM hay_purchase WHERE operation_id = $1
    UNION ALL SELECT 'hay-sale', id, -weight_kg FROM hay_sale WHERE operation_id = $1
  ), price AS (
    SELECT hay_purchase_id AS id FROM hay_purchase_price WHERE operation_id = $1
    UNION ALL SELECT hay_sale_id FROM hay_sale_price WHERE operation_id = $1
  ), line AS (
    SELECT subject_id AS id FROM audit_entry
     WHERE operation_id = $1 AND action IN ('hay-purchase.create', 'hay-sale.create')
  ), kept AS (
    SELECT (answer->>'id')::uuid AS id, status, key FROM idempotency_record
     WHERE route ~ '/(hay-purchases|hay-sales)$' AND (answer IS NULL OR route LIKE '%' || $1::text || '%')
  )
  SELECT e.kind || ' ' || e.id || ' has not one movement of its weight' AS words FROM entry e
   WHERE (SELECT array_agg(m.kilograms) FROM stock_movement m WHERE m.operation_id = $1 AND m.source_id = e.id)
         IS DISTINCT FROM ARRAY[e.kilograms]
  UNION ALL SELECT 'movement ' || m.id || ' has no entry' FROM stock_movement m
   WHERE m.operation_id = $1 AND NOT EXISTS (SELECT FROM entry e WHERE e.id = m.source_id)
  UNION ALL SELECT e.kind || ' ' || e.id || ' has no price' FROM entry e
   WHERE NOT EXISTS (SELECT FROM price p WHERE p.id = e.id)
  UNION ALL SELECT e.kind || ' ' || e.id || ' has ' || count(l.id) || ' lines in the audit'
    FROM entry e LEFT JOIN line l ON l.id = e.id GROUP BY e.kind, e.id HAVING count(l.id) <> 1
  UNION ALL SELECT 'an audited entry ' || l.id || ' is not there' FROM line l
   WHERE NOT EXISTS (SELECT FROM entry e WHERE e.id = l.id)
  UNION ALL SELECT 'the key ' || k.key || ' is kept without an answer' FROM kept k WHERE k.id IS NULL
  UNION ALL SELECT 'the key ' || k.key || ' answers with what is not there' FROM kept k
   WHERE k.id IS NOT NULL AND NOT EXISTS (SELECT FROM entry e WHERE e.id = k.id)
  UNION ALL SELECT 'lot ' || hay_lot_id || ' is below zero' FROM stock_movement
   WHERE operation_id = $1 GROUP BY hay_lot_id HAVING sum(kilograms) < 0
  UNION ALL SELECT 'lot ' || l.id || ' was opened without a ticket' FROM hay_lot l
   WHERE l.operation_id = $1 AND NOT EXISTS
         (SELECT FROM stock_movement m WHERE m.operation_id = $1 AND m.hay_lot_id = l.id)
  UNION ALL SELECT 'the audit breaks at line ' || c.first_break FROM rickyard.audit_chain($1) AS c
   WHERE c.first_break IS NOT NULL`;

async function halves(ownerUrl: string, operationId: string): Promise<string[]> {
  const owner = new pg.Client({ connectionString: ownerUrl });
  await owner.connect();
  try {
    const { rows } = await owner.query<{ words: string }>(HALVES, [operationId]);
    return rows.map(({ words }) => words);
  } finally {
    await owner.end();
  }
}
