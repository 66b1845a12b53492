import { daysInMonth, monthOf } from '../../core/time/calendar-day.js';
import type { OperationTenant, Tenant } from '../database/types.js';
import type { AnyEndpoint } from './endpoint.js';

/**
 * Whose and which a file is. A report tells it in its answer, a list in what was asked; where neither does, the
 * endpoint says it (`filedUnder`), and whose it is follows from the operation that was entered.
 */
export interface FiledUnder {
  operation?: unknown;
  /** What it is, where the address does not say it: one of a list of lots is a hay lot. */
  what?: unknown;
  /** Which of several: the place of a sheet, the herd of a closeout, the lot, the trial. */
  of?: unknown;
  from?: unknown;
  until?: unknown;
  onDay?: unknown;
}

/** Name of the operation that a transaction entered; undefined where it entered none. */
export function nameOfEntered(tenant: Tenant | OperationTenant | undefined): string | undefined {
  return tenant !== undefined && 'operation' in tenant ? tenant.operation.name : undefined;
}

const LETTERS_MOST = 60;

/**
 * A name under which a file sorts itself: operation, what it is, which of several, first and last day (or month, where
 * the days are whole months), as far as there are any. Letters beyond ASCII lose their marks, since not every program
 * that saves a file reads RFC 8187.
 */
export function fileName({ path }: Pick<AnyEndpoint, 'path'>, under: FiledUnder, ending: string): string {
  const { operation, what = whatIsFiled(path), of, from, until, onDay } = under;
  const parts = [operation, what, of, ...spanSaid(from, until ?? onDay)].flatMap((part) => {
    const text = typeof part === 'string' ? slug(part) : '';
    return text === '' ? [] : [text];
  });
  return `${parts.join('_')}.${ending}`;
}

/** What a file is, by its address: `season-cost`. */
export function whatIsFiled(path: string): string {
  return path.split('/').findLast((step) => step !== '' && !step.startsWith(':')) ?? 'file';
}

/** Whole months by their months. */
function spanSaid(from: unknown, until: unknown): unknown[] {
  if (typeof from !== 'string' || typeof until !== 'string' || !isMonths(from, until)) return [from, until];
  return [...new Set([monthOf(from), monthOf(until)])];
}

function isMonths(from: string, until: string): boolean {
  const [year = 0, month = 0, last = 0] = until.split('-').map(Number);
  return from.endsWith('-01') && last === daysInMonth(year, month);
}

function slug(text: string): string {
  return text
    .normalize('NFKD')
    .replaceAll(/\p{M}/gu, '')
    .toLowerCase()
    .replaceAll(/[^a-z0-9]+/g, '-')
    .slice(0, LETTERS_MOST)
    .replaceAll(/^-+|-+$/g, '');
}
