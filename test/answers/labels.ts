const LABEL = /<(?:token|id|hash|code|digest|shared) \d+>/g;

export const unlabeled = (text: string): string => text.replaceAll(LABEL, '<>');

/**
 * Ids, tokens and digests stand in a recording as numbered labels. Two recordings may number them otherwise (something
 * more was made in between), so what matters is that one label of the first always goes with the same of the second.
 */
export class Labels {
  readonly #forth = new Map<string, string>();
  readonly #back = new Map<string, string>();

  /** Whether both texts say the same, label for label. */
  alike(before: string, after: string): boolean {
    if (unlabeled(before) !== unlabeled(after)) return false;
    const theirs = after.match(LABEL) ?? [];
    const pairs = (before.match(LABEL) ?? []).map((label, index) => [label, theirs[index] ?? ''] as const);
    const held = pairs.every(
      ([one, other]) => (this.#forth.get(one) ?? other) === other && (this.#back.get(other) ?? one) === one,
    );
    // A pair that was found to be wrong is told once; from then on the new pair counts.
    for (const [one, other] of pairs) {
      this.#forth.set(one, other);
      this.#back.set(other, one);
    }
    return held;
  }
}
