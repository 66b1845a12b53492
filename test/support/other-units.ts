import type { UnitSystem } from '../../src/core/units/unit.js';

/**
 * Parts of an answer in units that its reader did not ask for: units beside a figure, units in a sentence, and fields
 * with a unit in their name.
 */
const OTHERS: Readonly<Record<UnitSystem, { unit: RegExp; words: RegExp }>> = {
  us: {
    unit: /^(kg|t|m|cm|mm|km|L|m3|C|°C)\b|Mcal\/kg|km\/h|kg\/m3|L\/min|\bhectare|t\/ha|\bper kg\b/,
    // Water tests are given in milligrams per liter and parts per million in both unit systems.
    words: RegExp(
      '°C|Mcal/kg|km/h|\\b(per|each) kg\\b|kilogram|\\d\\s?(kg|t|tonnes?|cm|mm|km|m3|lit(er|re)s?|L)\\b|' +
        '(?<!mg[^.]{0,30})\\bper L\\b',
    ),
  },
  metric: {
    unit: /^(lb|oz|ton|ft|in|gal|ft3|F|°F)\b|Mcal\/lb|mph|gal\/min|lb\/ft3/,
    words: RegExp(
      '°F|Mcal/lb|\\bmph\\b|\\bper lb\\b|pound|\\d\\s?(lb|oz|tons?|ft|gal|gallons?)\\b|\\binch(es)?\\b|\\bquart\\b|' +
        'short tons?|\\d in (per head|to \\d|into|inside)|' +
        '\\bounces?\\b|\\b(feet|foot)\\b|\\bmiles?\\b|Fahrenheit|\\bacres?\\b',
    ),
  },
};
/** Figures as typed, prices by what they were agreed for, and sources of published figures keep their own units. */
const AS_TOLD = new Set(['typed', 'weightTyped', 'price', 'source', 'guide', 'asPublished', 'inTheEquation']);
const UNIT_IN_NAME = /(Celsius|Fahrenheit|PerKg|Kg|PerLb|KmPerHour|Mph|Cm|Litres|Gallons|Mcal|Grams)$/;

export function toldInOtherUnits(answer: unknown, asked: UnitSystem, at = ''): string[] {
  const others = OTHERS[asked];
  if (typeof answer === 'string') {
    const words = answer.includes(' ') ? others.words.exec(answer) : null;
    return words === null ? [] : [`${at}: "${answer}"`];
  }
  if (Array.isArray(answer)) return answer.flatMap((one) => toldInOtherUnits(one, asked, `${at}[]`));
  if (answer === null || typeof answer !== 'object') return [];
  return Object.entries(answer).flatMap(([name, value]) => {
    const here = `${at}.${name}`;
    if (AS_TOLD.has(name)) return [];
    const named = UNIT_IN_NAME.test(name) ? [`${here}: a unit in the name of a field`] : [];
    if ((name === 'unit' || name === 'per') && typeof value === 'string' && others.unit.test(value))
      return [...named, `${here}: ${value}`];
    return [...named, ...toldInOtherUnits(value, asked, here)];
  });
}
