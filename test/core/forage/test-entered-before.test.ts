/* What tells two tests of a lot apart, and what does not. The figures are invented; the rule is common practice. */
import { type ComparedTest, enteredBefore } from '../../../src/core/forage/test-entered-before.js';

const FIRST: ComparedTest = {
  lab: 'Forage laboratory',
  reportNumber: null,
  sampledOn: '2026-11-05',
  analysis: {
    dryMatterPercent: 88.4,
    crudeProteinPercent: 9.1,
    acidDetergentFiberPercent: 37.2,
    neutralDetergentFiberPercent: 58.6,
  },
  atMost: {},
};
const how = (entered: Partial<ComparedTest>, standing: Partial<ComparedTest> = {}): string | undefined =>
  enteredBefore([{ ...FIRST, ...standing }], { ...FIRST, ...entered })?.how;
const figures = (more: Record<string, number | undefined>): ComparedTest['analysis'] => ({
  ...FIRST.analysis,
  ...(more as ComparedTest['analysis']),
});

test('without numbers, the same figures of one day and laboratory are one test, however the name is written', () => {
  expect(how({})).toBe('same');
  expect(how({ lab: ' FORAGE  Laboratory' })).toBe('same');
  // A part of what stands adds nothing.
  expect(how({ analysis: { dryMatterPercent: 88.4, crudeProteinPercent: 9.1 } })).toBe('same');
  expect(how({ analysis: { dryMatterPercent: 88.4 } }, { analysis: { dryMatterPercent: 88.4 } })).toBe('same');
});

test('numbers of the laboratory tell samples apart, and tell a repeat', () => {
  expect(how({ reportNumber: 'A2' }, { reportNumber: 'A1' })).toBeUndefined();
  expect(how({ reportNumber: 'a1 ' }, { reportNumber: 'A1' })).toBe('same');
  expect(how({ reportNumber: 'A1', analysis: figures({ crudeProteinPercent: 9.3 }) }, { reportNumber: 'A1' })).toBe(
    'same',
  );
  expect(how({ reportNumber: 'A1', lab: 'Other' }, { reportNumber: 'A1' })).toBe('likely');
  // Nitrate that was asked for afterward comes under the number of its sample.
  const nitrate = { dryMatterPercent: 88.4, nitrateNitrogenPpm: 400 };
  expect(how({ reportNumber: 'A1', analysis: nitrate }, { reportNumber: 'A1' })).toBeUndefined();
  // A number beside a test that has none may be of the same sample.
  expect(how({ reportNumber: 'A1' })).toBe('likely');
});

test('a test that is the same but for a figure, for figures more, or for its day, likely is the same', () => {
  expect(how({ analysis: figures({ ashPercent: 8.8 }) })).toBe('likely');
  expect(how({ analysis: figures({ crudeProteinPercent: 9.2, ashPercent: 8.8 }) })).toBeUndefined();
  expect(
    how(
      { analysis: figures({ crudeProteinPercent: 9.2, ashPercent: 8.8, fatPercent: 2 }) },
      { analysis: figures({ ashPercent: 8.8, fatPercent: 2 }) },
    ),
  ).toBe('likely');
  expect(how({ sampledOn: '2026-12-05' })).toBe('likely');
  expect(how({ sampledOn: '2028-12-05' })).toBeUndefined();
  expect(how({ lab: 'Another laboratory' })).toBe('likely');
});

test('two samples that differ are two samples', () => {
  expect(
    how({
      analysis: {
        dryMatterPercent: 88.9,
        crudeProteinPercent: 9.6,
        acidDetergentFiberPercent: 36.8,
        neutralDetergentFiberPercent: 58.6,
      },
    }),
  ).toBeUndefined();
  expect(how({ analysis: { dryMatterPercent: 88.4, nitrateNitrogenPpm: 400 } })).toBeUndefined();
});

test('of a label the maxima count too', () => {
  const label = { analysis: { dryMatterPercent: 97, calciumPercent: 13 }, atMost: { calciumPercent: 15.6 } };
  expect(how(label, label)).toBe('same');
  expect(how({ ...label, atMost: { calciumPercent: 15 } }, label)).toBeUndefined();
});
