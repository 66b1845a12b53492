import { unitsOfArm } from '../analysis-sets.js';
import { compareArms } from '../compare-arms.js';
import type { TrialArm } from '../trial-records.js';
import type { TrialCaution } from '../trial-cautions.js';
import type { Difference } from '../two-sample.js';
import { shown } from '../words.js';
import { cautionAbout } from './answer-cautions.js';
import type { Comparison, SetCompared } from './comparison.js';
import { deathsOf } from './deaths.js';
import type { ComparisonJudged } from './judgement.js';
import { whyDesignCannotTell } from './designed.js';
import { twoHerdsInWords, twoHerdsOf } from './two-herds.js';

/**
 * A comparison that cannot tell: an arm has fewer than two units, or (`noSpread`) the gains do not vary. It describes
 * the animals and proves nothing.
 */
export function judgeUnanswered(
  comparison: Comparison,
  { asDrawn, perProtocol }: { readonly asDrawn: SetCompared; readonly perProtocol: SetCompared },
  missing: ComparisonJudged['missing'],
): { judged: ComparisonJudged; cautions: TrialCaution[] } {
  const noSpread = asDrawn.judged.compared !== null;
  const twoHerds = comparison.trial.designed ? null : twoHerdsOf(comparison);
  return {
    judged: {
      usualArmId: comparison.usual.id,
      changeArmId: comparison.change.id,
      answer: null,
      twoHerds,
      designed: null,
      futility: null,
      equivalence: null,
      animalsOnly: comparison.trial.unit === 'pen' && !comparison.trial.designed ? animalsCompared(comparison) : null,
      verdict: {
        verdict: 'too-small-to-tell',
        favours: null,
        worthwhileForSure: null,
        sentences: [
          whyItCannotTell(comparison, noSpread),
          ...weighedInWords(comparison),
          ...twoHerdsInWords(comparison, twoHerds),
        ],
      },
      asDrawn: asDrawn.judged,
      perProtocol: perProtocol.judged,
      missing,
      deaths: deathsOf(comparison),
      addedWeightKg: null,
      checks: null,
      leftOut: [],
      partialBudget: null,
      nextTrial: null,
    },
    cautions: noSpread
      ? [
          cautionAbout(
            comparison,
            'trial.no-spread',
            'all gains of an arm are the same, which real weights never are; check the records.',
            null,
            'rule of this program',
          ),
        ]
      : [],
  };
}

/** The arms of a pen trial compared animal by animal, which describes the animals only. */
function animalsCompared({ results, usual, change, error }: Comparison): Difference | null {
  const animalsOf = (arm: TrialArm) => unitsOfArm({ results, armId: arm.id, unit: 'animal', set: 'as-drawn' });
  const compared = compareArms({
    usual: animalsOf(usual),
    change: animalsOf(change),
    method: 'welch',
    confidence: error.separateConfidence,
  });
  return compared?.primary ?? null;
}

function whyItCannotTell({ trial }: Comparison, noSpread: boolean): string {
  if (noSpread) return 'The trial cannot tell: the recorded gains do not vary, so no interval can be given.';
  if (trial.designed) return whyDesignCannotTell(trial.designed.design);
  return trial.unit === 'pen'
    ? 'The trial cannot tell: each feeding needs two pens or more. With one pen or herd per arm, what sets it apart ' +
        'and the feeding cannot be told from each other, and no test on the animals proves the feeding.'
    : 'The trial cannot tell: each arm needs two animals or more with a start and an end weight.';
}

function weighedInWords({ trial, usual, change, usualOutcome, changeOutcome }: Comparison): string[] {
  const usualGain = usualOutcome?.meanGainKgPerDay ?? null;
  const changeGain = changeOutcome?.meanGainKgPerDay ?? null;
  if (usualGain === null || changeGain === null) return [];
  const { wordsIn: toldIn } = trial;
  return [
    `What was weighed: ${shown(changeGain, toldIn).toFixed(2)} ${toldIn} a day on ` +
      `${change.name}, ${shown(usualGain, toldIn).toFixed(2)} ${toldIn} a day on ${usual.name}. ` +
      'That describes these animals only.',
  ];
}
