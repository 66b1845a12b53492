/** Floats hold 15 to 17 digits; sums of them are wrong in the last two or three. */
const DIGITS = 14;

/**
 * An answer without the dust of floating-point sums: 0.30000000000000004 is told as 0.3. Whole numbers stay, and so
 * does all text, in which decimals cross the wire as they were typed.
 */
export function withoutDust<Answer>(answer: Answer): Answer {
  return cleaned(answer) as Answer;
}

function cleaned(value: unknown): unknown {
  if (typeof value === 'number') return Number.isInteger(value) ? value : Number(value.toPrecision(DIGITS));
  if (Array.isArray(value)) return value.map(cleaned);
  if (typeof value !== 'object' || value === null || Object.getPrototypeOf(value) !== Object.prototype) return value;
  return Object.fromEntries(Object.entries(value).map(([field, inner]) => [field, cleaned(inner)]));
}
