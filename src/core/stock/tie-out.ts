import type { Money } from '../units/money.js';

/** Money of one month, by the report that tells it. */
export const TIE_FIGURES = [
  'positionValue',
  'rolledValue',
  'journalChange',
  'rolledChange',
  'journalFeed',
  'seasonFeed',
  'rolledFeed',
  'closeoutFeed',
  'ledgerYardage',
  'seasonYardage',
  'closeoutYardage',
  'ledgerLateCosts',
  'seasonLateCosts',
  'ledgerOtherCosts',
  'closeoutOtherCosts',
  'ledgerCattle',
  'closeoutCattle',
] as const;
export type TieFigure = (typeof TIE_FIGURES)[number];

/** Two figures of the same thing, told by two reports. */
const TIES: readonly { readonly one: TieFigure; readonly other: TieFigure; readonly what: string }[] = [
  { one: 'rolledValue', other: 'positionValue', what: 'Inventory by roll-forward and position' },
  { one: 'journalChange', other: 'rolledChange', what: 'Change of the hay account by journal and roll-forward' },
  { one: 'journalFeed', other: 'seasonFeed', what: 'Feed by journal and season cost' },
  { one: 'rolledFeed', other: 'seasonFeed', what: 'Feed by roll-forward and season cost' },
  { one: 'closeoutFeed', other: 'seasonFeed', what: 'Feed by closeouts and season cost' },
  { one: 'ledgerYardage', other: 'seasonYardage', what: 'Yardage by general ledger and season cost' },
  { one: 'closeoutYardage', other: 'seasonYardage', what: 'Yardage by closeouts and season cost' },
  { one: 'ledgerLateCosts', other: 'seasonLateCosts', what: 'Late costs of herds by general ledger and season cost' },
  {
    one: 'ledgerOtherCosts',
    other: 'closeoutOtherCosts',
    what: 'Other costs of herds by general ledger and closeouts',
  },
  { one: 'ledgerCattle', other: 'closeoutCattle', what: 'Cattle at money by general ledger and closeouts' },
];

/** What does not tie of a month's figures, in words; to the cent. */
export function untied(figures: Readonly<Record<TieFigure, Money>>): string[] {
  return TIES.flatMap(({ one, other, what }) => {
    const [first, second] = [figures[one].rounded(), figures[other].rounded()];
    return first.minus(second).isZero() ? [] : [`${what}: ${first.amount.toFixed(2)} and ${second.amount.toFixed(2)}`];
  });
}
