import { Mass, type MassUnit } from '../../core/units/mass.js';
import { unitsOf } from '../../core/units/unit.js';
import { periodClosed } from '../http/period-closed.js';
import { massToldIn } from '../http/mass-told.js';
import { Problem } from '../http/problem.js';
import type { OperationSettings } from './types.js';

interface DatabaseErrorLike {
  code?: string;
  detail?: string;
  constraint?: string;
  table?: string;
}

type Units = OperationSettings['unitPreference'];

/**
 * Translates errors of the database's own guards into problems, in the reader's units. Any other database error is our
 * bug and stays a 500.
 */
export function problemOfDatabaseError(error: unknown, units: Units = 'metric'): Problem | undefined {
  const { code, detail, table, constraint } = error as DatabaseErrorLike;
  switch (code) {
    case 'RY001':
      return lotShort(detail, units);
    case 'RY004':
      return herdShort(detail);
    case 'RY003':
      return new Problem(
        'rule-broken',
        'A reversal must undo exactly one entry, with a reason, and cannot be dated before it.',
      );
    case 'RY006':
      return new Problem('conflict', (error as Error).message);
    case 'RY005':
      return periodClosed(parse<{ on: string; closedUntil: string }>(detail));
    case 'RY050':
      return new Problem('last-owner');
    case 'RY052':
      return new Problem('deletion-not-ready');
    case '23505':
      return new Problem(
        'conflict',
        table === 'reversal' || table === 'stock_movement' || constraint === 'head_change_operation_id_reverses_id_key'
          ? 'This was already reversed.'
          : 'A record like this already exists.',
      );
    case '23503':
      // A foreign key that fails: a record named in the body does not exist in this operation. Same answer as for one
      // that never existed.
      return new Problem('not-found', 'A record that the body refers to does not exist.');
    default:
      return problemOfConnection(code, (error as Error | undefined)?.message ?? '');
  }
}

/** The database is unreachable or restarted (classes 08, 57P), or ended an idle transaction. */
const AWAY = /^(08|57P)|^25P0[34]$|^(ECONNREFUSED|ECONNRESET|EPIPE|ETIMEDOUT|ENOTFOUND|EAI_AGAIN|EHOSTUNREACH)$/;
/** The driver reports these without a code. */
const AWAY_IN_WORDS = [
  'timeout exceeded when trying to connect',
  'Connection terminated',
  'Client has encountered a connection error',
  'Client was closed',
];
/** The database can write nothing new: its files are closed to it. By the code alone it may as well be our bug. */
const UNWRITABLE = /^could not (?:access|create|extend|fsync|open|rename|write|write to) (?:directory|file) /;
const FILE_CODES = new Set(['42501', '58030', '58P01']);
/** It takes no writes: it has become a replica, or somebody has set it so. */
const READ_ONLY = '25006';
/** A lock or a statement that timed out. */
const TOO_LONG = new Set(['55P03', '57014']);

/**
 * Of a transaction that was opened to write: that the database takes none. Of one that was opened to read it would be
 * our bug.
 */
export function problemOfReadOnly(error: unknown): Problem | undefined {
  const { code } = error as DatabaseErrorLike;
  if (code !== READ_ONLY) return undefined;
  return new Problem('not-ready', 'The database takes no writes at present.', [], { 'Retry-After': '2' });
}

/** The database has run out of something (class 53 of PostgreSQL's codes): of what. */
const OUT_OF: Readonly<Record<string, string>> = {
  '53100': 'The disk of the database is full: nothing can be saved until there is room on it.',
  '53200': 'The database is out of memory.',
  '53300': 'The database has no connection left: others use all that it allows.',
  '53400': 'The database has reached a limit of its settings.',
};

function problemOfConnection(code: string | undefined, message: string): Problem | undefined {
  if (code !== undefined && FILE_CODES.has(code) && UNWRITABLE.test(message))
    return new Problem('not-ready', undefined, [], { 'Retry-After': '2' });
  if (code !== undefined && TOO_LONG.has(code))
    return new Problem('took-too-long', undefined, [], { 'Retry-After': '10' });
  if (code !== undefined && code.startsWith('53'))
    return new Problem('not-ready', OUT_OF[code] ?? 'The database is out of resources.', [], { 'Retry-After': '2' });
  if ((code !== undefined && AWAY.test(code)) || AWAY_IN_WORDS.some((words) => message.startsWith(words)))
    return new Problem('not-ready', undefined, [], { 'Retry-After': '2' });
  return undefined;
}

function lotShort(detail: string | undefined, units: Units): Problem {
  const short = parse<{
    hayLotId: string;
    hayLot: string | null;
    shortKilograms: string;
    leftKilograms: string | null;
    on: string;
    typedUnit: string;
    leaning: { kind: string; id: string; on: string; kilograms: string; outOf: number }[];
  }>(detail);
  const lot = short.hayLot ?? 'The lot';
  const typed = unitsOf('mass').find((one) => one === short.typedUnit);
  const unit: MassUnit = typed ?? (units === 'us' ? 'lb' : 'kg');
  const missing = massToldIn(Mass.kilograms(short.shortKilograms), unit, 'up');
  const left = short.leftKilograms === null ? undefined : Mass.kilograms(short.leftKilograms);
  return new Problem(
    'lot-short',
    `${lot} would be ${missing} short on ${short.on}.`,
    [
      {
        code: 'lot-short',
        allowed: 'no more than is in the lot on that day and every later day',
        message:
          `${lot}: ${missing} are missing on ${short.on}` +
          (left === undefined ? '.' : `; ${massToldIn(left, unit, 'down')} could be drawn.`),
      },
    ],
    {},
    {
      id: short.hayLotId,
      what: 'hay lot',
      ...(left === undefined ? {} : { left }),
      short: Mass.kilograms(short.shortKilograms),
      leaning: {
        count: short.leaning[0]?.outOf ?? 0,
        newest: short.leaning.map(({ kind, id, on, kilograms }) => ({ kind, id, on, mass: Mass.kilograms(kilograms) })),
      },
      unit,
    },
  );
}

function herdShort(detail: string | undefined): Problem {
  const short = parse<{ herdId: string; herd: string | null; head: number; on: string }>(detail);
  const message = `${short.herd ?? 'The herd'} would be ${-short.head} head short on ${short.on}.`;
  return new Problem(
    'herd-short',
    message,
    [{ code: 'herd-short', allowed: 'no more head than the herd has on that day and every later day', message }],
    {},
    { id: short.herdId, what: 'herd', shortHead: -short.head },
  );
}

function parse<T>(detail: string | undefined): T {
  return JSON.parse(detail ?? '{}') as T;
}
