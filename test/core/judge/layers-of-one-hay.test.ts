/*
 * A hay that lies in several layers, or was moved into several lots, is one hay: what is said of the ration does not
 * depend on how it is laid or stacked. The
 * threshold is the default nitrate guide's (`guides.data.ts`, source there): 1,500 ppm NO3-N is for pregnant cattle in
 * a limited share only.
 */
import { evaluateRation } from '../../../src/core/judge/evaluate';
import { rationSupply } from '../../../src/core/judge/ration-supply';
import { dietContextOf } from '../../../src/core/judge/diet-context';
import type { RationLayer, RationLot } from '../../../src/core/ration/ration';
import { wordsIn } from '../../../src/core/units/wording';
import fc, { examples } from '../../support/properties';
import { ALFALFA, DRY_COW, hay, MEADOW, needs, STRAW } from '../ration/ration-fixtures';

const OAT = hay('Oat hay', 88, {
  ...Object.fromEntries(Object.entries(MEADOW.composition).map(([field, { value }]) => [field, value])),
  nitrateNitrogenPpm: 1500,
});

function judged(layers: RationLayer[]) {
  const requirement = needs(DRY_COW, { edition: 'NRC2000', diet: dietContextOf(rationSupply({ layers })) });
  const outcome = evaluateRation({ animal: DRY_COW, requirement, layers });
  if (!outcome.ok) throw new Error(JSON.stringify(outcome.problems));
  return outcome.value;
}
const layer = (lot: RationLot, asFedKgPerHeadPerDay: number): RationLayer => ({
  role: 'mixed',
  lots: [{ lot, asFedKgPerHeadPerDay }],
});
const cautionsOf = (layers: RationLayer[]) => wordsOf(judged(layers).cautions);
/** Sums in another order differ in their last bit, which nobody is told. */
const wordsOf = (cautions: ReturnType<typeof judged>['cautions']) =>
  cautions.map(({ code, severity, message }) => `${code} ${severity}: ${wordsIn('metric', message)}`);

describe('one hay in several layers', () => {
  it('is as dangerous as in one', () => {
    const single = cautionsOf([layer(OAT, 12)]);
    expect(single.some((one) => one.startsWith('nitrate-single-hay danger'))).toBe(true);
    expect(cautionsOf([layer(OAT, 4), layer(OAT, 4), layer(OAT, 4)])).toEqual(single);
  });

  it('is judged as in one, whatever the ration and however it is cut', () => {
    const lots = [OAT, MEADOW, ALFALFA, STRAW, hay('Not tested', 88, {})];
    fc.assert(
      fc.property(
        fc.array(fc.integer({ min: 0, max: 32 }), { minLength: lots.length, maxLength: lots.length }),
        fc.array(fc.integer({ min: 1, max: 8 }), { minLength: lots.length, maxLength: lots.length }),
        (eighths, cuts) => {
          fc.pre(eighths.some((amount) => amount > 0));
          // Eighths of a kilogram, cut in two, four or eight: the sums are exact.
          const laid = lots.flatMap((lot, index) => ({ lot, kg: (eighths[index] ?? 0) / 8, cut: cuts[index] ?? 1 }));
          const whole = laid.filter(({ kg }) => kg > 0).map(({ lot, kg }) => layer(lot, kg));
          const cut = laid
            .filter(({ kg }) => kg > 0)
            .flatMap(({ lot, kg, cut }) => {
              const pieces = 2 ** (cut % 4);
              return Array.from({ length: pieces }, () => layer(lot, kg / pieces));
            });
          const [one, many] = [judged(whole), judged(cut)];
          expect(wordsOf(many.cautions)).toEqual(wordsOf(one.cautions));
          expect(many.lines.map(({ nutrient, verdict }) => [nutrient, verdict])).toEqual(
            one.lines.map(({ nutrient, verdict }) => [nutrient, verdict]),
          );
        },
      ),
    );
  });
});

describe('one hay in several lots', () => {
  const movedTo = (lot: RationLot, at: number): RationLot =>
    at === 0 ? lot : { ...lot, lotId: `${lot.lotId} ${at}`, lotName: `${lot.lotName} ${at}` };
  const RANKS = ['notice', 'watch', 'danger'];
  const worst = ({ cautions }: ReturnType<typeof judged>): Record<string, number> => {
    const ranks: Record<string, number> = {};
    for (const { code, severity } of cautions) ranks[code] = Math.max(ranks[code] ?? 0, RANKS.indexOf(severity) + 1);
    return ranks;
  };

  it('is held to the share of the guide as in one', () => {
    const nine = [layer(OAT, 9), layer(MEADOW, 4.5)];
    const three = [0, 1, 2].map((at) => layer(movedTo(OAT, at), 3));
    expect(worst(judged(nine))['nitrate-single-hay']).toBe(3);
    const cautions = judged([...three, layer(MEADOW, 4.5)]).cautions.filter(
      ({ code }) => code === 'nitrate-single-hay',
    );
    expect(cautions.map(({ severity }) => severity)).toEqual(['danger', 'danger', 'danger']);
    // Nine of thirteen and a half kilograms, three of them in each lot.
    expect(wordsIn('us', cautions[0]?.message ?? '')).toContain(
      '22.2 % of the ration, 66.7 % with Oat hay 1, Oat hay 2, held to no more.',
    );
  });

  it('is judged no milder, whatever the ration and however it is moved', () => {
    // The fixtures hold just the 0.15 % of sulfur that is needed, where the last bit of a sum decides.
    const sulfurPercent = { value: 0.16, origin: 'lab-test' } as const;
    const tested = [OAT, MEADOW, ALFALFA, STRAW].map((lot) => ({
      ...lot,
      composition: { ...lot.composition, sulfurPercent },
    }));
    const lots = [...tested, hay('Not tested', 88, {})].map((lot): RationLot => ({ ...lot, feedGroup: 'hay' }));
    fc.assert(
      fc.property(
        fc.array(fc.integer({ min: 0, max: 32 }), { minLength: lots.length, maxLength: lots.length }),
        fc.array(fc.integer({ min: 0, max: 4 }), { minLength: lots.length, maxLength: lots.length }),
        (eighths, cuts) => {
          fc.pre(eighths.some((amount) => amount > 0));
          const laid = lots.flatMap((lot, index) => {
            const kg = (eighths[index] ?? 0) / 8;
            return kg > 0 ? [{ lot, kg, pieces: 2 ** (cuts[index] ?? 0) }] : [];
          });
          const one = judged(laid.map(({ lot, kg }) => layer(lot, kg)));
          const many = judged(
            laid.flatMap(({ lot, kg, pieces }) =>
              Array.from({ length: pieces }, (_none, at) => layer(movedTo(lot, at), kg / pieces)),
            ),
          );
          const ranks = worst(many);
          for (const [code, rank] of Object.entries(worst(one)))
            expect([code, ranks[code] ?? 0, rank]).toEqual([code, Math.max(ranks[code] ?? 0, rank), rank]);
          expect(many.lines.map(({ nutrient, verdict }) => [nutrient, verdict])).toEqual(
            one.lines.map(({ nutrient, verdict }) => [nutrient, verdict]),
          );
        },
      ),
      { numRuns: examples(40) },
    );
  });
});
