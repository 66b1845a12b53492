import { counted, noun, withArticle } from '../../../src/core/units/counted.js';

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
