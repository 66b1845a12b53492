import type { z } from 'zod';
import { ACCOUNT_ROLE_CODES, ACCOUNT_SORTS } from '../../core/stock/accounts.data.js';
import type { generalLedgerReport } from '../../office/general-ledger/general-ledger.schema.js';

type Ledger = z.output<typeof generalLedgerReport>;
type Line = Ledger['lines'][number];

/** The five roots of an account's name in that language. */
const ROOTS = {
  asset: 'Assets',
  liability: 'Liabilities',
  equity: 'Equity',
  income: 'Income',
  expense: 'Expenses',
} as const;
/** Longer than any name that an accountant gives. */
const NAME_LETTERS = 60;

/**
 * A general ledger as double entry in plain text, by the Beancount Language Syntax (beancount.github.io/docs/
 * beancount_language_syntax.html): comments, options, the accounts opened (all of the map, so that their names do not
 * depend on what was posted, and files of later days can be joined to this one), then a transaction for each entry, day
 * or month. A debit is a positive number, a credit a negative one. What the language has no word for (lot, herd,
 * enterprise, batch) is metadata.
 */
export function beancountText(ledger: Ledger): string {
  const accounts = accountNames([...(ledger.accounts ?? []), ...ledger.lines]);
  return [
    ...headOf(ledger).map((line) => `; ${oneLine(line)}`),
    '',
    `option "title" ${quoted(ledger.operation)}`,
    `option "operating_currency" "${ledger.currency}"`,
    '',
    ...(ledger.openAccounts === 'no' ? [] : [...accounts.values()]).flatMap(({ name, number, title }) => [
      `${ledger.from} open ${name} ${ledger.currency}`,
      `  number: ${quoted(number)}`,
      `  name: ${quoted(title)}`,
    ]),
    '',
    ...transactions(ledger).flatMap((lines) => [
      ...transaction(lines, ledger, (line) => accounts.get(line.accountNumber)?.name ?? ''),
      '',
    ]),
  ].join('\n');
}

function headOf(ledger: Ledger): string[] {
  return [
    `${ledger.operation}, ${ledger.from} to ${ledger.until}`,
    ...(ledger.invented ? ['Invented demo data: no person, ranch or animal in it exists.'] : []),
    ledger.method,
    ...(ledger.batchId === null ? ['Open days: what is entered later changes this.'] : [`Batch ${ledger.batchId}`]),
    ...ledger.flags.map(({ message }) => message),
  ];
}

/** Lines that balance among themselves: those of an entry, of a herd's yardage, or of a day in sum. */
function transactions({ lines }: Ledger): Line[][] {
  const groups = new Map<string, Line[]>();
  for (const line of lines) {
    const key = JSON.stringify([line.on, line.entryId, line.entryId === null ? [line.kind, line.herdId] : null]);
    groups.set(key, [...(groups.get(key) ?? []), line]);
  }
  return [...groups.values()];
}

function transaction(lines: readonly Line[], { batchId, currency }: Ledger, nameOf: (line: Line) => string): string[] {
  const [first] = lines;
  if (first === undefined) return [];
  const payee = first.vendor ?? first.buyer;
  const words = first.memo ?? first.kind ?? `In sum, ${lines.length} accounts`;
  return [
    `${first.on} * ${payee === null ? '' : `${quoted(payee)} `}${quoted(words)}`,
    ...metadata(2, [
      ['entry', first.entryId],
      ['batch', batchId],
      ['kind', first.kind],
      ['reverses', first.reversesId],
      ['source', first.source === null ? null : `${first.source.kind} ${first.source.id}`],
    ]),
    ...lines.flatMap((line) => [
      `  ${nameOf(line)}  ${signed(line)} ${currency}`,
      ...metadata(4, [
        ['enterprise', line.enterprise],
        ['lot', line.hayLot],
        ['lot-id', line.hayLotId],
        ['herd', line.herd],
        ['herd-id', line.herdId],
      ]),
    ]),
  ];
}

function metadata(indent: number, pairs: readonly (readonly [key: string, value: string | null])[]): string[] {
  return pairs.flatMap(([key, value]) => (value === null ? [] : [`${' '.repeat(indent)}${key}: ${quoted(value)}`]));
}

const signed = ({ debit, credit }: Line): string => (Number(credit.amount) === 0 ? debit.amount : `-${credit.amount}`);

/**
 * Each account by its number: a root by its role, then number and name in what the language allows (letters, digits and
 * dashes, a capital or a digit first). Numbers that would look alike (1400.1 and 1400-1) are told apart.
 */
function accountNames(
  lines: readonly Pick<Line, 'account' | 'accountNumber' | 'accountName'>[],
): Map<string, { name: string; number: string; title: string }> {
  const byRole = [...lines].sort(
    (one, other) => ACCOUNT_ROLE_CODES.indexOf(one.account) - ACCOUNT_ROLE_CODES.indexOf(other.account),
  );
  const names = new Map<string, { name: string; number: string; title: string }>();
  const taken = new Set<string>();
  for (const { account, accountNumber: number, accountName: title } of byRole) {
    if (names.has(number)) continue;
    const stem = `${ROOTS[ACCOUNT_SORTS[account]]}:${componentOf(`${number} ${title}`)}`;
    let name = stem;
    for (let again = 2; taken.has(name); again += 1) name = `${stem}-${again}`;
    taken.add(name);
    names.set(number, { name, number, title });
  }
  return names;
}

function componentOf(words: string): string {
  const plain = words
    .normalize('NFKD')
    .replaceAll(/\p{M}/gu, '')
    .replaceAll(/[^A-Za-z0-9]+/g, '-')
    .slice(0, NAME_LETTERS)
    .replaceAll(/^-+|-+$/g, '');
  return plain === '' ? 'X' : plain.charAt(0).toUpperCase() + plain.slice(1);
}

/** Strings are between double quotes, with a backslash before a quote or a backslash; ours are of one line. */
function quoted(words: string): string {
  return `"${oneLine(words).replaceAll(/["\\]/g, (sign) => `\\${sign}`)}"`;
}

const oneLine = (words: string): string => words.replaceAll(/\s+/g, ' ').trim();
