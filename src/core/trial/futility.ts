import { normalQuantile, normalUpperTail } from './special-functions.js';
import type { Difference } from './two-sample.js';
import { percent, shown, type WordUnit } from './words.js';

/** Answer to the planned question whether going on can still show what would be worthwhile. */
export interface Futility {
  /** Share of the whole trial's information at this look. */
  readonly share: number;
  /** Chance that the last look favors the change, if it is worth what the plan hopes for. */
  readonly conditionalPower: number;
  /** The same if the difference is what was seen so far. */
  readonly asSeen: number;
  /** The plan calls the trial futile below this conditional power. */
  readonly threshold: number;
  readonly futile: boolean;
}

/**
 * Chance that the last look is beyond its boundary on the upper side, given what was seen so far. `drift` is the
 * difference over its standard error at the end. Source: Lan and Wittes 1988, Biometrics 44:579-585 (B-values); Lan,
 * Simon and Halperin 1982, Sequential Analysis 1:207-219.
 * @throws RangeError if the share is not within 0 and 1.
 */
export function conditionalPower({
  z,
  share,
  drift,
  finalZ,
}: {
  z: number;
  share: number;
  drift: number;
  finalZ: number;
}): number {
  if (!(share > 0 && share < 1)) throw new RangeError('A look comes between the beginning and the end of a trial');
  const soFar = z * Math.sqrt(share);
  return normalUpperTail((finalZ - soFar - drift * (1 - share)) / Math.sqrt(1 - share));
}

/**
 * Is it still worth going on? Not binding: a trial that goes on all the same keeps its error, since nothing is tested
 * for it. Student's t of the look counts as the normal value with the same p. Kilograms a day.
 */
export function futilityOf(
  { difference, standardError, p }: Pick<Difference, 'difference' | 'standardError' | 'p'>,
  {
    share,
    finalAlpha,
    worthwhileKgPerDay,
    threshold,
  }: {
    readonly share: number;
    /** Two-sided, of the last look. */
    readonly finalAlpha: number;
    readonly worthwhileKgPerDay: number;
    readonly threshold: number;
  },
): Futility {
  const z = Math.sign(difference) * normalQuantile(1 - Math.min(Math.max(p, 1e-15), 1 - 1e-15) / 2);
  const finalZ = normalQuantile(1 - finalAlpha / 2);
  const errorAtEnd = standardError * Math.sqrt(share);
  const power = (drift: number) => conditionalPower({ z, share, drift, finalZ });
  const hoped = power(worthwhileKgPerDay / errorAtEnd);
  return {
    share,
    conditionalPower: hoped,
    asSeen: power(z / Math.sqrt(share)),
    threshold,
    futile: hoped < threshold,
  };
}

/** What a plan's looks do where futility is asked for: chance of being called futile at each, taken by itself. */
export interface FutilityPlanned {
  readonly threshold: number;
  readonly looks: readonly {
    readonly number: number;
    /** At a lower z than this the look calls the trial futile. */
    readonly z: number;
    readonly chanceIfNone: number;
    readonly chanceIfWorthwhile: number;
  }[];
}

export function futilityPlanned({
  threshold,
  fractions,
  finalAlpha,
  drift,
}: {
  readonly threshold: number;
  readonly fractions: readonly number[];
  readonly finalAlpha: number;
  /** The hoped difference over its standard error at the end. */
  readonly drift: number;
}): FutilityPlanned {
  const finalZ = normalQuantile(1 - finalAlpha / 2);
  return {
    threshold,
    looks: fractions.slice(0, -1).map((share, index) => {
      const reach = normalQuantile(threshold) * Math.sqrt(1 - share);
      const z = (reach + finalZ - drift * (1 - share)) / Math.sqrt(share);
      const below = (mean: number) => normalUpperTail(mean - z);
      return { number: index + 1, z, chanceIfNone: below(0), chanceIfWorthwhile: below(drift * Math.sqrt(share)) };
    }),
  };
}

export function futilityInWords(
  found: Futility,
  { changeName, worthwhileKgPerDay, wordsIn }: { changeName: string; worthwhileKgPerDay: number; wordsIn: WordUnit },
): string {
  const worth = `${shown(worthwhileKgPerDay, wordsIn).toFixed(2)} ${wordsIn} a day`;
  const chance = percent(found.conditionalPower, 1);
  return found.futile
    ? `As planned, going on would hardly help: even if ${changeName} is worth ${worth}, the trial would show it at ` +
        `its end in only ${chance} of cases (below the ${percent(found.threshold)} that the plan names). Stopping ` +
        'now does not show that the feedings are alike; going on all the same does no harm to the answer.'
    : `It is worth going on: if ${changeName} is worth ${worth}, the trial would show it at its end in ${chance} of ` +
        `cases (if the difference is what was seen so far, in ${percent(found.asSeen, 1)}).`;
}

export function futilityPlannedInWords({ threshold, looks }: FutilityPlanned): string[] {
  return looks.map(
    ({ number, chanceIfNone, chanceIfWorthwhile }) =>
      `Look ${number} says that going on would hardly help where the chance of showing the worthwhile difference at ` +
      `the end is below ${percent(threshold)}: in ${percent(chanceIfNone)} of trials where nothing differs, and ` +
      `wrongly in ${percent(chanceIfWorthwhile, 1)} of those where the change is worth that much.`,
  );
}
