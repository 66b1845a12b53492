import { readFileSync } from 'node:fs';
import path from 'node:path';
import { COLUMN_WORDS } from '../../src/platform/database/column-words.js';

const SCHEMA = path.resolve(__dirname, '..', '..', 'prisma', 'schema.prisma');
const LINE = 116;

export interface WordColumn {
  table: string;
  column: string;
  /** A row holds several of the words, rather than one. */
  many: boolean;
  list: keyof typeof COLUMN_WORDS;
}

/** Every column of the schema file that names the list it takes its words from. */
export function wordColumns(): WordColumn[] {
  const found: WordColumn[] = [];
  let table = '';
  for (const line of readFileSync(SCHEMA, 'utf8').split('\n')) {
    table = /^model (\w+)/.exec(line)?.[1] ?? table;
    const [, column, many, list] = /^ {2}(\w+)\s+String(\[\])?.*@kyselyType\(Words\['(\w+)'\]\)/.exec(line) ?? [];
    if (column === undefined || list === undefined) continue;
    if (!isList(list)) throw new Error(`${table}.${column} names ${list}, which is no list`);
    found.push({ table, column, many: many !== undefined, list });
  }
  return found;
}

const isList = (name: string): name is keyof typeof COLUMN_WORDS => Object.hasOwn(COLUMN_WORDS, name);

/** prisma/guards/25-words.sql, made from the schema file and the lists that it names. */
export function wordGuard(): string {
  return `-- Made from prisma/schema.prisma and src/platform/database/column-words.ts by test/catalogue/words.test.ts
-- (UPDATE_SNAPSHOTS=1 rewrites it). Which words each column may hold; empty columns are not checked.
CREATE TEMPORARY TABLE word_list (name text PRIMARY KEY, words text[] NOT NULL) ON COMMIT DROP;
INSERT INTO word_list VALUES
${Object.entries(COLUMN_WORDS)
  .map(([name, words]) => listRow(name, words))
  .join(',\n')};

CREATE TEMPORARY TABLE word_column (
  table_name text NOT NULL,
  column_name text NOT NULL,
  list text NOT NULL REFERENCES word_list,
  many boolean NOT NULL,
  PRIMARY KEY (table_name, column_name)
) ON COMMIT DROP;
INSERT INTO word_column VALUES
${wordColumns()
  .map(({ table, column, list, many }) => `  (${word(table)}, ${word(column)}, ${word(list)}, ${many})`)
  .join(',\n')};

${MAKE_CHECKS}`;
}

/** A table is scanned only if the list of one of its columns changed. */
const MAKE_CHECKS = `\
-- One check per column, <table>_<column>_words. One that already says the same is left alone.
DO $$
DECLARE
  rule record;
BEGIN
  FOR rule IN
    WITH wanted AS (
      SELECT format('%I', c.table_name)::regclass AS on_table, c.table_name || '_' || c.column_name || '_words' AS name,
        c.column_name, c.many, l.words
        FROM word_column c JOIN word_list l ON l.name = c.list
    ), made AS (
      SELECT c.conrelid::regclass AS on_table, c.conname AS name,
        ARRAY(SELECT quoted.one[1] FROM regexp_matches(pg_get_constraintdef(c.oid), '''([^'']*)''', 'g') AS quoted(one))
          AS words
        FROM pg_constraint c
       WHERE c.contype = 'c' AND c.connamespace = 'public'::regnamespace AND c.conname LIKE '%\\_words'
    )
    SELECT COALESCE(w.on_table, m.on_table) AS on_table, COALESCE(w.name, m.name) AS name,
      m.name IS NOT NULL AS stale,
      CASE WHEN w.name IS NOT NULL THEN format(
        CASE WHEN w.many THEN '%I <@ ARRAY[%s]' ELSE '%I = ANY (ARRAY[%s])' END, w.column_name,
        (SELECT string_agg(quote_literal(one), ', ') FROM unnest(w.words) AS one)) END AS says
      FROM wanted w FULL JOIN made m ON m.on_table = w.on_table AND m.name = w.name
     WHERE w.words IS DISTINCT FROM m.words
  LOOP
    IF rule.stale THEN
      EXECUTE format('ALTER TABLE %s DROP CONSTRAINT %I', rule.on_table, rule.name);
    END IF;
    IF rule.says IS NOT NULL THEN
      EXECUTE format('ALTER TABLE %s ADD CONSTRAINT %I CHECK (%s)', rule.on_table, rule.name, rule.says);
    END IF;
  END LOOP;
END $$;
`;

const word = (text: string): string => `'${text}'`;

function listRow(name: string, words: readonly string[]): string {
  const lines = [`  (${word(name)}, ARRAY[`];
  words.forEach((one, index) => {
    const piece = `${word(one)}${index === words.length - 1 ? '])' : ','}`;
    const last = lines.at(-1) ?? '';
    if (last.length + piece.length + 1 > LINE) lines.push(`    ${piece}`);
    else lines[lines.length - 1] = `${last}${last.endsWith('[') ? '' : ' '}${piece}`;
  });
  return lines.join('\n');
}
