import { figureIn, quantity, sentence, wordsIn } from '../../../src/core/units/wording.js';

/** Conversions by NIST Handbook 44, appendix C, and NIST Special Publication 811, appendix B.8. */
describe('a figure with its unit written out', () => {
  it.each([
    [1, 'kg/d', 2.2046, 'lb/d'],
    [-10, '°C', 14, '°F'],
    [204.1165665, 'kg body weight', 450, 'lb body weight'],
    [1.2, 'Mcal/kg of DM', 0.54431, 'Mcal/lb of DM'],
    [10, 'L/d', 2.64172, 'gal/d'],
    [65.5556, '°C, first step of Purdue', 150, '°F, first step of Purdue'],
    [1, '% · kg', 2.2046, '% · lb'],
  ])('%s %s is %s %s in US units', (value, unit, told, shown) => {
    const figure = figureIn('us', { value, unit });
    expect(figure.unit).toBe(shown);
    expect(figure.value).toBeCloseTo(told, 3);
  });

  it.each(['g/d', 'Mcal/d', 'mg/d', 'IU/d', '% of dry matter', 'mg sulfate per L', 'days since sampling', 'Ca:P', ''])(
    'stays in %s, which readers of both systems are told',
    (unit) => {
      for (const system of ['us', 'metric'] as const)
        expect(figureIn(system, { value: 3, unit })).toEqual({ value: 3, unit });
    },
  );

  it('goes the other way too', () => {
    expect(figureIn('metric', { value: 20, unit: 'in of feeding length per head' })).toEqual({
      value: 50.8,
      unit: 'cm of feeding length per head',
    });
  });
});

describe('a sentence with quantities', () => {
  const said = sentence`${'North stack'} is at ${quantity(82.22222222222223, 'C', 0)}: ${'fire imminent'}.`;

  it('is told in the units of its reader', () => {
    expect(wordsIn('us', said)).toBe('North stack is at 180 °F: fire imminent.');
    expect(wordsIn('metric', said)).toBe('North stack is at 82 °C: fire imminent.');
  });

  it('holds other sentences, and is plain words without a quantity', () => {
    expect(wordsIn('us', sentence`${said} Call ${2} people.`)).toBe(
      'North stack is at 180 °F: fire imminent. Call 2 people.',
    );
    expect(sentence`${'North stack'} is cool.`).toBe('North stack is cool.');
  });
});
