/** 2^27 + 1 splits a double into two halves of 26 bits. Source: Dekker, T.J. 1971. Numerische Mathematik 18:224-242. */
const SPLITTER = 134217729;

/**
 * start + Σ left[i]·right[i], as if computed in twice the working precision and rounded once.
 * Source: Ogita, Rump and Oishi 2005, SIAM Journal on Scientific Computing 26:1955-1988 (algorithm Dot2), products after Dekker 1971.
 */
export function doubledDot(start: number, left: readonly number[], right: readonly number[]): number {
  let sum = start;
  let lost = 0;
  for (let i = 0; i < left.length; i += 1) {
    const a = left[i] ?? 0;
    const b = right[i] ?? 0;
    const product = a * b;
    const aBig = SPLITTER * a - (SPLITTER * a - a);
    const bBig = SPLITTER * b - (SPLITTER * b - b);
    const aSmall = a - aBig;
    const bSmall = b - bBig;
    const productError = aSmall * bSmall - (product - aBig * bBig - aSmall * bBig - aBig * bSmall);
    const next = sum + product;
    const back = next - sum;
    lost += sum - (next - back) + (product - back) + productError;
    sum = next;
  }
  return sum + lost;
}
