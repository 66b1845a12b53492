import { z } from 'zod';
import { pageAnswer, pageQuery } from '../../platform/http/cursor.js';
import { endpoint } from '../../platform/http/endpoint.js';
import { day, id, instantOut } from '../../platform/wire/common.schema.js';
import {
  amountIn,
  currency,
  massOut,
  massUnit,
  moneyOut,
  pricePerMassOut,
  unitsQuery,
  unitSystem,
} from '../../platform/wire/quantity.schema.js';
import { trialCautionOut } from './trial-caution.schema.js';
import { planAnswer, tag, trialParams } from './trial.schema.js';
import { TRIAL_ARM_ROLES, TRIAL_STATES, WEIGHING_FILLS } from '../../platform/wire/words.data.js';

const penOut = z.string().describe('Name of the pen; null where animals are not penned apart').nullable();
export const gapOut = z
  .object({
    code: z.string().describe('Code that stays the same between releases'),
    day: z.number().int().describe('Day of the trial').nullable(),
    on: day.nullable(),
    armId: id,
    pen: penOut,
    animal: z.string().describe('Tag or electronic number').nullable(),
    words: z.string().describe('What is missing or happened'),
    treatment: z.string().describe('What the judgement does about it'),
  })
  .meta({ id: 'TrialGap', description: 'Where the records depart from the protocol, and how that is treated' });

const runArm = z.object({
  armId: id,
  arm: z.string().describe('Name of the arm of the trial'),
  drawn: z.number().int().describe('How many animals were drawn into the arms'),
  left: z.number().int().describe('Of these died, sold or lost'),
  feedings: z.number().int().describe('Feedings that count'),
  daysFed: z.number().int().describe('Days with a feeding of every pen'),
  daysToFeed: z.number().int().describe('Days of feeding so far'),
  fed: massOut,
  refused: massOut,
  wasted: massOut,
});
const trialRun = z
  .object({
    trialId: id,
    trial: z.string().describe('Name of the trial'),
    state: z.enum(TRIAL_STATES).describe('State of the trial: draft, running or closed'),
    onDay: day,
    dayOfTrial: z.number().int().describe('Counted from day 0'),
    lengthDays: z.number().int().describe('Length of the trial in days, amendments counted in'),
    units: unitSystem.describe('Units of this answer'),
    weighingDays: z.array(
      z.object({
        day: z.number().int().describe('Day of the trial'),
        on: day,
        kind: z.enum(['start', 'interim', 'end']).describe('Which weighing of the trial: start, interim or end'),
        weighed: z.number().int().describe('How many animals were weighed'),
        of: z.number().int().describe('Animals in the trial on that day'),
        passed: z.boolean().describe('True once the day is over'),
      }),
    ),
    weighIns: z.array(
      z.object({
        weighInId: id,
        weighedOn: day,
        day: z.number().int().describe('Day of the trial'),
        fill: z.enum(WEIGHING_FILLS).describe('How they were weighed'),
        animals: z.number().int().describe('How many animals this trial counts in'),
        others: z.array(z.string()).describe('Weighed with them, not in this trial'),
      }),
    ),
    arms: z.array(runArm),
    gaps: z.array(gapOut).describe('Gaps in the records, oldest first'),
  })
  .meta({
    id: 'TrialRun',
    description:
      'How a trial stands: what was recorded into it and what is missing. It shows no gain by arm: to look at ' +
      'that is to judge, and looks are counted',
  });

export const getTrialRun = endpoint({
  method: 'GET',
  path: '/v1/operations/:operationId/trials/:trialId/run',
  operationId: 'getTrialRun',
  tag,
  access: 'read',
  summary: 'How a trial stands, and its gaps',
  params: trialParams,
  query: z.strictObject({ ...unitsQuery, on: day.optional().describe('The day; today if absent') }),
  answer: trialRun,
  problems: ['conflict'],
});

const difference = z
  .object({
    method: z.enum(['welch', 'pooled', 'analysis-of-covariance']).describe('How it was estimated'),
    difference: massOut.describe('Change less usual, a day'),
    low: massOut.describe('Low end of the interval, a day'),
    high: massOut.describe('High end of the interval, per head per day'),
    standardError: massOut,
    degreesOfFreedom: z.number().describe('Degrees of freedom of the error'),
    t: z.number().describe("Student's t of the difference; null where it cannot be told").nullable(),
    p: z.number().describe('Two-sided p-value of the comparison').nullable(),
    confidence: z.number().describe('Of this interval'),
  })
  .meta({ id: 'DailyGainDifference', description: 'A difference in daily gain with its interval' });
const verdict = z
  .enum(['favours', 'no-clear-difference', 'too-small-to-tell'])
  .describe('What the interval allows to say');
const setOut = z.object({
  units: z.array(
    z.object({
      armId: id,
      units: z.number().int().describe('Animals or pens that were fed apart and count as one value each'),
      head: z.number().int().describe('Number of head in these pens'),
    }),
  ),
  answer: difference.nullable(),
  welch: difference.nullable(),
  verdict: verdict.nullable(),
});
const masses = (what: string) => z.object({ low: massOut, estimate: massOut, high: massOut }).describe(what);
const moneys = (what: string) => z.object({ low: moneyOut, estimate: moneyOut, high: moneyOut }).describe(what);

const armOut = z.object({
  armId: id,
  arm: z.string().describe('Name of the arm of the trial'),
  role: z.enum(TRIAL_ARM_ROLES).describe('usual, or a change'),
  feeding: z.string().describe('What the arm was fed, in words'),
  headDrawn: z.number().int().describe('How many animals were drawn into this arm'),
  headWithGain: z.number().int().describe('With a start and an end weight'),
  headDied: z.number().int().describe('How many head died'),
  headDays: z.number().int().describe('Days on feed, all animals'),
  dailyGain: massOut.describe('Mean of the animals with a gain').nullable(),
  dailyGainDeadsIn: massOut.describe('The dead counted as losing all their start weight').nullable(),
  hay: z
    .object({
      fed: massOut,
      eaten: massOut.describe('Fed less refused less wasted'),
      refused: massOut,
      wasted: massOut,
      fedPerHeadDay: massOut,
      eatenPerHeadDay: massOut,
      wastedPerHeadDay: massOut,
      wastedShare: z.number().describe('Share of what was fed that was wasted, 0 to 1'),
      dryMatterEaten: massOut,
      fedPerGain: z.number().describe('Mass as fed per mass of gain').nullable(),
      eatenPerGain: z.number().describe('The same of hay eaten').nullable(),
      wastedPerGain: z.number().describe('The same of hay wasted').nullable(),
      conversion: z.number().describe('Dry matter eaten per gain').nullable(),
    })
    .nullable(),
  cost: z
    .object({
      feed: moneyOut,
      other: moneyOut.describe('Yardage and other costs per head per day'),
      perHeadDay: moneyOut,
      feedCostOfGain: pricePerMassOut.nullable(),
      totalCostOfGain: pricePerMassOut.nullable(),
    })
    .describe('Absent for readers without prices, or where nobody who judged saw them')
    .nullable(),
  notes: z.array(z.string()).describe('What is missing in the records; empty if nothing'),
});
const budget = z.object({
  days: z.number().int().describe('Days over which the figure was measured'),
  valueOfGain: pricePerMassOut,
  addedReturnsPerHead: moneys('What the added gain is worth, a head'),
  addedCostsPerHead: moneyOut.describe('Cost of the change, a head; negative where it costs less'),
  netPerHead: moneys('Returns less costs, a head'),
  overHerd: z
    .object({
      head: z.number().int().describe('Number of head'),
      addedGain: masses('Gain added over all head and days'),
      net: moneys('Over all head'),
    })
    .nullable(),
  verdict: z.enum(['pays', 'costs', 'too-small-to-tell']).describe('What the interval allows to say'),
  words: z.array(z.string()).describe('The same in sentences, to be read out as they stand'),
});
const comparison = z.object({
  usualArmId: id,
  changeArmId: id,
  usual: z.string().describe('Name of the usual feeding'),
  change: z.string().describe('Name of the change'),
  verdict,
  favours: z.enum(['change', 'usual']).describe('Which one, if either').nullable(),
  worthwhileForSure: z.boolean().describe('The whole interval is worthwhile').nullable(),
  words: z.array(z.string()).describe('The verdict in sentences'),
  answer: difference.describe('All animals as drawn, by the method of the plan').nullable(),
  animalsOnly: difference
    .describe('With too few pens to judge by: the difference between the animals, which does not prove the feeding')
    .nullable(),
  asDrawn: setOut.describe('Intention to treat'),
  perProtocol: setOut.describe('Those that followed the protocol'),
  missing: z
    .object({
      head: z.number().int().describe('Animals without a gain'),
      againstChange: difference,
      againstUsual: difference,
    })
    .describe(
      'The answer with gains put in for animals that have none: the worst seen in one arm and the best in the other, and the other way round',
    )
    .nullable(),
  checks: z
    .object({
      normality: z
        .object({
          w: z.number().describe('Shapiro-Francia W'),
          p: z.number().describe('Two-sided p-value of the comparison'),
        })
        .nullable(),
      equalSpread: z
        .object({
          f: z.number().describe('Brown-Forsythe F'),
          p: z.number().describe('Two-sided p-value of the comparison'),
        })
        .nullable(),
      equalSlopes: z
        .object({
          f: z.number().describe('F statistic of the comparison'),
          p: z.number().describe('Two-sided p-value of the comparison'),
        })
        .nullable(),
      influence: z.array(
        z.object({
          unit: z.string().describe('What was fed apart: animal or pen'),
          residual: massOut.describe('Spread that is left after the model, per head per day'),
          cooksDistance: z.number().describe("Cook's distance").nullable(),
          differenceWithout: massOut.describe('The answer without it, a day').nullable(),
          shift: z.number().describe('How far the answer moves, in standard errors').nullable(),
        }),
      ),
    })
    .nullable(),
  nextTrial: z
    .object({
      spread: massOut.describe('Standard deviation seen here'),
      unitsPerArm: z.number().int().describe('Units an arm to see the worthwhile difference').nullable(),
    })
    .nullable(),
  ifItHeld: z
    .object({
      head: z.number().int().describe('Number of head'),
      days: z.number().int().describe('Number of days'),
      addedGain: masses('Gain added over all head and days'),
    })
    .describe('Over the herd, if it held')
    .nullable(),
  partialBudget: budget.describe('Absent for readers without prices, or without a value of gain').nullable(),
});
const animalOut = z.object({
  animal: z.string().describe('Tag or electronic number'),
  armId: id,
  pen: penOut,
  startWeight: massOut.nullable(),
  endWeight: massOut.nullable(),
  days: z.number().describe('Days between the two weighings').nullable(),
  dailyGain: massOut.nullable(),
  gainTo: z.enum(['end', 'last weighing']).describe('Which weight it is measured to').nullable(),
  followedProtocol: z.boolean().describe('Counts among those that followed the protocol'),
  departures: z.array(
    z.object({
      code: z.string().describe('Code that stays the same between releases'),
      day: z.number().describe('Day of the trial').nullable(),
      words: z.string().describe('What happened, in words'),
      asDrawn: z.string().describe('How it counts among all as drawn'),
      perProtocol: z.string().describe('How it counts among those that followed the protocol'),
    }),
  ),
});
export const judgement = z
  .object({
    id,
    trialId: id,
    number: z.number().int().describe('Number of this one in the trial, counted from 1'),
    asOf: day,
    dayOfTrial: z.number().int().describe('Counted from day 0'),
    units: unitSystem.describe('Units of this answer'),
    invented: z.boolean().describe('True for demo data'),
    operation: z.string().describe('Name of the operation'),
    trial: z.object({
      name: z.string().describe('Name of the trial'),
      question: z.string().describe('The question that the trial asks, in a sentence'),
      unit: z.enum(['animal', 'pen']).describe('What was fed apart'),
      method: z.enum(['analysis-of-covariance', 'welch']).describe('Method of the plan'),
      lengthDays: z.number().int().describe('Length of the trial in days, amendments counted in'),
      beginsOn: day,
      classOfAnimals: z.string().describe('The cattle of the trial, in words'),
      season: z.string().describe('Season of the trial, in words'),
      hay: z.string().describe('The hay that the trial was fed, in words'),
      worthwhileDifference: massOut.describe('Smallest difference per head per day that would be worth a change'),
      seed: z.string().describe('Seed of the draw, from which it can be repeated'),
      draws: z.number().int().describe('How often it was drawn'),
      amendments: z.array(
        z.object({
          number: z.number().int().describe('Number of this one in the trial, counted from 1'),
          amendedOn: day,
          reason: z.string().describe('Why it was done, in the words of the person'),
        }),
      ),
    }),
    look: z.object({
      number: z.number().int().describe('Looks at new data so far, this one counted'),
      final: z.boolean().describe('The trial is over'),
      planned: z.boolean().describe('Named in the plan'),
      peeking: z.boolean().describe('Not planned: the interval was widened for it'),
      repeats: z.number().int().describe('The earlier judgement of the same data').nullable(),
      falseAlarmChanceUncorrected: z
        .number()
        .describe(
          'Chance that this many looks find a difference where none is, if the intervals were not widened; a share',
        ),
      confidence: z.number().describe('Confidence of the interval that the plan asked for'),
      intervalConfidence: z.number().describe('Of each interval told'),
    }),
    words: z.array(z.string()).describe('The answer in sentences, taken from the interval'),
    limits: z.array(z.string()).describe('What it cannot say'),
    arms: z.array(armOut),
    comparisons: z.array(comparison),
    growth: z.array(
      z.object({
        armId: id,
        day: z.number().int().describe('Day of the trial'),
        head: z.number().int().describe('Number of head that were weighed'),
        meanWeight: massOut,
        sdWeight: massOut.nullable(),
      }),
    ),
    animals: z.array(animalOut),
    gaps: z.array(gapOut),
    cautions: z.array(trialCautionOut),
    inputs: z.object({
      weighIns: z.number().int().describe('How many weigh-ins were counted in'),
      feedings: z.number().int().describe('How many feedings were counted in'),
      animals: z.number().int().describe('How many animals were counted in'),
      hash: z.string().describe('SHA-256 of all that went in, but money'),
      moneyHash: z.string().describe('SHA-256 of the money that went in; absent for readers without prices').nullable(),
    }),
    plan: planAnswer.describe('What the plan promised when the trial began'),
    recordedAt: instantOut,
    recordedBy: id,
  })
  .meta({ id: 'TrialJudgement', description: 'One look at a trial; kept as it was, never edited' });

export const judgementSummary = z.object({
  id,
  number: z.number().int().describe('Number of this one in the trial, counted from 1'),
  asOf: day,
  look: z.number().int().describe('Which look at new data'),
  final: z.boolean().describe('The trial was over'),
  peeking: z.boolean().describe('True if the look was not planned, so that it proves less'),
  verdicts: z.array(verdict).describe('One for each change'),
  inputsHash: z.string().describe('SHA-256 of what went in'),
  recordedAt: instantOut,
  recordedBy: id,
});

export const judgeTrialNow = endpoint({
  method: 'POST',
  path: '/v1/operations/:operationId/trials/:trialId/judgements',
  operationId: 'judgeTrial',
  tag,
  access: 'desk',
  summary: 'Judge a trial as of a day',
  description:
    'Every look is kept with what went in. A look that the plan does not name is marked as peeking and its ' +
    'interval is widened; the same data judged again is the same look. Money is reckoned only for those who see ' +
    'prices.',
  params: trialParams,
  query: z.strictObject(unitsQuery),
  body: z.strictObject({
    asOf: day.optional().describe('Day to judge the trial on; today if absent'),
    herdHead: z
      .number()
      .int()
      .min(1)
      .max(1_000_000)
      .optional()
      .describe("Head over which to reckon; the plan's if absent"),
    valueOfGain: z
      .strictObject({
        amount: amountIn
          .refine((value) => Number(value) >= 0, 'must be 0 or more')
          .describe('Amount of money, 0 or more'),
        currency: currency.optional().describe("The operation's if absent"),
        per: massUnit,
      })
      .optional()
      .describe('What a unit of gain is worth; no partial budget without it'),
  }),
  answer: judgement,
  creates: (created, { operationId, trialId }) =>
    `/v1/operations/${operationId}/trials/${trialId}/judgements/${created.id}`,
  problems: ['conflict'],
});
export const listJudgements = endpoint({
  method: 'GET',
  path: '/v1/operations/:operationId/trials/:trialId/judgements',
  operationId: 'listTrialJudgements',
  tag,
  access: 'read',
  summary: 'Every look at a trial, newest first',
  params: trialParams,
  query: z.strictObject(pageQuery),
  answer: pageAnswer(judgementSummary),
  paged: true,
});
