import { ACTS, actsOf, maySeePrices, ROLES } from '../../src/platform/roles/roles.data.js';

const LINE = 116;
const word = (text: string): string => `'${text}'`;
const list = (words: readonly string[]): string => words.map(word).join(', ');
const without = ROLES.filter((role) => !maySeePrices(role));

/** The tables that hold a role. */
const HOLDERS = ['membership', 'invitation'];

/** prisma/guards/20-role-acts.sql, made from the table of roles. */
export function roleGuard(): string {
  return `-- Made from src/platform/roles/roles.data.ts by test/catalogue/roles.test.ts; UPDATE_SNAPSHOTS=1 writes it.

-- Every act there is.
CREATE OR REPLACE FUNCTION rickyard.acts() RETURNS text[] LANGUAGE sql IMMUTABLE
AS $$ SELECT ARRAY[${list(ACTS)}] $$;

-- What each role may do. Immutable and one list of values, so that the planner puts the rows in place of the call.
CREATE OR REPLACE FUNCTION rickyard.role_acts() RETURNS TABLE (role text, act text) LANGUAGE sql IMMUTABLE
AS $$ VALUES
${ROLES.map((role) => pairs(role)).join(',\n')}
$$;

-- The roles that never come with a sight of prices.
${HOLDERS.map((table) => constraint(table, 'hand_sees_no_prices', `${noneOf()} OR NOT sees_prices`)).join('\n')}
`;
}

function pairs(role: string): string {
  const lines: string[] = [];
  for (const act of actsOf(role)) {
    const pair = `(${word(role)}, ${word(act)})`;
    const last = lines.at(-1);
    if (last === undefined || last.length + pair.length + 4 > LINE) lines.push(pair);
    else lines[lines.length - 1] = `${last}, ${pair}`;
  }
  return lines.map((line) => `  ${line}`).join(',\n');
}

function noneOf(): string {
  return without.length === 1 ? `role <> ${word(without[0] ?? '')}` : `role NOT IN (${list(without)})`;
}

function constraint(table: string, name: string, check: string): string {
  const full = `${table}_${name}`;
  return [
    `ALTER TABLE ${table} DROP CONSTRAINT IF EXISTS ${full};`,
    `ALTER TABLE ${table} ADD CONSTRAINT ${full}`,
    `  CHECK (${check});`,
  ].join('\n');
}
