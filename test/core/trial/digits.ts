/**
 * Log relative error: the number of significant digits that agree with a certified value (absolute error when it is
 * zero). Source: McCullough, B.D. 1998. Assessing the reliability of statistical software: part I. The American
 * Statistician 52:358-366. Capped at 15, the digits NIST certifies.
 */
export function agreeingDigits(computed: number, certified: string | number): number {
  const expected = Number(certified);
  const error = expected === 0 ? Math.abs(computed) : Math.abs(computed - expected) / Math.abs(expected);
  return error === 0 ? 15 : Math.min(15, -Math.log10(error));
}
