/*
 * The words of the database: which column holds which list is said once, in the schema file; the check in the database
 * says the same, and a column that holds text of another sort is named here.
 */
import { COLUMN_WORDS } from '../../src/platform/database/column-words.js';
import { generated } from '../support/snapshot.js';
import { wordColumns, wordGuard } from '../support/word-guard.js';
import { openYard, type Yard } from '../support/world.js';

let yard: Yard;
beforeAll(async () => {
  yard = await openYard();
});
afterAll(async () => {
  await yard.close();
});

const ask = async <Row extends object>(sql: string): Promise<Row[]> => (await yard.ownerPool.query<Row>(sql)).rows;
/**
 * A check that asks one column for one of some words: `kind = ANY (ARRAY[...])`, `scopes <@ ARRAY[...]`, `kind = 'x'`.
 */
const OF_WORDS = /^CHECK \(\(?\(?(\w+) (?:= ANY|<@|=) \(?(?:ARRAY\[)?((?:'[^']*'::text(?:, )?)+)\]?\)*$/;

interface Check {
  column: string;
  words: string[];
}

/** Every check of the database over the words of a column, by table and column. */
async function checks(): Promise<Check[]> {
  const rows = await ask<{ on_table: string; says: string }>(
    `SELECT c.conrelid::regclass::text AS on_table, pg_get_constraintdef(c.oid) AS says FROM pg_constraint c
      WHERE c.contype = 'c' AND c.connamespace = 'public'::regnamespace`,
  );
  return rows.flatMap(({ on_table: table, says }) => {
    const [, column, words] = OF_WORDS.exec(says) ?? [];
    if (column === undefined || words === undefined) return [];
    return [{ column: `${table}.${column}`, words: [...words.matchAll(/'([^']*)'/g)].map(([, one = '']) => one) }];
  });
}
const byColumn = (one: Check, other: Check): number => (one.column < other.column ? -1 : 1);

/** What a person or the program puts in words of its own, by the name of the column. */
const FREE = new RegExp(
  '^(name|note|reason|words|vendor|buyer|biller|lab|scale|field|feeding|how|pen|body|' +
    '.*_(name|email|hash|value|reason|sha256|tag|zone|sd)|' +
    'email|token|secret|seed|generator|verdict|source|sha256)$',
);
/** Text that is neither free nor of a list of ours. */
const OTHER_TEXT = {
  'confirmed_entry.code': 'of a question, whatever rules there are',
  'confirmed_entry.given': 'a figure in words',
  'confirmed_entry.message': 'a sentence',
  'confirmed_entry.pointer': 'a place in a body',
  'confirmed_entry.usual': 'a span in words',
  'account_event.address': 'of a network',
  'api_key.last_used_from': 'of a network',
  'audit_entry.action': 'what was done, of whatever there was at the time: the chain outlives it',
  'audit_entry.subject_kind': 'likewise',
  'audit_entry.address': 'of a network',
  'audit_entry.request_id': 'as the person asking named it',
  'denied_attempt.address': 'of a network',
  'denied_attempt.code': 'of a problem; the record outlives it',
  'denied_attempt.endpoint': 'an address of the API; the record outlives it',
  'denied_attempt.request_id': 'as the person asking named it',
  'erased_operation.address': 'of a network',
  'erased_operation.request_id': 'as the person asking named it',
  'idempotency_record.actor': 'a person or a key',
  'idempotency_record.key': 'as the person asking named it',
  'idempotency_record.route': 'an address of the API',
  'import_mapping.shape': 'a digest of headers',
  'lab_test.report_number': 'of a sample, as its laboratory named it',
  'mail_outbox.last_problem': 'in words, or as the mail server said it',
  'mail_outbox.sealed': 'a text that nobody reads here',
  'mail_outbox.to_address': 'of a person',
  'passkey.credential_id': 'as the authenticator named it',
  'passkey.last_used_from': 'of a network',
  'passkey.public_key': 'in base64url',
  'person_key.last_used_from': 'of a network',
  'person_session.address': 'of a network',
  'person_session.user_agent': 'what a browser calls itself',
  'ration.template_key': 'a published template, or one of the operation',
  'storage_shrink.figure': 'a published figure as it was named then, or own',
  'trial_animal.electronic_id': 'an ear tag',
  'animal_weight.electronic_id': 'an ear tag',
  'head_change_price.party': 'whom cattle were bought from or sold to',
  'head_change_price.pencil_shrink_pct': 'a figure as it was typed',
  'herd_cost.payee': 'a name as it was typed',
  'hay_purchase.ticket_number': 'of a scale ticket, as it stands there',
  'hay_sale.bale_count': 'a figure as it was typed',
  'hay_sale.ticket_number': 'of a scale ticket, as it stands there',
  'hay_transfer.bale_count': 'a figure as it was typed',
  'ration.wasted_percent': 'a figure as it was typed',
  'storage_measurement.season_share': 'a figure as it was typed',
  'water_check.dissolved_solids': 'a figure as it was typed',
  'water_check.sulfate': 'a figure as it was typed',
  'weigh_in.hours_off_feed': 'a figure as it was typed',
  'weigh_in.shrink_pct': 'a figure as it was typed',
  'yardage_rate.amount': 'a figure as it was typed',
};

describe('the words of a column', () => {
  it('stand in the guard that is made from the schema file and the lists', () => {
    generated('prisma/guards/25-words.sql', wordGuard());
  });

  it('are what the database lets in: one check a column, none without a list', async () => {
    const wanted = wordColumns().map(({ table, column, list }) => ({
      column: `${table}.${column}`,
      words: [...COLUMN_WORDS[list]],
    }));
    expect((await checks()).sort(byColumn)).toEqual(wanted.sort(byColumn));
    expect(wanted.length).toBeGreaterThan(100);
  });

  it('are a list for every column of text, but for what is named here', async () => {
    const text = await ask<{ column: string; name: string }>(
      `SELECT table_name || '.' || column_name AS column, column_name AS name FROM information_schema.columns
        WHERE table_schema = 'public' AND table_name <> '_prisma_migrations' AND udt_name IN ('text', '_text')
        ORDER BY 1`,
    );
    const listed = new Set(wordColumns().map(({ table, column }) => `${table}.${column}`));
    const left = text.filter(({ column, name }) => !listed.has(column) && !FREE.test(name)).map(({ column }) => column);
    expect(left.sort()).toEqual(Object.keys(OTHER_TEXT).sort());
  });

  it('that are none of the list are refused', async () => {
    await expect(
      yard.ownerPool.query(
        'INSERT INTO person_key (id, person_id, name, secret_hash, scopes, expires_at) SELECT ' +
          "gen_random_uuid(), gen_random_uuid(), 'x', 'x', ARRAY['read', 'own'], now()",
      ),
    ).rejects.toMatchObject({ code: '23514', constraint: 'person_key_scopes_words' });
  });

  it('are each once in its list, and every list is some column’s', () => {
    for (const [name, words] of Object.entries(COLUMN_WORDS))
      expect([name, new Set(words).size]).toEqual([name, words.length]);
    const used = new Set<string>(wordColumns().map(({ list }) => list));
    expect(Object.keys(COLUMN_WORDS).filter((name) => !used.has(name))).toEqual([]);
  });
});
