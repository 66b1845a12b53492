/*
 * A hay that lies in several layers is one hay: what is said of the ration does not depend on how it is laid. The
 * threshold is the default nitrate guide's (`guides.data.ts`, source there): 1,500 ppm NO3-N is for pregnant cattle in
 * a limited share only.
 */
import { evaluateRation } from '../../../src/core/judge/evaluate';
import { rationSupply } from '../../../src/core/judge/ration-supply';
import { dietContextOf } from '../../../src/core/judge/diet-context';
import type { RationLayer, RationLot } from '../../../src/core/ration/ration';
import { toldIn } from '../../../src/core/units/told';
import fc from '../../support/properties';
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
  cautions.map(({ code, severity, message }) => `${code} ${severity}: ${toldIn('metric', message)}`);

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
