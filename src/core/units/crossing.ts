import { Decimal } from './decimal.js';
import { Mass } from './mass.js';
import { type Currency, Money, PricePerMass } from './money.js';

/**
 * How figures cross between threads. A structured clone keeps numbers, text, dates, maps and lists, but makes a bare
 * object of a decimal, a mass or a price. So each of those crosses as its exact text under a mark, and is made again on
 * the other side.
 */
const MARK = '\u0000figure';

type Marked =
  | { [MARK]: 'decimal' | 'mass'; text: string }
  | { [MARK]: 'money'; text: string; currency: Currency }
  | { [MARK]: 'price'; text: string; kilograms: string; currency: Currency };

/** The value as a structured clone keeps it. Functions and classes of any other kind do not cross. */
export function packed(value: unknown): unknown {
  return mapped(value, (one) => {
    if (one instanceof Mass) return { [MARK]: 'mass', text: one.kilograms.toString() };
    if (one instanceof Money) return { [MARK]: 'money', text: one.amount.toString(), currency: one.currency };
    if (one instanceof PricePerMass) {
      const { amount, kilograms } = one.parts;
      return { [MARK]: 'price', text: amount.toString(), kilograms: kilograms.toString(), currency: one.currency };
    }
    if (Decimal.isDecimal(one)) return { [MARK]: 'decimal', text: one.toString() };
    return undefined;
  });
}

/** What was packed, as it was. */
export function unpacked(value: unknown): unknown {
  return mapped(value, (one) => (MARK in one ? figureOf(one as Marked) : undefined));
}

function figureOf(marked: Marked): Decimal | Mass | Money | PricePerMass {
  switch (marked[MARK]) {
    case 'decimal':
      return new Decimal(marked.text);
    case 'mass':
      return Mass.kilograms(new Decimal(marked.text));
    case 'money':
      return Money.of(new Decimal(marked.text), marked.currency);
    case 'price':
      return PricePerMass.quotient(new Decimal(marked.text), new Decimal(marked.kilograms), marked.currency);
  }
}

function mapped(value: unknown, figure: (one: object) => unknown): unknown {
  if (typeof value !== 'object' || value === null || value instanceof Date || ArrayBuffer.isView(value)) return value;
  const made = figure(value);
  if (made !== undefined) return made;
  const again = (one: unknown): unknown => mapped(one, figure);
  if (Array.isArray(value)) return value.map(again);
  if (value instanceof Map) return new Map([...value].map(([key, inner]) => [again(key), again(inner)]));
  if (value instanceof Set) return new Set([...value].map(again));
  return Object.fromEntries(Object.entries(value).map(([key, inner]) => [key, again(inner)]));
}
