/**
 * Prefixes of the 15-digit animal code: three digits of country or manufacturer, twelve digits of national code.
 * Source: ISO 11784 (structure: 10-bit country or manufacturer code, 38-bit national code; the code structure was read
 * in an ICAR presentation and a reader manual). The division of the prefixes below is from memory of ICAR's
 * registration rules.
 */
export const TAG_PREFIX_RANGES = [
  { from: 1, to: 899, kind: 'country', meaning: 'ISO 3166-1 numeric country code' },
  { from: 900, to: 998, kind: 'manufacturer', meaning: 'manufacturer code, given out by ICAR' },
  { from: 999, to: 999, kind: 'test', meaning: 'test transponders, not unique' },
] as const;

/** The national code is a 38-bit number: 2^38 − 1 is the highest. */
export const HIGHEST_NATIONAL_CODE = 274_877_906_943;

/** Names of some countries, as a courtesy to the reader; any other ISO 3166-1 number is just as good. ISO 3166-1. */
export const COUNTRY_PREFIXES = {
  '840': 'United States',
  '124': 'Canada',
  '484': 'Mexico',
  '036': 'Australia',
  '554': 'New Zealand',
  '826': 'United Kingdom',
  '372': 'Ireland',
  '276': 'Germany',
  '250': 'France',
} as const;
