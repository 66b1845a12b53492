/*
 * Cells of spreadsheets, held against how the world writes figures and days: the formats of the Unicode Common Locale
 * Data Repository (CLDR), as Node's Intl writes them. What was written is read back, or is told to be unclear.
 */
import { Decimal } from '../../../src/core/units/decimal.js';
import { dayInCell, orderShownBy, dayUnder } from '../../../src/records/import/reading/read-day.js';
import { markShownBy, numberInCell, plainDecimal } from '../../../src/records/import/reading/read-number.js';
import fc from '../../support/properties.js';

const figure = fc
  .tuple(fc.integer({ min: 0, max: 99_999_999 }), fc.integer({ min: 0, max: 4 }))
  .map(([digits, places]) => digits / 10 ** places);
const written = (locale: string, value: number): string =>
  new Intl.NumberFormat(locale, { maximumFractionDigits: 4 }).format(value);

describe('figures as people of other countries write them', () => {
  it.each([
    ['en-US', 'point'],
    ['en-CA', 'point'],
    ['de-CH', 'point'],
    ['de-DE', 'comma'],
    ['fr-FR', 'comma'],
    ['es-MX', 'point'],
  ] as const)('%s', (locale, mark) => {
    fc.assert(
      fc.property(figure, (value) => {
        const text = written(locale, value);
        const digits = numberInCell(text)?.digits ?? '';
        expect(new Decimal(plainDecimal(digits, mark) ?? 'NaN').eq(value)).toBe(true);
        // Never taken for the other mark with another value, unless that is said to be possible.
        const other = plainDecimal(digits, mark === 'point' ? 'comma' : 'point');
        if (other !== undefined && !new Decimal(other).eq(value))
          expect(['either', mark]).toContain(markShownBy(digits));
      }),
    );
  });

  it.each([
    ['1,150', 'either'],
    ['1.150', 'either'],
    ['0.500', 'point'],
    ['0,500', 'comma'],
    ['12.5', 'point'],
    ['12,5', 'comma'],
    ['1,234.5', 'point'],
    ['1.234,5', 'comma'],
    ['1,234,567', 'point'],
    ['47600', undefined],
    ['47,60,0', undefined],
  ] as const)('%s shows %s', (digits, mark) => {
    expect(markShownBy(digits)).toBe(mark);
  });

  it.each([
    ['$145', '145', '$', ''],
    ['145 $', '145', '$', ''],
    ['CA$ 145.50', '145.50', 'CA$', ''],
    ['USD 145', '145', 'USD', ''],
    ['1,150 lb', '1,150', '', 'lb'],
    ['$145/ton', '145', '$', '/ton'],
    ['14.5%', '14.5', '', '%'],
    ['102 °F', '102', '', '°F'],
  ])('%s is a figure with what stands around it', (text, digits, currency, unit) => {
    expect(numberInCell(text)).toEqual({ negative: false, digits, currency, unit });
  });

  it('below zero is a dash or brackets', () => {
    for (const text of ['-12.50', '(12.50)', '$-12.50', '-$12.50', '($12.50)', '\u221212.50'])
      expect({ text, ...numberInCell(text) }).toMatchObject({ text, negative: true, digits: '12.50' });
  });

  it('words and ids are none, and a range has a rest that is no unit', () => {
    for (const text of ['', 'abc', 'A 101', '$', '-'])
      expect({ text, found: numberInCell(text) }).toEqual({ text, found: undefined });
    for (const text of ['12-15', '1/2', '12 to 15']) expect(numberInCell(text)?.unit ?? 'none').not.toBe('');
  });
});

describe('days as people of other countries write them', () => {
  const days = fc
    .integer({ min: Date.UTC(2000, 0, 1) / 86_400_000, max: Date.UTC(2099, 11, 31) / 86_400_000 })
    .map((number) => new Date(number * 86_400_000));
  const iso = (date: Date): string => date.toISOString().slice(0, 10);
  it.each([
    ['en-US', {}, 'month-first'],
    ['en-GB', {}, 'day-first'],
    ['de-DE', {}, 'day-first'],
    ['en-US', { year: '2-digit', month: 'numeric', day: 'numeric' }, 'month-first'],
    ['nl-NL', {}, 'day-first'],
  ] as const)('%s %j', (locale, options, order) => {
    const format = new Intl.DateTimeFormat(locale, { timeZone: 'UTC', ...options });
    fc.assert(
      fc.property(days, (date) => {
        const found = dayInCell(format.format(date));
        if (typeof found === 'string') return expect(found).toBe(iso(date));
        if (found === undefined) throw new Error(`${format.format(date)} is not read`);
        expect([undefined, order]).toContain(orderShownBy(found));
        expect(dayUnder(found, order)).toBe(iso(date));
      }),
    );
  });

  it.each([
    ['en-US', { dateStyle: 'medium' }],
    ['en-US', { dateStyle: 'long' }],
    ['en-US', { dateStyle: 'full' }],
    ['en-GB', { dateStyle: 'medium' }],
    ['en-GB', { dateStyle: 'long' }],
    ['sv-SE', {}],
    ['en-CA', {}],
  ] as const)('%s %j can be meant in one way only', (locale, options) => {
    const format = new Intl.DateTimeFormat(locale, { timeZone: 'UTC', ...options });
    fc.assert(fc.property(days, (date) => expect(dayInCell(format.format(date))).toBe(iso(date))));
  });

  it('no day is made of what is none', () => {
    for (const text of ['', 'soon', '2026-02-30', '2026', '11/2026', '31', 'Nov 31, 2026', '13.13.2026x'])
      expect({ text, day: dayInCell(text) }).toEqual({ text, day: undefined });
  });
});
