import { CAUTIONS } from '../../../src/core/cautions/cautions.data.js';
import { counted, noun, unitFor, withArticle } from '../../../src/core/units/counted.js';

describe('Numbers of things in a sentence', () => {
  it.each([
    [1, 'bale', undefined, '1 bale'],
    [0, 'bale', undefined, '0 bales'],
    [2, 'bale', undefined, '2 bales'],
    [1.5, 'day', undefined, '1.5 days'],
    [-1, 'day', undefined, '-1 day'],
    [1, 'lot rests', 'lots rest', '1 lot rests'],
    [3, 'lot rests', 'lots rest', '3 lots rest'],
    [1, 'head', 'head', '1 head'],
  ])('%d %s', (count, one, many, words) => {
    expect(counted(count, one, many)).toBe(words);
  });

  it('leaves the figure to whoever writes it another way', () => {
    expect([noun(1, 'day'), noun(1200, 'day')]).toEqual(['day', 'days']);
  });

  it.each([
    ['cow', 'a cow'],
    ['animal', 'an animal'],
    ['ApiKey', 'an ApiKey'],
    ['HayLot', 'a HayLot'],
    ['operation', 'an operation'],
    ['user', 'a user'],
    ['UnitSystem', 'a UnitSystem'],
    ['hour', 'an hour'],
    ['ICAR message', 'an ICAR message'],
  ])('%s', (word, words) => {
    expect(withArticle(word)).toBe(words);
  });
});

describe('the unit of a figure in words', () => {
  it.each([
    [1, 'lots without a test', 'lot without a test'],
    [0, 'lots without a test', 'lots without a test'],
    [2, 'lots without a test', 'lots without a test'],
    [1, 'frozen sources', 'frozen source'],
    [1, 'days that an opened bale lasts', 'day that an opened bale lasts'],
    [1, '% of dry matter', '% of dry matter'],
    [1.5, 'days since sampling', 'days since sampling'],
  ])('%d %s', (count, unit, words) => {
    expect(unitFor(count, unit)).toBe(words);
  });

  it('is in the singular for one, whatever a caution counts', () => {
    // Words in s that are no plural of what is counted; nor is what comes after "with" (a lot with spoiled bales).
    const others = new Set(['as', 'basis', 'lasts', 'less', 'ppm', 'is', 'gas', 'equivalents', 'this']);
    const units = Object.values(CAUTIONS).flatMap(({ thresholds }) =>
      Object.values(thresholds as Record<string, { unit: string }>).map(({ unit }) => unit),
    );
    expect(units.length).toBeGreaterThan(50);
    const pluralsIn = (words: string): string[] =>
      (words.split(' with ')[0] ?? '').split(' ').filter((word) => /[a-z]s$/.test(word) && !others.has(word));
    for (const unit of new Set(units)) expect([unit, pluralsIn(unitFor(1, unit))]).toEqual([unit, []]);
  });
});
