import { animalResults, unitsOfArm, type AnimalResult, type UnitValue } from './analysis-sets.js';
import { armOutcome, type ArmFeed, type ArmOutcome } from './arm-outcome.js';
import {
  compareArms,
  leaveOneOut,
  residualReport,
  type ArmsCompared,
  type LeftOut,
  type ResidualReport,
  type TrialMethod,
} from './compare-arms.js';
import { describe } from './descriptive.js';
import { partialBudget, type PartialBudget } from './if-it-held.js';
import { chanceOfFirstCrossing, lookBoundaries, type SpendingKind } from './planned-looks.js';
import { unitsPerArm as neededUnitsPerArm } from './power.js';
import { type Refusal, refused } from '../outcome/outcome.js';
import { problem, type Problem } from '../outcome/problem.js';
import { normalQuantile } from './special-functions.js';
import { caution, designCautions, type TrialCaution } from './trial-cautions.js';
import { TRIAL_CHOICES, UNIT_SOURCES } from './trial.data.js';
import type { TrialAnimal, TrialArm, TrialProtocol } from './trial-records.js';
import type { Difference } from './two-sample.js';
import { limitsInWords, verdictInWords, verdictOf, type VerdictInWords } from './verdict.js';
import { confidenceText, percent, told, type ToldIn } from './words.js';
import type { Currency, Money, PricePerMass } from '../units/money.js';

export interface TrialLook {
  /** The looks named in the plan; null if the plan had one look, at the end. */
  readonly planned: { readonly fractions: readonly number[]; readonly kind: SpendingKind } | null;
  /** Which look this is, counted from 1 over all that were taken. */
  readonly number: number;
  /** Is the trial over? */
  readonly final: boolean;
}

export interface TrialToJudge {
  readonly question: string;
  readonly arms: readonly TrialArm[];
  readonly unit: 'animal' | 'pen';
  readonly protocol: TrialProtocol;
  readonly animals: readonly TrialAnimal[];
  /** Method named in the plan. */
  readonly method: TrialMethod;
  readonly confidence: number;
  readonly worthwhileDifferenceKgPerDay: number | null;
  readonly look: TrialLook;
  /** Day of the trial that the records reach to; the whole trial if absent. */
  readonly upToDay?: number;
  readonly currency: Currency;
  readonly feeds: readonly ArmFeed[];
  readonly otherCosts: readonly { readonly armId: string; readonly cost: Money }[];
  /** What a kilogram of gain is worth; null leaves the partial budget out. */
  readonly valueOfGain: PricePerMass | null;
  readonly herdHead: number | null;
  readonly classOfAnimals: string;
  readonly season: string;
  readonly hay: string;
  readonly toldIn: ToldIn;
}

export interface SetJudged {
  readonly set: 'as-drawn' | 'per-protocol';
  readonly units: readonly { readonly armId: string; readonly units: number; readonly head: number }[];
  readonly compared: ArmsCompared | null;
  readonly verdict: Omit<VerdictInWords, 'sentences'> | null;
}

export interface ComparisonJudged {
  readonly usualArmId: string;
  readonly changeArmId: string;
  /** The answer: all animals as drawn, by the method of the plan. Null when an arm has fewer than two units. */
  readonly answer: Difference | null;
  /** Only when the answer is null: what the animals did, which does not prove the feeding. */
  readonly animalsOnly: Difference | null;
  readonly verdict: VerdictInWords;
  readonly asDrawn: SetJudged;
  readonly perProtocol: SetJudged;
  /**
   * The answer if the missing had done worst for the change, and worst for the usual feeding. Null when none is
   * missing.
   */
  readonly missing: {
    readonly head: number;
    readonly againstChange: Difference;
    readonly againstUsual: Difference;
  } | null;
  readonly checks: ResidualReport | null;
  readonly leftOut: readonly LeftOut[];
  readonly partialBudget: PartialBudget | null;
  /** How many units an arm would take to see the worthwhile difference, by the spread seen here. */
  readonly nextTrial: { readonly sdKgPerDay: number; readonly unitsPerArm: number | null } | null;
}

export interface TrialJudged {
  readonly ok: true;
  readonly question: string;
  readonly unit: 'animal' | 'pen';
  readonly confidence: number;
  /** Confidence of each single interval, after sharing the error over comparisons and looks. */
  readonly intervalConfidence: number;
  readonly look: {
    readonly number: number;
    readonly final: boolean;
    readonly planned: boolean;
    readonly peeking: boolean;
    readonly falseAlarmChanceUncorrected: number;
  };
  readonly arms: readonly ArmOutcome[];
  readonly comparisons: readonly ComparisonJudged[];
  readonly animals: readonly AnimalResult[];
  readonly growth: readonly {
    readonly armId: string;
    readonly day: number;
    readonly head: number;
    readonly meanWeightKg: number;
    readonly sdWeightKg: number | null;
  }[];
  readonly cautions: readonly TrialCaution[];
  readonly words: readonly string[];
  readonly limits: readonly string[];
}

function problemsOf(trial: TrialToJudge): Problem[] {
  const problems: Problem[] = [];
  const armIds = new Set(trial.arms.map((arm) => arm.id));
  if (
    trial.arms.length < 2 ||
    armIds.size !== trial.arms.length ||
    trial.arms.filter((arm) => arm.role === 'usual').length !== 1
  ) {
    problems.push(
      problem(
        'trial.arms',
        'arms',
        [...armIds].join(', '),
        'one usual arm and one change or more, each once',
        'A trial compares changes with one usual feeding.',
      ),
    );
  }
  if (!(trial.confidence >= 0.5 && trial.confidence < 1))
    problems.push(
      problem(
        'trial.confidence',
        'confidence',
        String(trial.confidence),
        'from 0.5 to below 1',
        'Confidence is a share.',
      ),
    );
  const worthwhile = trial.worthwhileDifferenceKgPerDay;
  if (worthwhile !== null && !(worthwhile > 0 && Number.isFinite(worthwhile)))
    problems.push(
      problem(
        'trial.worthwhile',
        'worthwhileDifferenceKgPerDay',
        String(worthwhile),
        'above 0, or none',
        'A worthwhile difference is above zero.',
      ),
    );
  if (new Set(trial.animals.map((animal) => animal.id)).size !== trial.animals.length)
    problems.push(
      problem(
        'trial.animal-twice',
        'animals',
        String(trial.animals.length),
        'each animal once',
        'An animal stands in the list twice.',
      ),
    );
  const penArms = new Map<string, string>();
  for (const animal of trial.animals) {
    if (!armIds.has(animal.armId))
      problems.push(
        problem(
          'trial.unknown-arm',
          `animals.${animal.id}`,
          animal.armId,
          [...armIds].join(', '),
          `${animal.id} stands in an arm that the trial does not have.`,
        ),
      );
    if (animal.weighings.some((weighing) => !(weighing.weightKg > 0) || !Number.isFinite(weighing.weightKg)))
      problems.push(
        problem(
          'trial.weight',
          `animals.${animal.id}`,
          'a weight of 0 or less',
          'above 0 kg',
          `${animal.id} has a weight that cannot be.`,
        ),
      );
    if (trial.unit === 'pen' && animal.penId !== null) {
      const other = penArms.get(animal.penId);
      if (other !== undefined && other !== animal.armId)
        problems.push(
          problem(
            'trial.pen-in-two-arms',
            `animals.${animal.id}`,
            animal.penId,
            'one arm for a pen',
            `Pen ${animal.penId} holds animals of two arms: the pen cannot be the unit.`,
          ),
        );
      penArms.set(animal.penId, animal.armId);
    }
  }
  const { planned, number } = trial.look;
  if (!Number.isInteger(number) || number < 1)
    problems.push(
      problem('trial.looks', 'look.number', String(number), 'a whole number from 1', 'Looks are counted from 1.'),
    );
  if (planned && !planned.fractions.every((fraction, i) => fraction > (planned.fractions[i - 1] ?? 0) && fraction <= 1))
    problems.push(
      problem(
        'trial.looks',
        'look.planned',
        planned.fractions.join(', '),
        'rising shares of the trial',
        'Looks are planned as rising shares of the whole trial.',
      ),
    );
  for (const price of [
    trial.valueOfGain,
    ...trial.feeds.map((feed) => feed.price),
    ...trial.otherCosts.map((other) => other.cost),
  ]) {
    if (price && price.currency !== trial.currency)
      problems.push(
        problem(
          'trial.currency',
          'currency',
          price.currency,
          trial.currency,
          'All prices of a trial are in one currency.',
        ),
      );
  }
  return problems;
}

/** The alpha of one interval, the error shared over comparisons and looks. */
function alphaOf(trial: TrialToJudge): {
  alpha: number;
  planned: boolean;
  peeking: boolean;
  looks: number;
  falseAlarmChanceUncorrected: number;
} {
  const changes = trial.arms.filter((arm) => arm.role === 'change').length;
  const share = (1 - trial.confidence) / changes;
  const { planned, number, final } = trial.look;
  const plannedLook = planned
    ? lookBoundaries({ fractions: planned.fractions, alpha: share, kind: planned.kind })[number - 1]
    : undefined;
  if (plannedLook)
    return {
      alpha: plannedLook.nominalAlpha,
      planned: true,
      peeking: false,
      looks: number,
      falseAlarmChanceUncorrected: 1 - trial.confidence,
    };
  // A look at running data will be followed by at least one more.
  const looks = final ? number : number + 1;
  const z = normalQuantile(1 - (1 - trial.confidence) / 2);
  const chances = chanceOfFirstCrossing({
    fractions: Array.from({ length: looks }, (_, i) => (i + 1) / looks),
    z: new Array<number>(looks).fill(z),
  });
  return {
    alpha: share / looks,
    planned: false,
    peeking: looks > 1,
    looks,
    falseAlarmChanceUncorrected: chances.reduce((sum, chance) => sum + chance, 0),
  };
}

function judgeSet({
  set,
  results,
  trial,
  usual,
  change,
  confidence,
}: {
  set: SetJudged['set'];
  results: readonly AnimalResult[];
  trial: TrialToJudge;
  usual: TrialArm;
  change: TrialArm;
  confidence: number;
}): SetJudged & { readonly usualUnits: UnitValue[]; readonly changeUnits: UnitValue[] } {
  const usualUnits = unitsOfArm({ results, armId: usual.id, unit: trial.unit, set });
  const changeUnits = unitsOfArm({ results, armId: change.id, unit: trial.unit, set });
  const compared = compareArms({ usual: usualUnits, change: changeUnits, method: trial.method, confidence });
  const head = (units: readonly UnitValue[]) => units.reduce((sum, unit) => sum + unit.head, 0);
  return {
    set,
    units: [
      { armId: usual.id, units: usualUnits.length, head: head(usualUnits) },
      { armId: change.id, units: changeUnits.length, head: head(changeUnits) },
    ],
    compared,
    verdict:
      compared === null
        ? null
        : verdictOf({
            lowKgPerDay: compared.primary.low,
            highKgPerDay: compared.primary.high,
            worthwhileKgPerDay: trial.worthwhileDifferenceKgPerDay,
          }),
    usualUnits,
    changeUnits,
  };
}

/**
 * The answer if every animal without a gain had done as badly as the worst seen on one side and as well as the best on
 * the other.
 */
function missingBounds({
  results,
  trial,
  usual,
  change,
  confidence,
}: {
  results: readonly AnimalResult[];
  trial: TrialToJudge;
  usual: TrialArm;
  change: TrialArm;
  confidence: number;
}): ComparisonJudged['missing'] {
  const mine = results.filter((result) => result.armId === usual.id || result.armId === change.id);
  const gains = mine.flatMap((result) => (result.gainKgPerDay === null ? [] : [result.gainKgPerDay]));
  const starts = mine.flatMap((result) => (result.startWeightKg === null ? [] : [result.startWeightKg]));
  const head = mine.length - gains.length;
  if (head === 0 || gains.length === 0 || starts.length === 0) return null;
  const meanStart = describe(starts).mean;
  const worst = Math.min(...gains);
  const best = Math.max(...gains);
  const filled = (usualGain: number, changeGain: number) => {
    const whole = mine.map((result) => ({
      ...result,
      startWeightKg: result.startWeightKg ?? meanStart,
      gainKgPerDay: result.gainKgPerDay ?? (result.armId === usual.id ? usualGain : changeGain),
    }));
    const units = (arm: TrialArm) => unitsOfArm({ results: whole, armId: arm.id, unit: trial.unit, set: 'as-drawn' });
    return compareArms({ usual: units(usual), change: units(change), method: trial.method, confidence })?.primary;
  };
  const againstChange = filled(best, worst);
  const againstUsual = filled(worst, best);
  return againstChange && againstUsual ? { head, againstChange, againstUsual } : null;
}

/**
 * Judges a feeding trial: the difference in daily gain of each change from the usual feeding with its interval, by all
 * animals as drawn (intention to treat) and by those that followed the protocol; residual checks, influence and the
 * effect of the missing; feed, waste, conversion, cost of gain, partial budget; and words that claim no more than the
 * interval. Kilograms, days, decimals for money.
 *
 * Several changes share the error by Bonferroni. A planned look uses its spending boundary; a look that was not planned
 * is marked as peeking and its interval is widened by Bonferroni over the looks. Sources: see two-sample.ts,
 * analysis-of-covariance.ts, planned-looks.ts, residual-checks.ts; the pen as unit: trial.data.ts.
 * @returns a refusal with codes `trial.arms`, `trial.confidence`, `trial.worthwhile`, `trial.animal-twice`,
 * `trial.unknown-arm`, `trial.weight`, `trial.pen-in-two-arms`, `trial.looks`, `trial.currency`.
 */
export function judgeTrial(trial: TrialToJudge): TrialJudged | Refusal {
  const problems = problemsOf(trial);
  const usual = trial.arms.find((arm) => arm.role === 'usual');
  if (problems.length > 0 || !usual) return refused(problems);
  const { alpha, planned, peeking, looks, falseAlarmChanceUncorrected } = alphaOf(trial);
  const confidence = 1 - alpha;
  const { toldIn, worthwhileDifferenceKgPerDay: worthwhile } = trial;
  const results = animalResults({
    protocol: trial.protocol,
    animals: trial.animals,
    ...(trial.upToDay === undefined ? {} : { upToDay: trial.upToDay }),
  });
  const outcomes = trial.arms.map((arm) =>
    armOutcome({
      armId: arm.id,
      results,
      feeds: trial.feeds,
      otherCosts: trial.otherCosts.find((other) => other.armId === arm.id)?.cost ?? null,
      currency: trial.currency,
    }),
  );
  const outcomeOf = (arm: TrialArm) => outcomes.find((outcome) => outcome.armId === arm.id);

  const cautions: TrialCaution[] = [];
  const startWeights = results.flatMap((result) => (result.startWeightKg === null ? [] : [result.startWeightKg]));
  const fewest = Math.min(
    ...trial.arms.map((arm) => unitsOfArm({ results, armId: arm.id, unit: trial.unit, set: 'as-drawn' }).length),
  );
  cautions.push(
    ...designCautions({
      lengthDays: trial.protocol.lengthDays,
      unit: trial.unit,
      unitsPerArm: fewest,
      meanWeightKg: startWeights.length > 0 ? describe(startWeights).mean : null,
      toldIn,
    }),
  );
  const penned = trial.animals.filter((animal) => animal.penId !== null);
  if (trial.unit === 'pen' && penned.length < trial.animals.length) {
    cautions.push(
      caution(
        'trial.mixed-units',
        `${trial.animals.length - penned.length} animals were fed alone while others were fed by pen. Each ` +
          'stands as a pen of one, though it is measured less surely than a pen; read the interval with care.',
        { value: trial.animals.length - penned.length, unit: 'head' },
        UNIT_SOURCES.penIsTheUnit,
      ),
    );
  }
  const armsOfPen = (pen: string | null) =>
    new Set(penned.filter((animal) => animal.penId === pen).map((animal) => animal.armId)).size;
  const sharedPens = [...new Set(penned.map((animal) => animal.penId))].filter(
    (pen) => penned.filter((animal) => animal.penId === pen).length > 1,
  );
  if (trial.unit === 'animal' && sharedPens.length > 0 && sharedPens.every((pen) => armsOfPen(pen) === 1)) {
    cautions.push(
      caution(
        'trial.pens-hold-one-arm',
        `Animals are taken as the unit, but ${sharedPens.length} pens hold animals of one arm only. If feed was ` +
          'given by the pen, the pen is the unit and this interval is too narrow: judge the trial by pens.',
        { value: sharedPens.length, unit: 'pens' },
        UNIT_SOURCES.penIsTheUnit,
      ),
    );
  }
  if (peeking) {
    cautions.push(
      caution(
        'trial.peeking',
        `${trial.look.final ? 'The trial was looked at before its ' + 'end without a plan for it.' : 'This look was not planned.'} ` +
          `Looking ${looks} times at the usual ${confidenceText(trial.confidence)} would raise a false alarm in ` +
          `${percent(falseAlarmChanceUncorrected, 1)} of trials where nothing differs; the intervals are widened ` +
          `to ${confidenceText(confidence)} for it.`,
        { value: falseAlarmChanceUncorrected, unit: 'chance of a false alarm' },
        'Armitage, McPherson and Rowe 1969, Journal of the Royal Statistical Society A 132:235-244',
      ),
    );
  }
  const deaths = results.filter((result) => result.died).length;
  if (deaths > 0)
    cautions.push(
      caution(
        'trial.deaths',
        `${deaths === 1 ? '1 animal' : `${deaths} animals`} died. A veterinarian should say why before the ` +
          'feeding is used again.',
        { value: deaths, unit: 'head' },
        'rule of this program',
      ),
    );

  const comparisons = trial.arms
    .filter((arm) => arm.role === 'change')
    .map((change): ComparisonJudged => {
      const asDrawn = judgeSet({ set: 'as-drawn', results, trial, usual, change, confidence });
      const perProtocol = judgeSet({ set: 'per-protocol', results, trial, usual, change, confidence });
      const setOf = ({ set, units, compared, verdict }: SetJudged): SetJudged => ({ set, units, compared, verdict });
      const missing = missingBounds({ results, trial, usual, change, confidence });
      const about = `${change.name} against ${usual.name}`;
      const raise = (code: string, words: string, number: { value: number; unit: string } | null, source: string) =>
        cautions.push(caution(code, `${about}: ${words}`, number, source));
      const { compared } = asDrawn;
      const noSpread = compared !== null && compared.primary.standardError === 0;

      if (compared === null || noSpread) {
        const animalsOnly =
          trial.unit === 'pen'
            ? (compareArms({
                usual: unitsOfArm({ results, armId: usual.id, unit: 'animal', set: 'as-drawn' }),
                change: unitsOfArm({ results, armId: change.id, unit: 'animal', set: 'as-drawn' }),
                method: 'welch',
                confidence,
              })?.primary ?? null)
            : null;
        if (noSpread)
          raise(
            'trial.no-spread',
            'all gains of an arm are the same, which real weights never are; check the records.',
            null,
            'rule of this program',
          );
        const gain = (arm: TrialArm) => outcomeOf(arm)?.meanGainKgPerDay ?? null;
        const [usualGain, changeGain] = [gain(usual), gain(change)];
        return {
          usualArmId: usual.id,
          changeArmId: change.id,
          answer: null,
          animalsOnly,
          verdict: {
            verdict: 'too-small-to-tell',
            favours: null,
            worthwhileForSure: null,
            sentences: [
              noSpread
                ? 'The trial cannot tell: the recorded gains do not vary, so no interval can be given.'
                : trial.unit === 'pen'
                  ? 'The trial cannot tell: each feeding needs two pens or more. With one pen an arm, pen and ' +
                    'feeding cannot be told apart, and no test on the animals proves the feeding.'
                  : 'The trial cannot tell: each arm needs two animals or more with a start and an end weight.',
              ...(usualGain === null || changeGain === null
                ? []
                : [
                    `What was weighed: ${told(changeGain, toldIn).toFixed(2)} ${toldIn} a day on ` +
                      `${change.name}, ${told(usualGain, toldIn).toFixed(2)} ${toldIn} a day on ${usual.name}. ` +
                      'That describes these animals only.',
                  ]),
            ],
          },
          asDrawn: setOf(asDrawn),
          perProtocol: setOf(perProtocol),
          missing,
          checks: null,
          leftOut: [],
          partialBudget: null,
          nextTrial: null,
        };
      }

      const answer = compared.primary;
      const verdictFor = (difference: Difference) =>
        verdictOf({ lowKgPerDay: difference.low, highKgPerDay: difference.high, worthwhileKgPerDay: worthwhile });
      const verdict = verdictInWords({
        interval: {
          differenceKgPerDay: answer.difference,
          lowKgPerDay: answer.low,
          highKgPerDay: answer.high,
          confidence,
        },
        worthwhileKgPerDay: worthwhile,
        changeName: change.name,
        usualName: usual.name,
        toldIn,
      });
      const same = (other: Omit<VerdictInWords, 'sentences'> | null) =>
        other !== null && other.verdict === verdict.verdict && other.favours === verdict.favours;
      const checks = residualReport({ usual: asDrawn.usualUnits, change: asDrawn.changeUnits, compared });
      const leftOut = leaveOneOut({ usual: asDrawn.usualUnits, change: asDrawn.changeUnits, compared, confidence });

      const low = TRIAL_CHOICES.checkP;
      if (compared.fallback !== null) raise('trial.method-fallback', compared.fallback, null, 'rule of this program');
      if (
        answer.method === 'analysis-of-covariance' &&
        compared.covariance?.equalSlopes &&
        compared.covariance.equalSlopes.p < low.value
      )
        raise(
          'trial.unequal-slopes',
          'the effect seems to differ between light and heavy animals, so that one figure for all is a rough average.',
          { value: compared.covariance.equalSlopes.p, unit: 'p-value of equal slopes' },
          low.source,
        );
      if (checks.normality && checks.normality.p < low.value)
        raise(
          'trial.not-normal',
          'the gains do not scatter as the interval assumes; look at the quantile plot.',
          { value: checks.normality.p, unit: 'p-value' },
          'Royston 1993, Statistics in Medicine 12:181-184',
        );
      if (checks.equalVariance && checks.equalVariance.p < low.value)
        raise(
          'trial.unequal-spread',
          'the arms scatter ' +
            `differently${answer.method === 'welch' ? '; Welch’s interval allows for that' : '; compare Welch’s interval'}.`,
          { value: checks.equalVariance.p, unit: 'p-value' },
          'Brown and Forsythe 1974',
        );
      for (const one of leftOut) {
        const shift = Math.abs(one.shiftInStandardErrors ?? 0);
        const distance = checks.influence.find((other) => other.unitId === one.unitId)?.cooksDistance ?? 0;
        if (shift > TRIAL_CHOICES.influentialShift.value)
          raise(
            'trial.influential-unit',
            `${one.unitId} moves the answer by ${shift.toFixed(1)} standard errors.`,
            { value: shift, unit: 'standard errors' },
            TRIAL_CHOICES.influentialShift.source,
          );
        else if (distance > TRIAL_CHOICES.cooksDistance.value)
          raise(
            'trial.influential-unit',
            `${one.unitId} decides much of the answer.`,
            { value: distance, unit: 'Cook’s distance' },
            TRIAL_CHOICES.cooksDistance.source,
          );
      }
      const turning = leftOut.filter(
        (one) =>
          !same(
            verdictOf({ lowKgPerDay: one.lowKgPerDay, highKgPerDay: one.highKgPerDay, worthwhileKgPerDay: worthwhile }),
          ),
      );
      if (turning.length > 0)
        raise(
          'trial.one-unit-decides',
          `the verdict would change without ${turning
            .map((one) => one.unitId)
            .slice(0, 5)
            .join(', ')}${turning.length > 5 ? ` and ${turning.length - 5} more` : ''}, taken one at a time.`,
          { value: turning.length, unit: 'units' },
          'leaving out one unit at a time',
        );
      const otherMethod = answer.method === 'welch' ? compared.covariance?.differences[0] : compared.welch;
      if (otherMethod && !same(verdictFor(otherMethod)))
        raise(
          'trial.methods-disagree',
          `${answer.method === 'welch' ? 'the analysis of covariance' : 'Welch’s interval'} leads to another ` +
            `verdict (${verdictFor(otherMethod).verdict}). The method of the plan stands.`,
          null,
          'rule of this program',
        );
      if (!same(perProtocol.verdict))
        raise(
          'trial.sets-disagree',
          'the animals that followed the protocol alone lead to another verdict ' +
            `(${perProtocol.verdict?.verdict ?? 'none: too few left'}). All animals as drawn stand.`,
          null,
          'intention to treat: rule of this program',
        );
      if (missing !== null) {
        raise(
          'trial.missing-animals',
          `${missing.head} animals have no gain; they are listed with the reason.`,
          { value: missing.head, unit: 'head' },
          'rule of this program',
        );
        if (!same(verdictFor(missing.againstChange)) || !same(verdictFor(missing.againstUsual)))
          raise(
            'trial.missing-could-decide',
            'had the missing animals done best or worst, the verdict could be another.',
            { value: missing.head, unit: 'head' },
            'worst and best of the gains seen put in for the missing',
          );
      }
      const usualStart = describe(asDrawn.usualUnits.map((unit) => unit.startWeightKg));
      const changeStart = describe(asDrawn.changeUnits.map((unit) => unit.startWeightKg));
      const apart =
        Math.abs(changeStart.mean - usualStart.mean) / Math.sqrt((usualStart.variance + changeStart.variance) / 2);
      if (apart > TRIAL_CHOICES.balanceShareOfSd.value)
        raise(
          'trial.unbalanced-start',
          `mean start weights lie ${apart.toFixed(2)} standard deviations ` +
            `apart${answer.method === 'analysis-of-covariance' ? '; the answer allows for it' : ''}.`,
          { value: apart, unit: 'standard deviations' },
          TRIAL_CHOICES.balanceShareOfSd.source,
        );

      const costs = [outcomeOf(usual)?.cost, outcomeOf(change)?.cost];
      const [usualCost, changeCost] = costs;
      const sd = Math.sqrt(
        (describe(asDrawn.usualUnits.map((unit) => unit.gainKgPerDay)).variance +
          describe(asDrawn.changeUnits.map((unit) => unit.gainKgPerDay)).variance) /
          2,
      );
      const next =
        worthwhile === null
          ? null
          : {
              sdKgPerDay: sd,
              unitsPerArm: neededUnitsPerArm({
                difference: worthwhile,
                sd,
                alpha,
                power: TRIAL_CHOICES.power.value,
                most: 100_000,
              }),
            };
      return {
        usualArmId: usual.id,
        changeArmId: change.id,
        answer,
        animalsOnly: null,
        verdict: {
          ...verdict,
          sentences: [
            ...verdict.sentences,
            ...(verdict.verdict === 'too-small-to-tell' && next?.unitsPerArm
              ? [
                  `By the spread seen here, ${next.unitsPerArm} ${trial.unit === 'pen' ? 'pens' : 'head'} an ` +
                    'arm would have been needed to see the worthwhile difference in ' +
                    `${percent(TRIAL_CHOICES.power.value)} of trials.`,
                ]
              : []),
            ...(!peeking
              ? []
              : trial.look.final
                ? ['The trial was looked at before its end without a plan for it; the interval is wider for that.']
                : ['This is a look at the trial that was not planned: it is not the last word.']),
          ],
        },
        asDrawn: setOf(asDrawn),
        perProtocol: setOf(perProtocol),
        missing,
        checks,
        leftOut,
        partialBudget:
          trial.valueOfGain !== null && usualCost && changeCost
            ? partialBudget({
                differenceKgPerDay: { low: answer.low, estimate: answer.difference, high: answer.high },
                days: trial.protocol.lengthDays,
                valueOfGain: trial.valueOfGain,
                addedCostPerHeadDay: changeCost.perHeadDay.minus(usualCost.perHeadDay),
                herdHead: trial.herdHead,
              })
            : null,
        nextTrial: next,
      };
    });

  const growth = trial.arms.flatMap((arm) => {
    const weighings = trial.animals.filter((animal) => animal.armId === arm.id).flatMap((animal) => animal.weighings);
    return [...new Set(weighings.map((weighing) => weighing.day))]
      .sort((one, other) => one - other)
      .map((day) => {
        const weights = describe(
          weighings.filter((weighing) => weighing.day === day).map((weighing) => weighing.weightKg),
        );
        return {
          armId: arm.id,
          day,
          head: weights.n,
          meanWeightKg: weights.mean,
          sdWeightKg: weights.n > 1 ? weights.sd : null,
        };
      });
  });
  const changes = comparisons.length;
  return {
    ok: true,
    question: trial.question,
    unit: trial.unit,
    confidence: trial.confidence,
    intervalConfidence: confidence,
    look: { number: trial.look.number, final: trial.look.final, planned, peeking, falseAlarmChanceUncorrected },
    arms: outcomes,
    comparisons,
    animals: results,
    growth,
    cautions,
    words: [
      ...comparisons.flatMap((comparison) => comparison.verdict.sentences),
      ...(changes > 1 || planned || peeking
        ? [
            `Each interval is told at ${confidenceText(confidence)}, so that all ` +
              `${changes > 1 ? `${changes} comparisons` : 'looks'} together keep ` +
              `${confidenceText(trial.confidence)}.`,
          ]
        : []),
    ],
    limits: limitsInWords({ classOfAnimals: trial.classOfAnimals, season: trial.season, hay: trial.hay }),
  };
}
