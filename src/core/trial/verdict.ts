import { confidenceText, roundedOutward, shown, type WordUnit } from './words.js';

export type Verdict = 'favours' | 'no-clear-difference' | 'too-small-to-tell';

export interface VerdictInWords {
  readonly verdict: Verdict;
  /** The arm that the interval favors; null unless the verdict is `favours`. */
  readonly favours: 'change' | 'usual' | null;
  /** True when the whole interval is at least the worthwhile difference away from zero; null when none was stated. */
  readonly worthwhileForSure: boolean | null;
  readonly sentences: readonly string[];
}

interface GainInterval {
  /** Change minus usual, kilograms a day. */
  readonly differenceKgPerDay: number;
  readonly lowKgPerDay: number;
  readonly highKgPerDay: number;
  readonly confidence: number;
}

/**
 * The verdict that an interval allows, and no more: `favours` if it is on one side of zero; `no-clear-difference` if
 * it holds zero and every difference in it is smaller than the worthwhile one; `too-small-to-tell` if it holds zero
 * and differences that would matter. Without a worthwhile difference an interval that holds zero is
 * `no-clear-difference`, and the words say that this does not make the feedings alike. Source for reading equivalence
 * from an interval: Schuirmann 1987, Journal of Pharmacokinetics and Biopharmaceutics 15:657-680 (a 95 % interval is
 * stricter than the two one-sided tests at 5 %, which need 90 %).
 */
export function verdictOf({
  lowKgPerDay,
  highKgPerDay,
  worthwhileKgPerDay,
}: {
  lowKgPerDay: number;
  highKgPerDay: number;
  worthwhileKgPerDay: number | null;
}): Omit<VerdictInWords, 'sentences'> {
  if (!(lowKgPerDay <= highKgPerDay)) throw new RangeError('An interval runs from low to high');
  if (worthwhileKgPerDay !== null && !(worthwhileKgPerDay > 0))
    throw new RangeError('A worthwhile difference is above zero');
  if (lowKgPerDay > 0 || highKgPerDay < 0) {
    const nearest = lowKgPerDay > 0 ? lowKgPerDay : -highKgPerDay;
    return {
      verdict: 'favours',
      favours: lowKgPerDay > 0 ? 'change' : 'usual',
      worthwhileForSure: worthwhileKgPerDay === null ? null : nearest >= worthwhileKgPerDay,
    };
  }
  if (worthwhileKgPerDay === null) return { verdict: 'no-clear-difference', favours: null, worthwhileForSure: null };
  const inside = lowKgPerDay > -worthwhileKgPerDay && highKgPerDay < worthwhileKgPerDay;
  return { verdict: inside ? 'no-clear-difference' : 'too-small-to-tell', favours: null, worthwhileForSure: false };
}

/** The verdict with plain sentences. Every number told is rounded so that it claims no more than the interval. */
export function verdictInWords({
  interval,
  worthwhileKgPerDay,
  changeName,
  usualName,
  wordsIn: wordsIn,
}: {
  interval: GainInterval;
  worthwhileKgPerDay: number | null;
  changeName: string;
  usualName: string;
  wordsIn: WordUnit;
}): VerdictInWords {
  const verdict = verdictOf({ ...interval, worthwhileKgPerDay });
  const unit = `${wordsIn} a day`;
  const { low, high } = roundedOutward({
    low: shown(interval.lowKgPerDay, wordsIn),
    high: shown(interval.highKgPerDay, wordsIn),
    places: 2,
  });
  const best = shown(interval.differenceKgPerDay, wordsIn).toFixed(2);
  const worthwhile = worthwhileKgPerDay === null ? null : shown(worthwhileKgPerDay, wordsIn).toFixed(2);
  const strip = (text: string) => text.replace(/^-/, '');
  const confident = `${confidenceText(interval.confidence)} confidence`;
  const sides = `from ${strip(low)} ${unit} less to ${high} ${unit} more`;

  if (verdict.verdict === 'favours') {
    const change = verdict.favours === 'change';
    const [winner, loser] = change ? [changeName, usualName] : [usualName, changeName];
    const [least, most] = change ? [low, high] : [strip(high), strip(low)];
    return {
      ...verdict,
      sentences: [
        `The trial favors ${winner}: its cattle gained between ${least} and ${most} ${unit} more than those on ` +
          `${loser} (${confident}; best single figure ${strip(best)}).`,
        ...(worthwhile === null
          ? []
          : [
              verdict.worthwhileForSure
                ? `The whole interval is at or above the ${worthwhile} ${unit} named as worthwhile.`
                : `Part of the interval lies below the ${worthwhile} ${unit} named as worthwhile: the gain is ` +
                  'there, but it may be too small to matter.',
            ]),
      ],
    };
  }
  if (verdict.verdict === 'no-clear-difference') {
    return {
      ...verdict,
      sentences: [
        `No clear difference: cattle on ${changeName} gained ${sides} than those on ${usualName} (${confident}).`,
        worthwhile === null
          ? 'No worthwhile difference was named before the trial, so this does not show that the two feedings are ' +
            'alike.'
          : `Every difference in that interval is smaller than the ${worthwhile} ${unit} named as worthwhile.`,
      ],
    };
  }
  return {
    ...verdict,
    sentences: [
      `The trial is too small to tell: cattle on ${changeName} may gain ${sides} than those on ${usualName} ` +
        `(${confident}).`,
      `That interval holds no difference at all as well as differences of ${worthwhile ?? ''} ${unit} or more, ` +
        `which would matter. It neither shows that ${changeName} is better nor that the two are alike.`,
    ],
  };
}

/** What a trial can never say, told every time. */
export function limitsInWords({
  classOfAnimals,
  season,
  hay,
}: {
  classOfAnimals: string;
  season: string;
  hay: string;
}): string[] {
  return [
    `This holds for ${classOfAnimals}, in ${season}, on ${hay}, as tested. It says nothing about other classes ` +
      'of cattle, another season or other hay; those need a trial of their own.',
  ];
}
