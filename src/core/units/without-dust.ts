/** Floats hold 15 to 17 digits; sums of them are wrong in the last two or three. */
const DIGITS = 14;

/**
 * An answer without the dust of floating-point sums: 0.30000000000000004 is told as 0.3. Whole numbers stay, and so
 * does all text, in which decimals cross the wire as they were typed.
 */
export function withoutDust<Answer>(answer: Answer): Answer {
  return cleaned(answer) as Answer;
}

/** What has no dust in it is not copied: most of an answer is text. */
function cleaned(value: unknown): unknown {
  if (typeof value === 'number') return Number.isInteger(value) ? value : Number(value.toPrecision(DIGITS));
  if (typeof value !== 'object' || value === null) return value;
  if (Array.isArray(value)) {
    const made = value.map(cleaned);
    return made.every((inner, index) => Object.is(inner, value[index])) ? value : made;
  }
  if (Object.getPrototypeOf(value) !== Object.prototype) return value;
  let made: Record<string, unknown> | undefined;
  for (const [field, inner] of Object.entries(value)) {
    const clean = cleaned(inner);
    if (!Object.is(clean, inner)) (made ??= { ...(value as Record<string, unknown>) })[field] = clean;
  }
  return made ?? value;
}
