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
    day: z.number().int().describe('Day of the trial; null where it is not about one day').nullable(),
    on: day.nullable(),
    armId: id,
    pen: penOut,
    animal: z
      .string()
      .describe('Tag or electronic number of the animal; null where it is not about one animal')
      .nullable(),
    words: z.string().describe('What is missing or what happened'),
    treatment: z.string().describe('What the judgment does about it'),
  })
  .meta({ id: 'TrialGap', description: 'Where the records depart from the protocol, and how that is handled' });

const runArm = z.object({
  armId: id,
  arm: z.string().describe('Name of the arm of the trial'),
  drawn: z.number().int().describe('How many animals were drawn into this arm'),
  left: z.number().int().describe('How many of them died, were sold or were lost'),
  feedings: z.number().int().describe('Number of feedings that count'),
  daysFed: z.number().int().describe('Days on which every pen has a recorded feeding'),
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
    dayOfTrial: z.number().int().describe('Day of the trial, counted from day 0'),
    lengthDays: z.number().int().describe('Length of the trial in days, with its amendments'),
    units: unitSystem.describe('Units of this answer'),
    weighingDays: z.array(
      z.object({
        day: z.number().int().describe('Day of the trial'),
        on: day,
        kind: z.enum(['start', 'interim', 'end']).describe('Which weighing of the trial: start, interim or end'),
        weighed: z.number().int().describe('How many animals were weighed'),
        of: z.number().int().describe('Animals in the trial on that day'),
        passed: z.boolean().describe('True once the day has passed'),
      }),
    ),
    weighIns: z.array(
      z.object({
        weighInId: id,
        weighedOn: day,
        day: z.number().int().describe('Day of the trial'),
        fill: z.enum(WEIGHING_FILLS).describe('Whether they were weighed full or shrunk'),
        animals: z.number().int().describe('How many animals of this trial were weighed'),
        others: z.array(z.string()).describe('How many animals outside this trial were weighed with them'),
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
  query: z.strictObject({ ...unitsQuery, on: day.optional().describe('Day to look at; today if left out') }),
  answer: trialRun,
  problems: ['conflict'],
});

const difference = z
  .object({
    method: z
      .enum(['welch', 'pooled', 'analysis-of-covariance', 'mixed-model'])
      .describe('How the difference was estimated'),
    difference: massOut.describe('Gain of the change less gain of the usual feeding, per head per day'),
    low: massOut.describe('Low end of the interval, per head per day'),
    high: massOut.describe('High end of the interval, per head per day'),
    standardError: massOut,
    degreesOfFreedom: z.number().describe('Degrees of freedom of the error'),
    t: z.number().describe("Student's t of the difference; null where it cannot be worked out").nullable(),
    p: z.number().describe('Two-sided p-value of the comparison; null where it cannot be worked out').nullable(),
    confidence: z.number().describe('Confidence of this interval, 0 to 1'),
  })
  .meta({ id: 'DailyGainDifference', description: 'A difference in daily gain with its interval' });
const verdict = z
  .enum(['favours', 'no-clear-difference', 'too-small-to-tell'])
  .describe('What the interval allows one to say');
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
  role: z.enum(TRIAL_ARM_ROLES).describe('usual, or a change compared with it'),
  feeding: z.string().describe('What the arm was fed, in words'),
  headDrawn: z.number().int().describe('How many animals were drawn into this arm'),
  headWithGain: z.number().int().describe('Animals with a start and an end weight'),
  headDied: z.number().int().describe('How many head died'),
  headFinished: z
    .number()
    .int()
    .describe('Head that neither died nor were sold or lost; null in judgements made before this was kept')
    .nullable(),
  headDays: z.number().int().describe('Head-days: days on feed, added up over all animals'),
  dailyGain: massOut.describe('Mean daily gain of the animals that have one; null where none has').nullable(),
  dailyGainDeadsIn: massOut
    .describe(
      'Daily gain with deads in: the dead count as losing all their start weight; null where it cannot be worked out',
    )
    .nullable(),
  gainOverTrial: z
    .object({
      deadsInPerHeadStarted: massOut.nullable(),
      deadsInPerHeadFinished: massOut.nullable(),
      deadsOutPerHeadFinished: massOut.describe('Of those that finished alone').nullable(),
    })
    .describe(
      'Weight gained over the days so far. With deads in the dead count as losing all their start weight. Null where ' +
        'a weight is missing, and in judgements made before this was kept',
    )
    .nullable(),
  hay: z
    .object({
      fed: massOut,
      eaten: massOut.describe('Hay fed less refused less wasted'),
      refused: massOut,
      wasted: massOut,
      fedPerHeadDay: massOut,
      eatenPerHeadDay: massOut,
      wastedPerHeadDay: massOut,
      wastedShare: z.number().describe('Share of what was fed that was wasted, 0 to 1'),
      dryMatterEaten: massOut,
      fedPerGain: z
        .number()
        .describe('Hay fed per unit of gain, by weight; null where there is no gain to divide by')
        .nullable(),
      eatenPerGain: z
        .number()
        .describe('Hay eaten per unit of gain, by weight; null where there is no gain to divide by')
        .nullable(),
      wastedPerGain: z
        .number()
        .describe('Hay wasted per unit of gain, by weight; null where there is no gain to divide by')
        .nullable(),
      conversion: z
        .number()
        .describe('Dry matter eaten per unit of gain; null where there is no gain to divide by')
        .nullable(),
    })
    .nullable(),
  byPen: z
    .object({
      confidence: z.number().describe('Confidence of each of these intervals, 0 to 1; they share no error'),
      eatenPerHeadDay: z
        .object({ low: massOut, estimate: massOut, high: massOut })
        .describe('Mean over pens, as fed, with its interval (Student); null with one pen')
        .nullable(),
      wastedPerHeadDay: z
        .object({ low: massOut, estimate: massOut, high: massOut })
        .describe('Mean over pens, with its interval (Student); null with one pen')
        .nullable(),
      conversion: z
        .object({
          low: z.number().describe('Low end of the interval'),
          estimate: z.number().describe('Mean intake of the pens over their mean gain'),
          high: z.number().describe('High end of the interval'),
        })
        .describe(
          'Dry matter eaten per unit of gain, with its interval (Fieller); null with one pen, or where the gain is ' +
            'not told from none',
        )
        .nullable(),
      pens: z.array(
        z.object({
          pen: z.string().describe('Name of the pen, or of the herd that an arm was fed as'),
          headDays: z.number().int().describe('Head times days on feed'),
          fed: massOut,
          eaten: massOut,
          wasted: massOut.describe('Nothing where no waste was recorded'),
          dailyGain: massOut.describe('Mean of its animals; null where none is known').nullable(),
        }),
      ),
    })
    .describe('Feed pen by pen, with intervals from how the pens of the arm differ; null where no pen was fed apart')
    .nullable(),
  cost: z
    .object({
      feed: moneyOut,
      other: moneyOut.describe('Yardage and other costs over the days of the trial'),
      perHeadDay: moneyOut,
      perHeadStarted: moneyOut.describe('All of it, over the head that were started').nullable(),
      perHeadFinished: moneyOut.describe('All of it, over the head that finished; null where none did').nullable(),
      feedCostOfGain: pricePerMassOut.nullable(),
      totalCostOfGain: pricePerMassOut.nullable(),
      totalCostOfGainDeadsIn: pricePerMassOut
        .describe('Total cost of gain with deads in; null where there is then no gain to divide by')
        .nullable(),
    })
    .describe('Null for readers without prices, or where nobody who judged could see them')
    .nullable(),
  notes: z.array(z.string()).describe('What is missing in the records; empty if nothing'),
});
const budget = z.object({
  days: z.number().int().describe('Days over which the figure was measured'),
  valueOfGain: pricePerMassOut,
  valueOfGainTyped: pricePerMassOut
    .nullable()
    .describe('As it was typed, digit for digit; null in judgements made before this was kept'),
  valueOfCattle: pricePerMassOut
    .describe('What live cattle are worth by weight; null where none was given and the value of gain was taken')
    .nullable(),
  valueOfCattleTyped: pricePerMassOut.nullable().describe('As it was typed, digit for digit; null where none was'),
  addedReturnsPerHead: moneys('What the added gain of those that lived is worth, per head started'),
  addedDeathLossPerHead: moneyOut
    .describe(
      'What more deaths on the change took, per head started: the animals at their start weight and the gain they ' +
        'would have made; below zero where fewer died; null in judgements made before deaths were counted',
    )
    .nullable(),
  addedCostsPerHead: moneyOut.describe('Added cost of the change, per head started; below zero where it costs less'),
  netPerHead: moneys(
    'Added returns less what deaths took less added costs, per head started; the interval carries gain and deaths ' +
      '(delta method)',
  ),
  overHerd: z
    .object({
      head: z.number().int().describe('Number of head'),
      addedGain: masses('Gain added over all head and days'),
      net: moneys('Over all head'),
    })
    .nullable(),
  verdict: z.enum(['pays', 'costs', 'too-small-to-tell']).describe('What the interval allows one to say'),
  words: z.array(z.string()).describe('The same in sentences, to be read out as they stand'),
});
const comparison = z.object({
  usualArmId: id,
  changeArmId: id,
  usual: z.string().describe('Name of the usual feeding'),
  change: z.string().describe('Name of the change'),
  verdict,
  favours: z.enum(['change', 'usual']).describe('Which feeding the interval favors; null if neither').nullable(),
  worthwhileForSure: z
    .boolean()
    .describe('True if the whole interval is worthwhile; null where there is no interval')
    .nullable(),
  words: z.array(z.string()).describe('The verdict in sentences'),
  answer: difference
    .describe('All animals as drawn, by the method of the plan; null where it cannot be estimated')
    .nullable(),
  equivalence: z
    .object({
      margin: massOut.describe('The worthwhile difference per head per day, either side of none'),
      alpha: z.number().describe('Error of each of the two one-sided tests'),
      low: massOut.describe('Low end of the interval at one less twice the error'),
      high: massOut.describe('High end of that interval'),
      p: z.number().describe('The larger of the two p-values'),
      shown: z.boolean().describe('True if the trial shows a difference smaller than the margin'),
    })
    .describe('Whether there is no worthwhile difference (Schuirmann 1987); null where the plan does not ask it')
    .nullable(),
  twoHerds: z
    .object({
      difference: massOut.describe('Gain of the herd on the change less gain of the other, per head per day'),
      fedAlike: massOut.describe('By how much any two herds fed alike differ in 19 of 20 pairs, per head per day'),
      source: z.string().describe('Where the spread between herds comes from'),
      herdsPerArm: z
        .number()
        .int()
        .describe('Herds or pens in each arm that would show the worthwhile difference; null where it is not known')
        .nullable(),
    })
    .describe(
      'Where each arm was fed as one herd, no test on its animals can tell herd and feeding apart: what the two ' +
        'did, how far any two would lie apart, and what could answer; null otherwise',
    )
    .nullable(),
  futility: z
    .object({
      atShare: z.number().describe('Share of the whole trial at this look, 0 to 1'),
      chance: z
        .number()
        .describe('Chance that the last look favors the change if it is worth the worthwhile difference, 0 to 1'),
      chanceAsSeen: z.number().describe('The same if the difference is what was seen so far, 0 to 1'),
      below: z.number().describe('Chance below which the plan calls the trial futile, 0 to 1'),
      futile: z.boolean().describe('Whether going on would hardly help. It binds nobody'),
    })
    .describe('At a planned look before the last, where the plan asks whether going on helps; null otherwise')
    .nullable(),
  designed: z
    .object({
      kind: z.enum(['switchback', 'stepped-start', 'blocked']).describe('The design of the plan'),
      pens: z.number().int().describe('Pens or herds whose gains were compared'),
      periods: z.number().int().describe('Periods that have gains; 1 where there are none'),
      betweenPens: massOut.describe('Standard deviation between pens over all periods, or between blocks'),
      withinPens: massOut.describe('Standard deviation of what is left of a pen from period to period, or in a block'),
      carryOver: z
        .object({
          effect: difference.describe('Gain after the change less gain after the usual feeding, all else equal'),
          allowedFor: difference.describe('The answer with what lingers allowed for'),
        })
        .describe(
          'Whether a feeding still works on in the period after it; null where that cannot be told from the feedings',
        )
        .nullable(),
    })
    .describe('Of a trial with periods or blocks that has an answer; null otherwise')
    .nullable(),
  animalsOnly: difference
    .describe(
      'With too few pens to judge by, the difference between the animals, which proves nothing about the ' +
        'feeding; null otherwise',
    )
    .nullable(),
  asDrawn: setOut.describe('All animals in the arm they were drawn into (intention to treat)'),
  perProtocol: setOut.describe('Only the animals that followed the protocol'),
  missing: z
    .object({
      head: z.number().int().describe('Number of animals without a gain'),
      againstChange: difference,
      againstUsual: difference,
    })
    .describe(
      'The answer with gains filled in for animals that have none: the worst seen in one ' +
        'arm and the best in the other, then the other way around; null where no gain is missing',
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
          residual: massOut.describe('Residual of the unit from the model, per head per day'),
          cooksDistance: z
            .number()
            .describe("Cook's distance, how strongly the unit pulls on the fit; null where it cannot be worked out")
            .nullable(),
          differenceWithout: massOut
            .describe('The difference without this unit, per head per day; null where it cannot be worked out')
            .nullable(),
          shift: z
            .number()
            .describe('How far the difference moves without it, in standard errors; null where it cannot be worked out')
            .nullable(),
        }),
      ),
    })
    .nullable(),
  nextTrial: z
    .object({
      spread: massOut.describe('Standard deviation of daily gain between units seen in this trial'),
      unitsPerArm: z
        .number()
        .int()
        .describe('Units per arm needed to detect the worthwhile difference; null where no reasonable number would do')
        .nullable(),
    })
    .nullable(),
  ifItHeld: z
    .object({
      head: z.number().int().describe('Number of head'),
      days: z.number().int().describe('Number of days'),
      addedGain: masses('Gain added over all head and days'),
    })
    .describe('What the difference would come to over the herd if it held; null where no herd size is given')
    .nullable(),
  deaths: z
    .object({
      difference: z.number().describe('Share that died on the change less the share on the usual feeding'),
      low: z.number().describe('Low end of the interval'),
      high: z.number().describe('High end of the interval'),
      confidence: z.number().describe('Confidence of this interval, 0 to 1'),
    })
    .describe(
      'Difference in deaths with its exact interval (Chan and Zhang 1999), head by head; null in judgements made ' +
        'before this was kept',
    )
    .nullable(),
  partialBudget: budget.describe('Null for readers without prices, or without a value of gain').nullable(),
});
const animalOut = z.object({
  animal: z.string().describe('Tag or electronic number'),
  armId: id,
  pen: penOut,
  period: z
    .number()
    .int()
    .describe('Period that this gain is of, counted from 1; null where the trial has no periods')
    .nullable(),
  startWeight: massOut.nullable(),
  endWeight: massOut.nullable(),
  days: z.number().describe('Days between the start and end weighings; null where one is missing').nullable(),
  dailyGain: massOut.nullable(),
  gainTo: z
    .enum(['end', 'last weighing'])
    .describe('Which weight the gain is measured to; null where there is no gain')
    .nullable(),
  followedProtocol: z.boolean().describe('True if the animal counts among those that followed the protocol'),
  departures: z.array(
    z.object({
      code: z.string().describe('Code that stays the same between releases'),
      day: z.number().describe('Day of the trial; null where it is not about one day').nullable(),
      words: z.string().describe('What happened, in words'),
      asDrawn: z.string().describe('How the animal counts among all as drawn'),
      perProtocol: z.string().describe('How the animal counts among those that followed the protocol'),
    }),
  ),
});
export const judgement = z
  .object({
    id,
    trialId: id,
    number: z.number().int().describe('Number of this one in the trial, counted from 1'),
    asOf: day,
    dayOfTrial: z.number().int().describe('Day of the trial, counted from day 0'),
    units: unitSystem.describe('Units of this answer'),
    invented: z.boolean().describe('True for the invented data of the demo'),
    operation: z.string().describe('Name of the operation'),
    trial: z.object({
      name: z.string().describe('Name of the trial'),
      question: z.string().describe('The question that the trial asks, in a sentence'),
      unit: z.enum(['animal', 'pen']).describe('What was fed apart'),
      method: z.enum(['analysis-of-covariance', 'welch']).describe('Method of the plan'),
      lengthDays: z.number().int().describe('Length of the trial in days, with its amendments'),
      beginsOn: day,
      classOfAnimals: z.string().describe('The cattle of the trial, in words'),
      season: z.string().describe('Season of the trial, in words'),
      hay: z.string().describe('The hay that the trial was fed, in words'),
      worthwhileDifference: massOut.describe('Smallest difference per head per day that would be worth a change'),
      seed: z.string().describe('Seed of the draw, from which it can be repeated'),
      draws: z.number().int().describe('How many times the arms were drawn'),
      amendments: z.array(
        z.object({
          number: z.number().int().describe('Number of this one in the trial, counted from 1'),
          amendedOn: day,
          reason: z.string().describe('Why it was done, in the words of the person'),
        }),
      ),
    }),
    look: z.object({
      number: z.number().int().describe('Number of looks at new data so far, including this one'),
      final: z.boolean().describe('True if the trial was over'),
      planned: z.boolean().describe('True if the plan named this look'),
      peeking: z.boolean().describe('True if the look was not planned; the interval was widened for it'),
      repeats: z
        .number()
        .int()
        .describe('Id of the earlier judgment of the same data; null if there is none')
        .nullable(),
      falseAlarmChanceUncorrected: z
        .number()
        .describe(
          'Chance that this many looks would find a difference where there is none if the intervals were not ' +
            'widened, 0 to 1',
        ),
      confidence: z.number().describe('Confidence that the plan asked for, 0 to 1'),
      intervalConfidence: z.number().describe('Confidence of each interval given, 0 to 1'),
    }),
    words: z.array(z.string()).describe('The answer in sentences, taken from the interval'),
    limits: z.array(z.string()).describe('What the judgment cannot say'),
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
      hash: z.string().describe('SHA-256 of all that went in except money'),
      moneyHash: z.string().describe('SHA-256 of the money that went in; null for readers without prices').nullable(),
    }),
    plan: planAnswer.describe('What the plan promised when the trial began'),
    recordedAt: instantOut,
    recordedBy: id,
  })
  .meta({ id: 'TrialJudgement', description: 'One look at a trial, kept as it was and never edited' });

export const judgementSummary = z.object({
  id,
  number: z.number().int().describe('Number of this one in the trial, counted from 1'),
  asOf: day,
  look: z.number().int().describe('Number of the look at new data'),
  final: z.boolean().describe('True if the trial was over'),
  peeking: z.boolean().describe('True if the look was not planned, so that it proves less'),
  verdicts: z.array(verdict).describe('One verdict for each change'),
  inputsHash: z.string().describe('SHA-256 of what went in'),
  recordedAt: instantOut,
  recordedBy: id,
});

const priceIn = z.strictObject({
  amount: amountIn.refine((value) => Number(value) >= 0, 'must be 0 or more').describe('Amount of money, 0 or more'),
  currency: currency.optional().describe("Currency of the amount; the operation's if left out"),
  per: massUnit,
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
    'interval is widened; judging the same data again is the same look. Money is worked out only for those who see ' +
    'prices.',
  params: trialParams,
  query: z.strictObject(unitsQuery),
  body: z.strictObject({
    asOf: day.optional().describe('Day to judge the trial on; today if left out'),
    herdHead: z
      .number()
      .int()
      .min(1)
      .max(1_000_000)
      .optional()
      .describe("Head to work the result out for; the plan's if left out"),
    valueOfGain: priceIn.optional().describe('What a unit of gain is worth; without it there is no partial budget'),
    valueOfCattle: priceIn
      .optional()
      .describe(
        'What live cattle are worth by weight when they come onto the trial, for what a death takes; the value of ' +
          'gain if left out, which the answer says',
      ),
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
