import { Mass } from '../units/mass.js';
import { type Refusal, refused } from '../outcome/outcome.js';
import { problem, type Problem } from '../outcome/problem.js';

/**
 * The kinds of ledger movement and the sign their mass has. 0: either, a count may find more or less, and a reversal
 * has the opposite sign of what it reverses.
 */
export const MOVEMENT_KINDS = {
  purchase: { sign: 1, needs: [] },
  harvest: { sign: 1, needs: [] },
  'transfer-in': { sign: 1, needs: ['transferId'] },
  'transfer-out': { sign: -1, needs: ['transferId'] },
  feed: { sign: -1, needs: ['herdId'] },
  shrink: { sign: -1, needs: [] },
  sale: { sign: -1, needs: [] },
  'count-adjustment': { sign: 0, needs: ['reason'] },
  reversal: { sign: 0, needs: ['reverses', 'reason'] },
} as const satisfies Record<
  string,
  { sign: 1 | -1 | 0; needs: readonly ('transferId' | 'herdId' | 'reason' | 'reverses')[] }
>;
export type MovementKind = keyof typeof MOVEMENT_KINDS;

/** One row of the append-only ledger of a lot. `change` is signed; `at` is when it happened, an ISO 8601 instant. */
export interface Movement {
  readonly id: string;
  readonly kind: MovementKind;
  readonly lotId: string;
  readonly placeId: string;
  /** ISO 8601 with zone, e.g. 2025-01-31T14:00:00Z. */
  readonly at: string;
  /** Order among movements of one instant; the earlier recorded first. */
  readonly sequence: number;
  readonly change: Mass;
  readonly herdId?: string;
  readonly transferId?: string;
  readonly reverses?: string;
  readonly reason?: string;
}

const INSTANT = /^\d{4}-\d{2}-\d{2}T\d{2}:\d{2}(?::\d{2}(?:\.\d{1,9})?)?(?:Z|[+-]\d{2}:\d{2})$/;

/** Milliseconds of an instant. @throws RangeError if the text is not an ISO 8601 instant with a zone. */
export function instantMilliseconds(at: string): number {
  const milliseconds = INSTANT.test(at) ? Date.parse(at) : Number.NaN;
  if (Number.isNaN(milliseconds)) throw new RangeError(`Not an ISO 8601 instant with a zone: ${at}`);
  return milliseconds;
}

/** Earlier first; at one instant, the earlier recorded first. */
export function compareMovements(
  one: Pick<Movement, 'at' | 'sequence'>,
  other: Pick<Movement, 'at' | 'sequence'>,
): number {
  return instantMilliseconds(one.at) - instantMilliseconds(other.at) || one.sequence - other.sequence;
}

/** What is wrong with a movement on its own: sign, zero, what its kind needs, and how it stands to what it reverses. */
export function movementProblems(movement: Movement, reversed?: Movement): Problem[] {
  const problems: Problem[] = [];
  const rule = MOVEMENT_KINDS[movement.kind];
  const given = movement.change.toString();
  if (movement.change.isZero()) {
    problems.push(problem('movement-of-nothing', 'change', given, 'not 0 kg', 'A movement of nothing is not booked.'));
  } else if (rule.sign !== 0 && movement.change.isNegative() !== (rule.sign === -1)) {
    problems.push(
      problem(
        'movement-sign',
        'change',
        given,
        rule.sign === 1 ? 'above 0 kg' : 'below 0 kg',
        `A ${movement.kind} ${rule.sign === 1 ? 'brings hay in' : 'takes hay out'}.`,
      ),
    );
  }
  for (const field of rule.needs) {
    if ((movement[field] ?? '').trim() === '')
      problems.push(problem('movement-incomplete', field, '', 'given', `A ${movement.kind} needs its ${field}.`));
  }
  if (movement.kind === 'reversal' && reversed) problems.push(...reversalProblems(movement, reversed));
  return problems;
}

function reversalProblems(movement: Movement, reversed: Movement): Problem[] {
  const problems: Problem[] = [];
  if (movement.reverses !== reversed.id || movement.lotId !== reversed.lotId || movement.placeId !== reversed.placeId) {
    problems.push(
      problem(
        'reversal-elsewhere',
        'reverses',
        movement.reverses ?? '',
        reversed.id,
        'A reversal stands on the lot and place of what it reverses.',
      ),
    );
  }
  if (reversed.kind === 'reversal')
    problems.push(
      problem(
        'reversal-of-reversal',
        'reverses',
        reversed.id,
        'an entry that is not itself a reversal',
        'A reversal is not reversed: enter what is right anew.',
      ),
    );
  if (movement.change.plus(reversed.change).compare(Mass.zero) !== 0) {
    problems.push(
      problem(
        'reversal-not-exact',
        'change',
        movement.change.toString(),
        reversed.change.negated().toString(),
        'A reversal takes back exactly what was moved.',
      ),
    );
  }
  if (instantMilliseconds(movement.at) < instantMilliseconds(reversed.at)) {
    problems.push(
      problem(
        'reversal-before-entry',
        'at',
        movement.at,
        `${reversed.at} or later`,
        'A reversal cannot take effect before what it reverses.',
      ),
    );
  }
  return problems;
}

/** The two rows of a transfer balance: one out, one in, the same mass at the same instant. */
export function transferProblems(out: Movement, into: Movement): Problem[] {
  const problems: Problem[] = [];
  if (out.kind !== 'transfer-out' || into.kind !== 'transfer-in')
    problems.push(
      problem(
        'transfer-kinds',
        'kind',
        `${out.kind}, ${into.kind}`,
        'transfer-out, transfer-in',
        'A transfer is one row out and one row in.',
      ),
    );
  if (!out.change.plus(into.change).isZero())
    problems.push(
      problem(
        'transfer-unbalanced',
        'change',
        into.change.toString(),
        out.change.negated().toString(),
        'What arrives must be what left; book a loss on the road as shrink.',
      ),
    );
  if (out.transferId !== into.transferId)
    problems.push(
      problem(
        'transfer-not-linked',
        'transferId',
        into.transferId ?? '',
        out.transferId ?? '',
        'Both rows carry the same transfer.',
      ),
    );
  if (instantMilliseconds(out.at) !== instantMilliseconds(into.at))
    problems.push(problem('transfer-two-instants', 'at', into.at, out.at, 'Both rows stand at the same instant.'));
  if (out.lotId === into.lotId && out.placeId === into.placeId)
    problems.push(
      problem('transfer-nowhere', 'placeId', into.placeId, 'another place or lot', 'The hay would stay where it is.'),
    );
  return problems;
}

/** What to look at: a lot everywhere, a place with all its lots, one lot at one place, or all. */
export interface StockScope {
  readonly lotId?: string;
  readonly placeId?: string;
}

function within(scope: StockScope, movement: Movement): boolean {
  return (
    (scope.lotId === undefined || scope.lotId === movement.lotId) &&
    (scope.placeId === undefined || scope.placeId === movement.placeId)
  );
}

/** Balance at an instant: the sum of every movement up to and at it. */
export function balanceAt(movements: readonly Movement[], at: string, scope: StockScope = {}): Mass {
  const moment = instantMilliseconds(at);
  return Mass.sum(
    movements
      .filter((movement) => within(scope, movement) && instantMilliseconds(movement.at) <= moment)
      .map((movement) => movement.change),
  );
}

export interface Shortfall {
  readonly lotId: string;
  readonly placeId: string;
  readonly at: string;
  readonly movementId: string;
  /** Below zero. */
  readonly balance: Mass;
  readonly shortBy: Mass;
}

/**
 * The first moment at which a lot at a place goes below zero, or undefined. Balances are looked at after each movement
 * in the order of `compareMovements`, so that a back-dated entry is checked against everything that came after it.
 */
export function firstShortfall(movements: readonly Movement[]): Shortfall | undefined {
  const balances = new Map<string, Mass>();
  for (const movement of [...movements].sort(compareMovements)) {
    const key = JSON.stringify([movement.lotId, movement.placeId]);
    const balance = (balances.get(key) ?? Mass.zero).plus(movement.change);
    if (balance.isNegative()) {
      return {
        lotId: movement.lotId,
        placeId: movement.placeId,
        at: movement.at,
        movementId: movement.id,
        balance,
        shortBy: balance.negated(),
      };
    }
    balances.set(key, balance);
  }
  return undefined;
}

/**
 * The most that can be drawn from a lot at a place at an instant: the lowest balance from then on, and when that is.
 */
export function mostThatCanBeDrawn(
  movements: readonly Movement[],
  input: { lotId: string; placeId: string; at: string },
): { readonly mass: Mass; readonly lowestAt: string } {
  const own = movements.filter((movement) => within(input, movement)).sort(compareMovements);
  const moment = instantMilliseconds(input.at);
  let balance = balanceAt(own, input.at);
  let lowest = { mass: balance, lowestAt: input.at };
  for (const movement of own) {
    if (instantMilliseconds(movement.at) <= moment) continue;
    balance = balance.plus(movement.change);
    if (balance.compare(lowest.mass) < 0) lowest = { mass: balance, lowestAt: movement.at };
  }
  return lowest.mass.isNegative() ? { ...lowest, mass: Mass.zero } : lowest;
}

/**
 * Whether movements may be added to a ledger: refused with what is left if any balance, then or later, would go below
 * zero.
 */
export function checkAgainstLedger(
  ledger: readonly Movement[],
  added: readonly Movement[],
): { readonly ok: true } | Refusal {
  const own = added.flatMap((movement) =>
    movementProblems(
      movement,
      ledger.find((known) => known.id === movement.reverses),
    ),
  );
  if (own.length > 0) return refused(own);
  const short = firstShortfall([...ledger, ...added]);
  if (!short) return { ok: true };
  const draw = added.find(
    (movement) => movement.change.isNegative() && movement.lotId === short.lotId && movement.placeId === short.placeId,
  );
  const left = draw ? mostThatCanBeDrawn(ledger, draw) : { mass: Mass.zero, lowestAt: short.at };
  return refused(
    problem(
      'lot-drawn-below-zero',
      'change',
      draw?.change.toString() ?? '',
      `at most ${left.mass.toString()}`,
      `Lot ${short.lotId} at ${short.placeId} would be ${short.shortBy.toString()} short on ${short.at}; ` +
        `${left.mass.toString()} can be drawn.`,
    ),
  );
}
