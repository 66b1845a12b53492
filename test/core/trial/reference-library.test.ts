import { fUpperTail, noncentralTCumulative, tQuantile, tTwoSidedP } from '../../../src/core/trial/distributions.js';
import { describe as summarize } from '../../../src/core/trial/descriptive.js';
import { brownForsythe, shapiroFrancia } from '../../../src/core/trial/residual-checks.js';
import {
  logGamma,
  normalQuantile,
  normalUpperTail,
  regularisedIncompleteBeta,
} from '../../../src/core/trial/special-functions.js';
import { pooledDifference, welchDifference } from '../../../src/core/trial/two-sample.js';
import library from '../../reference/statistics/reference-library.json';
import { agreeingDigits } from './digits.js';

/* Values of mpmath (40 digits) and SciPy, as named in the file: programs that share no line with ours. */
describe('functions against reference libraries', () => {
  it.each(library.logGamma)('log gamma of $x', ({ x, value }) => {
    expect(Math.abs(logGamma(x) - Number(value))).toBeLessThan(1e-14 * Math.max(1, Math.abs(Number(value))));
  });
  it.each(library.incompleteBeta)('incomplete beta $a $b $x', ({ a, b, x, value }) => {
    expect(agreeingDigits(regularisedIncompleteBeta({ a, b, x }), value)).toBeGreaterThanOrEqual(12);
  });
  it.each(library.normalQuantile)('normal quantile of $p', ({ p, value }) => {
    expect(agreeingDigits(normalQuantile(p), value)).toBeGreaterThanOrEqual(14);
  });
  it.each(library.normalUpperTail)('normal tail above $z', ({ z, upperTail }) => {
    expect(agreeingDigits(normalUpperTail(z), upperTail)).toBeGreaterThanOrEqual(12.5);
  });
  it.each(library.fUpperTail)('F $f on $d1 and $d2', ({ f, d1, d2, upperTail, digits = 10.5 }) => {
    expect(agreeingDigits(fUpperTail({ f, between: d1, within: d2 }), upperTail)).toBeGreaterThanOrEqual(digits);
  });
  it.each(library.tQuantile)('t quantile $p on $df', ({ p, df, value }) => {
    expect(agreeingDigits(tQuantile({ p, degreesOfFreedom: df }), String(value))).toBeGreaterThanOrEqual(12);
    expect(tTwoSidedP({ t: value, degreesOfFreedom: df })).toBeCloseTo(2 * (1 - p), 11);
  });
  it.each(library.noncentralT)('noncentral t $t on $df, $delta', ({ t, df, delta, value }) => {
    expect(
      Math.abs(noncentralTCumulative({ t, degreesOfFreedom: df, noncentrality: delta }) - Number(value)),
    ).toBeLessThan(1e-11);
  });
  it('two samples: Welch, pooled and Brown-Forsythe on the sleep data', () => {
    const { group1, group2, welch, pooled, brownForsythe: spread } = library.twoSample;
    const first = summarize(group1);
    const second = summarize(group2);
    const w = welchDifference({ first: second, second: first, confidence: 0.95 });
    expect([w.t, w.degreesOfFreedom, w.p, w.low, w.high]).toEqual(
      [welch.t, welch.degreesOfFreedom, welch.p, welch.low, welch.high].map(
        (value) => expect.closeTo(value, 10) as number,
      ),
    );
    const p = pooledDifference({ first: second, second: first, confidence: 0.95 });
    expect([p.t, p.p, p.low, p.high]).toEqual(
      [pooled.t, pooled.p, pooled.low, pooled.high].map((value) => expect.closeTo(value, 10) as number),
    );
    const b = brownForsythe([group1, group2]);
    expect([b?.f, b?.p]).toEqual([expect.closeTo(spread.f, 10), expect.closeTo(spread.p, 10)]);
  });
  it.each(library.shapiroFrancia)('Shapiro-Francia: $note', ({ data, w, p }) => {
    const got = shapiroFrancia(data);
    expect(got?.w).toBeCloseTo(w, 11);
    expect(got?.p).toBeCloseTo(p, 10);
  });
  it('has no normality test for too few values or values that do not vary', () => {
    expect(shapiroFrancia([1, 2, 3, 4])).toBeNull();
    expect(shapiroFrancia([2, 2, 2, 2, 2, 2])).toBeNull();
  });
});
