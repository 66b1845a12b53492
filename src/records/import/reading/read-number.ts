import type { DECIMAL_MARKS } from '../../../platform/wire/words.data.js';

/** How a file writes its decimals: with a point (and commas between thousands), or the other way round. */
export type DecimalMark = (typeof DECIMAL_MARKS)[number];

/** A cell as a number: its digits as they stand, and the words and signs around them. */
export interface NumberInCell {
  readonly negative: boolean;
  /** Digits, points, commas, blanks and apostrophes. */
  readonly digits: string;
  /** A sign or code of a currency before or after the digits; empty if there is none. */
  readonly currency: string;
  /** What stands after the digits, such as "lb" or "/ton"; empty if nothing does. */
  readonly unit: string;
}

const BLANKS = '\\s\\u00a0\\u202f\\u2009';
const CURRENCY = '[$€£]|(?:US|CA|C|A|AU|NZ)\\$|(?:USD|CAD|EUR|GBP|AUD|NZD)\\b';
const CELL = RegExp(
  `^(?<open>\\()?(?<sign>[-+−])?[${BLANKS}]*(?<before>${CURRENCY})?[${BLANKS}]*(?<late>[-−])?` +
    `(?<digits>[\\d.,'${BLANKS}]*\\d)[${BLANKS}]*(?<after>${CURRENCY})?` +
    `[${BLANKS}]*(?<unit>[^\\d)${BLANKS}].*?)?(?<close>\\))?$`,
  'i',
);

/** No figure is longer, with what stands beside it: a longer text is not looked at. */
const FIGURE_LETTERS = 100;

/** @returns undefined where the cell is no number with at most a sign, a currency and a unit around it */
export function numberInCell(text: string): NumberInCell | undefined {
  const found = text.length > FIGURE_LETTERS ? undefined : CELL.exec(text.trim())?.groups;
  if (found === undefined) return undefined;
  const { open, close, sign, before, late, digits = '', after, unit = '' } = found;
  if ((open === undefined) !== (close === undefined) || (before !== undefined && after !== undefined)) return undefined;
  return {
    negative: open !== undefined || late !== undefined || (sign !== undefined && sign !== '+'),
    digits: digits.trim(),
    currency: (before ?? after ?? '').toUpperCase(),
    unit: unit.trim(),
  };
}

const SHAPES: Readonly<
  Record<DecimalMark, { readonly shape: RegExp; readonly thousands: RegExp; readonly mark: string }>
> = {
  point: {
    shape: RegExp(`^(?:\\d{1,3}(?:([,'${BLANKS}])\\d{3})(?:\\1\\d{3})*|\\d+)?(?:\\.\\d+)?$`),
    thousands: RegExp(`[,'${BLANKS}]`, 'g'),
    mark: '.',
  },
  comma: {
    shape: RegExp(`^(?:\\d{1,3}(?:([.'${BLANKS}])\\d{3})(?:\\1\\d{3})*|\\d+)?(?:,\\d+)?$`),
    thousands: RegExp(`[.'${BLANKS}]`, 'g'),
    mark: ',',
  },
};

/** Digits as a plain decimal with a point; undefined where they are none under this mark. */
export function plainDecimal(digits: string, mark: DecimalMark): string | undefined {
  const { shape, thousands, mark: sign } = SHAPES[mark];
  if (!shape.test(digits)) return undefined;
  return digits.replaceAll(thousands, '').replace(sign, '.');
}

/**
 * Which mark these digits show to be meant: one of them, neither (they are the same under both, or cannot be read), or
 * `either`: "1,150" is a thousand under the one and a little more than one under the other.
 */
export function markShownBy(digits: string): DecimalMark | 'either' | undefined {
  const [byPoint, byComma] = [plainDecimal(digits, 'point'), plainDecimal(digits, 'comma')];
  if (byPoint === undefined || byComma === undefined)
    return byPoint !== undefined ? 'point' : byComma === undefined ? undefined : 'comma';
  if (byPoint === byComma) return undefined;
  // Nobody writes thousands after a zero.
  if (/^0[.,]/.test(digits)) return digits.startsWith('0.') ? 'point' : 'comma';
  return 'either';
}
