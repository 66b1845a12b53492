import { createHash } from 'node:crypto';
import type { z } from 'zod';
import type { AnyEndpoint } from './endpoint.js';

/** What is said, and of what: `['operation', 'Coldwater']`. */
export type Remark = readonly [what: string, said: string];

/** What a file says of itself beside its table, as far as the answer tells it. */
export interface Told {
  operation?: string;
  invented?: boolean;
  from?: string | null;
  until?: string | null;
  onDay?: string;
  at?: string;
  knownAt?: string | null;
  units?: string;
  currency?: string;
  method?: string;
  costingMethod?: string;
  closed?: { closedAt: string; sha256: string } | null;
  flags?: readonly { message: string }[];
  /** Where an answer is of several, each with its own books. */
  operations?: readonly BooksTold[];
}

interface BooksTold {
  operation: string;
  currency: string;
  costingMethod: string;
  flags: readonly { message: string }[];
}

const LEFT_OUT = 'no';
const OWN_PARAMETERS = ['format', 'head', 'limit', 'cursor'];

/** Whether files of this address say whose they are: reports and registers do, a sample to be filled in does not. */
export function hasHead({ register, table, answer }: AnyEndpoint): boolean {
  if (register !== undefined) return true;
  const { shape } = (answer ?? {}) as Partial<z.ZodObject>;
  return table !== undefined && shape !== undefined && ('operation' in shape || 'operations' in shape);
}

/** Whether `?head=no` asks for the bare table. */
export function wantsHead(address: string): boolean {
  return new URL(address, 'http://here').searchParams.get('head') !== LEFT_OUT;
}

/** What a file says before its table: whose, which days, how it was worked out, what is doubtful, where it is from. */
export function headOf(told: Told, address: string): Remark[] {
  const { from, until, onDay, closed } = told;
  const days = [from, until].filter((day) => day !== undefined && day !== null).join(' to ');
  const remarks: [string, string | null | undefined][] = [
    ['operation', told.operation],
    ['demo data', told.invented === true ? 'invented; no person, ranch or animal in it exists' : undefined],
    ['period', days === '' ? onDay : days],
    ['at', told.at],
    ['known at', told.knownAt],
    ['units', told.units],
    ['currency', told.currency],
    ['method', told.method],
    ['costing method', told.costingMethod],
    ['closed', closed === null || closed === undefined ? undefined : `${closed.closedAt}, SHA-256 ${closed.sha256}`],
    ...(told.flags ?? []).map(({ message }): [string, string] => ['flag', message]),
    ...(told.operations ?? []).flatMap(ofOperation),
    ['source', sourceOf(address)],
  ];
  return remarks.filter((one): one is [string, string] => one[1] !== undefined && one[1] !== null && one[1] !== '');
}

function ofOperation({ operation, currency, costingMethod, flags }: BooksTold): [string, string][] {
  return [
    ['operation', `${operation}: ${currency}, ${costingMethod}`],
    ...flags.map(({ message }): [string, string] => ['flag', `${operation}: ${message}`]),
  ];
}

/** The address of the figures, without the form in which they were asked for. */
function sourceOf(address: string): string {
  const { pathname, searchParams } = new URL(address, 'http://here');
  for (const name of OWN_PARAMETERS) searchParams.delete(name);
  return searchParams.size === 0 ? pathname : `${pathname}?${searchParams.toString()}`;
}

/** The seal of a table: of its CSV, header and rows, without what is said of it. */
export class TableSeal {
  readonly #digest = createHash('sha256');

  add(csv: string): this {
    this.#digest.update(csv);
    return this;
  }

  remarks(rows: number): Remark[] {
    return [
      ['rows', String(rows)],
      ['sha256 of the table', this.#digest.copy().digest('hex')],
    ];
  }
}
