import fc from '../../support/properties.js';
import {
  balanceAt,
  checkAgainstLedger,
  firstShortfall,
  instantMilliseconds,
  mostThatCanBeDrawn,
  movementProblems,
  transferProblems,
  type Movement,
} from '../../../src/core/stock/movements.js';
import { Mass } from '../../../src/core/units/mass.js';

let sequence = 0;
const kg = (value: number): Mass => Mass.kilograms(value);
const movement = (kind: Movement['kind'], at: string, change: number, more: Partial<Movement> = {}): Movement => {
  sequence += 1;
  return {
    id: `m${sequence}`,
    kind,
    at,
    sequence,
    change: kg(change),
    lotId: 'A',
    placeId: 'yard',
    ...(kind === 'feed' ? { herdId: 'cows' } : {}),
    ...more,
  };
};
const day = (number: number): string => `2025-01-${String(number).padStart(2, '0')}T08:00:00Z`;

describe('what a movement must be', () => {
  it.each([
    ['purchase', -5, 'movement-sign'],
    ['harvest', -5, 'movement-sign'],
    ['feed', 5, 'movement-sign'],
    ['shrink', 5, 'movement-sign'],
    ['sale', 5, 'movement-sign'],
    ['purchase', 0, 'movement-of-nothing'],
  ] as const)('%s of %i kg: %s', (kind, change, code) => {
    expect(movementProblems(movement(kind, day(1), change)).map((found) => found.code)).toEqual([code]);
  });

  it('a feeding names its herd, a count its reason, a transfer its pair', () => {
    expect(movementProblems({ ...movement('feed', day(1), -1), herdId: ' ' }).map((found) => found.field)).toEqual([
      'herdId',
    ]);
    expect(movementProblems(movement('count-adjustment', day(1), -1)).map((found) => found.field)).toEqual(['reason']);
    expect(movementProblems(movement('transfer-in', day(1), 1)).map((found) => found.field)).toEqual(['transferId']);
    expect(movementProblems(movement('count-adjustment', day(1), 3, { reason: 'counted' }))).toEqual([]);
  });

  it('a reversal mirrors what it reverses, in place and not before it', () => {
    const fed = movement('feed', day(5), -10);
    const good = movement('reversal', day(6), 10, { reverses: fed.id, reason: 'wrong lot' });
    expect(movementProblems(good, fed)).toEqual([]);
    expect(movementProblems({ ...good, change: kg(9) }, fed).map((found) => found.code)).toEqual([
      'reversal-not-exact',
    ]);
    expect(movementProblems({ ...good, at: day(4) }, fed).map((found) => found.code)).toEqual([
      'reversal-before-entry',
    ]);
    expect(movementProblems({ ...good, lotId: 'B' }, fed).map((found) => found.code)).toEqual(['reversal-elsewhere']);
    expect(
      movementProblems({ ...good, reverses: good.id, change: kg(-10) }, good).map((found) => found.code),
    ).toContain('reversal-of-reversal');
  });

  it('a transfer is two rows that balance', () => {
    const out = movement('transfer-out', day(5), -10, { transferId: 't' });
    const into = movement('transfer-in', day(5), 10, { transferId: 't', placeId: 'north' });
    expect(transferProblems(out, into)).toEqual([]);
    expect(
      transferProblems(out, { ...into, change: kg(9), transferId: 'u', at: day(6), placeId: 'yard' }).map(
        (found) => found.code,
      ),
    ).toEqual(['transfer-unbalanced', 'transfer-not-linked', 'transfer-two-instants', 'transfer-nowhere']);
    expect(transferProblems(into, out).map((found) => found.code)).toEqual(['transfer-kinds']);
  });

  // Source: RFC 3339 (2002), section 5.8: 1996-12-19T16:39:57-08:00 is 1996-12-20T00:39:57Z.
  it('reads instants with their zone, and refuses those without', () => {
    expect(instantMilliseconds('1996-12-19T16:39:57-08:00')).toBe(instantMilliseconds('1996-12-20T00:39:57Z'));
    for (const text of ['2025-01-01', '2025-01-01T00:00:00', '2025-13-01T00:00:00Z', 'yesterday'])
      expect(() => instantMilliseconds(text)).toThrow(RangeError);
  });
});

describe('balances', () => {
  const ledger = [
    movement('purchase', day(1), 100),
    movement('feed', day(10), -60),
    movement('purchase', day(20), 50),
    movement('feed', day(25), -80),
  ];

  it('are the sum up to and at an instant', () => {
    expect([day(1), day(9), day(10), day(20), day(31)].map((at) => balanceAt(ledger, at).kilograms.toNumber())).toEqual(
      [100, 100, 40, 90, 10],
    );
    expect(balanceAt(ledger, '2025-01-01T07:59:59Z').isZero()).toBe(true);
    expect(balanceAt(ledger, day(31), { lotId: 'B' }).isZero()).toBe(true);
    expect(balanceAt(ledger, day(31), { placeId: 'yard' }).kilograms.toNumber()).toBe(10);
  });

  it('a back-dated draw is checked against every later balance', () => {
    // On the 5th there are 100 kg, but only 10 can go: the feedings that follow need the rest.
    expect(mostThatCanBeDrawn(ledger, { lotId: 'A', placeId: 'yard', at: day(5) })).toMatchObject({
      lowestAt: day(25),
    });
    expect(mostThatCanBeDrawn(ledger, { lotId: 'A', placeId: 'yard', at: day(5) }).mass.kilograms.toNumber()).toBe(10);
    expect(checkAgainstLedger(ledger, [movement('feed', day(5), -10)])).toEqual({ ok: true });
    const refused = checkAgainstLedger(ledger, [movement('feed', day(5), -41)]);
    expect(refused).toMatchObject({
      ok: false,
      problems: [
        {
          code: 'lot-drawn-below-zero',
          allowed: 'at most 10 kg',
          message: 'Lot A at yard would be 1 kg short on 2025-01-10T08:00:00Z; 10 kg can be drawn.',
        },
      ],
    });
  });

  it('names the first shortfall', () => {
    const late = movement('sale', day(10), -45);
    expect(firstShortfall([...ledger, late])).toMatchObject({ movementId: late.id, at: day(10), lotId: 'A' });
    expect(firstShortfall(ledger)).toBeUndefined();
  });

  it('refuses a draw together with what is wrong with it', () => {
    expect(checkAgainstLedger(ledger, [movement('feed', day(5), 5)])).toMatchObject({
      ok: false,
      problems: [{ code: 'movement-sign' }],
    });
  });

  const some = fc.array(
    fc.tuple(
      fc.integer({ min: 1, max: 28 }),
      fc.integer({ min: -40, max: 60 }).filter((change) => change !== 0),
    ),
    { minLength: 1, maxLength: 12 },
  );
  it('the most that can be drawn passes and one kilogram more does not', () => {
    fc.assert(
      fc.property(some, fc.integer({ min: 1, max: 28 }), (rows, on) => {
        const own = [
          movement('purchase', day(1), 1000),
          ...rows.map(([at, change]) => movement('count-adjustment', day(at), change, { reason: 'counted' })),
        ];
        const most = mostThatCanBeDrawn(own, { lotId: 'A', placeId: 'yard', at: day(on) }).mass;
        fc.pre(most.isPositive());
        expect(checkAgainstLedger(own, [{ ...movement('feed', day(on), -1), change: most.negated() }])).toEqual({
          ok: true,
        });
        expect(
          checkAgainstLedger(own, [{ ...movement('feed', day(on), -1), change: most.plus(kg(1)).negated() }]),
        ).toMatchObject({ ok: false });
      }),
    );
  });
});
