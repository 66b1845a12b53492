import { type Refusal, refused } from '../outcome/outcome.js';
import { problem } from '../outcome/problem.js';
import { COUNTRY_PREFIXES, HIGHEST_NATIONAL_CODE, TAG_PREFIX_RANGES } from './tag-number.data.js';

export interface TagNumber {
  readonly ok: true;
  /** Fifteen digits, no spaces. */
  readonly digits: string;
  readonly prefix: string;
  readonly nationalCode: string;
  readonly prefixKind: 'country' | 'manufacturer';
  readonly prefixMeaning: string;
  readonly country?: string;
}

/**
 * Reads an electronic animal number in the code form of ISO 11784: 15 digits, a prefix of a country (ISO 3166-1) or
 * manufacturer, and a national code that fits in 38 bits. Spaces and hyphens between digits are dropped. There is no
 * check digit.
 */
export function readTagNumber(text: string): TagNumber | Refusal {
  const digits = text.trim().replace(/[ -]/g, '');
  const wrong = (code: string, allowed: string, message: string): Refusal =>
    refused(problem(code, 'tagNumber', text, allowed, message));
  if (!/^\d+$/.test(digits))
    return wrong('tag-not-digits', '15 digits', 'An electronic animal number is written in digits only.');
  if (digits.length !== 15)
    return wrong(
      'tag-not-15-digits',
      '15 digits',
      `An electronic animal number has 15 digits; this has ${digits.length}.`,
    );
  const [prefix, nationalCode] = [digits.slice(0, 3), digits.slice(3)];
  const range = TAG_PREFIX_RANGES.find((each) => Number(prefix) >= each.from && Number(prefix) <= each.to);
  if (!range) return wrong('tag-prefix-unknown', '001 to 998', `${prefix} is neither a country nor a manufacturer.`);
  if (range.kind === 'test')
    return wrong('tag-for-test-only', '001 to 998', 'Prefix 999 marks test transponders, which are not unique.');
  if (Number(nationalCode) > HIGHEST_NATIONAL_CODE)
    return wrong(
      'tag-code-too-large',
      `at most ${HIGHEST_NATIONAL_CODE}`,
      'The last twelve digits do not fit in 38 bits.',
    );
  const country = Object.entries(COUNTRY_PREFIXES).find(([code]) => code === prefix)?.[1];
  return {
    ok: true,
    digits,
    prefix,
    nationalCode,
    prefixKind: range.kind,
    prefixMeaning: range.meaning,
    ...(country === undefined ? {} : { country }),
  };
}
