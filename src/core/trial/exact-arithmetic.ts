/** 2^27 + 1 splits a double into two halves of 26 bits. Source: Dekker, T.J. 1971. Numerische Mathematik 18:224-242. */
const SPLITTER = 134217729;

/**
 * start − Σ left[i]·right[i] − end, as if computed in twice the working precision and rounded once. Source:
 * Ogita, Rump and Oishi 2005, SIAM Journal on Scientific Computing 26:1955-1988 (algorithm Dot2), products after Dekker
 * 1971.
 */
export function doubledDifference(start: number, left: Float64Array, right: Float64Array, end: number): number {
  let sum = start;
  let lost = 0;
  for (let i = 0; i < left.length; i += 1) {
    const a = -(left[i] ?? 0);
    const b = right[i] ?? 0;
    const product = a * b;
    const aSplit = SPLITTER * a;
    const aBig = aSplit - (aSplit - a);
    const aSmall = a - aBig;
    const bSplit = SPLITTER * b;
    const bBig = bSplit - (bSplit - b);
    const bSmall = b - bBig;
    const productError = aSmall * bSmall - (product - aBig * bBig - aSmall * bBig - aBig * bSmall);
    const next = sum + product;
    const back = next - sum;
    lost += sum - (next - back) + (product - back) + productError;
    sum = next;
  }
  const last = sum - end;
  const back = last - sum;
  lost += sum - (last - back) + (-end - back);
  return last + lost;
}
