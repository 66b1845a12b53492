import { z } from 'zod';
import { pageAnswer, pageQuery } from '../../platform/http/cursor.js';
import { endpoint } from '../../platform/http/endpoint.js';
import {
  day,
  id,
  instantOut,
  line,
  name,
  operationParams,
  reason,
  version,
} from '../../platform/wire/common.schema.js';
import {
  massIn,
  massInOrZero,
  massOut,
  typedMassOut,
  unitsQuery,
  unitSystem,
} from '../../platform/wire/quantity.schema.js';
import { reversalIn, reversalOut } from '../../records/kit/reversal.schema.js';
import { trialCautionOut } from './trial-caution.schema.js';
import { TRIAL_ARM_ROLES, TRIAL_EVENT_KINDS, TRIAL_STATES, WEIGHING_FILLS } from '../../platform/wire/words.data.js';

const trialDay = z.number().int().min(1).max(1000).describe('Day of the trial; its first day is day 0');
const share = z.number().gt(0).max(1);
const penName = line(40).describe('Name of a pen of the trial');

const armIn = z.strictObject({
  id: id.optional().describe('Id of an existing arm; left out for a new one'),
  name: line(80).describe('Short name of the feeding'),
  role: z.enum(TRIAL_ARM_ROLES).describe('usual for the usual feeding, or a change that is compared with it'),
  feeding: line(400).describe('What this arm is fed, and how'),
});
const spreadIn = z
  .discriminatedUnion('from', [
    z
      .strictObject({ from: z.literal('own-weights') })
      .describe(
        "From the operation's own weights of single animals if there are enough of them, otherwise the " +
          'published default',
      ),
    z
      .strictObject({
        from: z.literal('stated'),
        perDay: massIn,
        source: line(300).describe('Where the figure comes from'),
      })
      .describe('A figure of your own, with its source'),
    z.strictObject({ from: z.literal('default') }).describe('The published default'),
  ])
  .describe('Standard deviation of daily gain between animals fed alike');
const lossShare = z.number().min(0).max(50);
const lossesIn = z.strictObject({
  cattlePercent: lossShare.describe('Cattle expected to die, be sold or lose their tags before the end weight, %'),
  pensPercent: lossShare.default(0).describe('Pens expected to be lost whole, %; 0 where animals are the unit'),
  source: line(300).describe('Where the figures come from'),
});
const looksIn = z.strictObject({
  atShares: z
    .array(share)
    .min(1)
    .max(10)
    .describe('Shares of the whole length at which to look, rising; the last is 1'),
  spending: z
    .enum(['obrien-fleming-type', 'pocock-type'])
    .describe('How the chance of a false alarm is spread over the looks (Lan and DeMets 1983)'),
});

const designIn = z
  .discriminatedUnion('kind', [
    z
      .strictObject({
        kind: z
          .enum(['switchback', 'stepped-start'])
          .describe(
            'switchback: every pen or herd is fed both ways, in turn; stepped-start: each begins on the usual ' +
              'feeding and goes over to the change at a time that is drawn for it',
          ),
        periods: z.number().int().min(2).max(12).describe('Periods of equal length that make up the trial'),
        washoutDays: z
          .number()
          .int()
          .min(0)
          .max(120)
          .describe('Days at the start of each period that count for feed and deaths and for no gain'),
      })
      .describe('Pens or herds that are held against themselves'),
    z
      .strictObject({
        kind: z.literal('blocked'),
        blocks: z
          .array(
            z.strictObject({
              name: line(80).describe('A ranch, barn or row'),
              pens: z.array(penName).min(2).max(60).describe('Pens or herds that stand in it'),
            }),
          )
          .min(2)
          .max(60),
      })
      .describe('Pens or herds that are held against their neighbor: in each block every feeding is drawn for as many'),
  ])
  .describe('How pens or herds are held against each other');

/** Everything that can be planned. What is typed is kept as typed. */
const planFields = {
  question: line(400).describe('The question the trial is to answer'),
  unit: z
    .enum(['animal', 'pen'])
    .describe(
      'What is fed apart. animal: each by itself, from its own gate or by hand; pen: pen mates eat together. ' +
        'Animals of an arm that eat together make one pen',
    ),
  unitsPerArm: z.number().int().min(1).max(5000).describe('Animals or pens in each arm'),
  headPerPen: z.number().int().min(1).max(5000).default(1).describe('Head in one pen; 1 where animals are the unit'),
  lengthDays: z
    .number()
    .int()
    .min(1)
    .max(1000)
    .describe('Days from the first start weighing to the first end weighing'),
  worthwhileDifference: massIn.describe(
    'Difference in daily gain that would make the change worthwhile; both the plan and the verdict are ' +
      'measured against it',
  ),
  spread: spreadIn.default({ from: 'own-weights' }),
  penToPenSpread: massInOrZero
    .nullable()
    .default(null)
    .describe(
      'Standard deviation of daily gain between pens fed alike, beyond that of their animals; unknown if ' +
        'null or left out',
    ),
  weighingSpread: massInOrZero
    .nullable()
    .default(null)
    .describe(
      "Standard deviation of an animal's weight from day to day. Null or left out: from the operation's own weights " +
        'on two days in a row if there are enough of them, otherwise the published default; 0 adds nothing',
    ),
  expectedLosses: lossesIn
    .nullable()
    .default(null)
    .describe('What is expected to be lost before the end weights; null or left out: published death losses'),
  twoWeighingDays: z.boolean().default(true).describe('True to take start and end weights on two days in a row'),
  fill: z.enum(WEIGHING_FILLS).default('full').describe('Weighed full, or shrunk after a stand off feed and water'),
  hoursOffFeed: z.number().min(0).max(48).default(0).describe('Hours off feed and water before every weighing'),
  interimWeighingDays: z.array(trialDay).max(20).default([]).describe('Days of interim weighings'),
  confidence: z
    .number()
    .min(0.5)
    .max(0.999)
    .default(0.95)
    .describe('Confidence of the intervals over all comparisons and looks, 0 to 1'),
  power: z
    .number()
    .min(0.5)
    .max(0.999)
    .default(0.8)
    .describe('Power: share of such trials that should detect the worthwhile difference, 0 to 1'),
  equivalence: z
    .boolean()
    .default(false)
    .describe(
      'True to ask also whether the feedings differ by less than the worthwhile difference (two one-sided tests, ' +
        'each at one less the confidence)',
    ),
  futility: z
    .number()
    .gt(0)
    .max(50)
    .nullable()
    .default(null)
    .describe(
      'Chance, in %, of showing the worthwhile difference at the end below which a planned look says that going on ' +
        'would hardly help; not asked if null or left out. It binds nobody',
    ),
  looks: looksIn
    .nullable()
    .default(null)
    .describe('Looks that the plan allows for; one look, at the end, if null or left out'),
  design: designIn
    .nullable()
    .default(null)
    .describe('Periods or blocks, where pens are the unit; arms side by side if null or left out'),
  method: z
    .enum(['analysis-of-covariance', 'welch'])
    .default('analysis-of-covariance')
    .describe(
      'How the difference is estimated: adjusted for start weight, or as the plain difference of means. With a ' +
        'design it is a mixed model, whatever this says',
    ),
  classOfAnimals: line(200).describe('The cattle of the trial, in words'),
  season: line(120).describe('Season of the trial, in words'),
  hay: line(300).describe('The hay that the trial was fed, in words'),
  herdHead: z
    .number()
    .int()
    .min(1)
    .max(1_000_000)
    .nullable()
    .default(null)
    .describe('Head to work the result out for, if it held'),
  pens: z
    .array(penName)
    .max(200)
    .default([])
    .describe('Where pens are the unit: their names, the same number for each arm'),
};
export const trialPlan = z.strictObject(planFields);
export type TrialPlanTyped = z.output<typeof trialPlan>;

const arm = z.object({
  id,
  name: z.string().describe('Short name of the arm, as pages show it'),
  role: z.enum(TRIAL_ARM_ROLES).describe('usual, or a change compared with it'),
  feeding: z.string().describe('What the arm is fed, in words'),
});
const typedMass = typedMassOut;
const planOut = z.object({
  ...planFields,
  worthwhileDifference: typedMass.describe('Smallest difference per head per day that would be worth a change'),
  spread: z
    .object({
      from: z.enum(['own-weights', 'stated', 'default']).describe('Where the spread comes from, as the plan asked'),
      perDay: typedMass.describe('Spread per head per day, if it was stated; otherwise null').nullable(),
      source: z.string().describe('Where a stated spread comes from; otherwise null').nullable(),
    })
    .describe('Standard deviation of daily gain between animals fed alike'),
  penToPenSpread: typedMass.nullable(),
  weighingSpread: typedMass.nullable(),
  looks: z
    .object({
      atShares: z.array(z.number()).describe('Shares of the whole length at which to look'),
      spending: z
        .enum(['obrien-fleming-type', 'pocock-type'])
        .describe('How the chance of a false alarm is spread over the looks'),
    })
    .nullable(),
  pens: z.array(z.string()).describe('Names of the pens'),
});

const amendment = z.object({
  id,
  number: z.number().int().describe('Number of this one in the trial, counted from 1'),
  amendedOn: day,
  reason: z.string().describe('Why it was done, in the words of the person'),
  changes: z
    .object({
      lengthDays: z.number().int().optional().describe('New length of the trial in days'),
      interimWeighingDays: z.array(z.number().int()).optional().describe('New days of interim weighings'),
      herdHead: z.number().int().nullable().optional().describe('New head to work the result out for; null for none'),
      herds: z
        .array(
          z.object({
            armId: id,
            pen: z.string().describe('Name of the pen; null where animals are not penned apart').nullable(),
            herdId: id,
          }),
        )
        .optional()
        .describe('Herds that this amendment added'),
    })
    .describe('What the amendment changed'),
  recordedAt: instantOut,
  recordedBy: id,
});

export const trialOut = z
  .object({
    id,
    name: z.string().describe('Name of the trial'),
    herdId: id.describe('The herd that the animals come from'),
    state: z.enum(TRIAL_STATES).describe('A draft can be changed; a running trial can only be amended'),
    arms: z.array(arm),
    plan: planOut.describe('The plan as typed; frozen once the trial has begun'),
    inForce: z
      .object({
        lengthDays: z.number().int().describe('Length with all amendments'),
        interimWeighingDays: z.array(z.number().int()).describe('Days of interim weighings'),
        herdHead: z.number().int().describe('Head to work the result out for; null if none is given').nullable(),
      })
      .describe('The plan with its amendments'),
    beginsOn: day.nullable().describe('Day 0 of the trial, when its feeding begins; null until it begins'),
    endsOn: day.nullable().describe('Last day of the end weighings; null until the trial begins'),
    closedOn: day.nullable(),
    closeReason: z.string().describe('Why it was closed; null if it is not closed').nullable(),
    herds: z
      .array(
        z.object({
          armId: id,
          pen: z.string().describe('Name of the pen; null where animals are not penned apart').nullable(),
          herdId: id,
          herd: z.string().describe('Name of the herd'),
        }),
      )
      .describe('Herds whose feedings count'),
    draws: z.number().int().describe('How many times the arms were drawn'),
    judgements: z.number().int().describe('How many times the trial was judged'),
    amendments: z.array(amendment).describe('Amendments of the plan, oldest first'),
    units: unitSystem.describe('Units of this answer'),
    createdAt: instantOut,
    createdBy: id,
    version,
  })
  .meta({ id: 'Trial', description: 'A feeding trial: question, arms, plan and how far it has come' });

export const trialParams = operationParams.extend({ trialId: id });
export const tag = 'Trials';
const common = { tag, params: trialParams, query: z.strictObject(unitsQuery) };

export const createTrial = endpoint({
  method: 'POST',
  path: '/v1/operations/:operationId/trials',
  operationId: 'createTrial',
  tag,
  access: 'desk',
  summary: 'Plan a feeding trial',
  description: 'Creates a draft: nothing is promised and nothing counts until the arms are drawn and the trial begins.',
  params: operationParams,
  query: z.strictObject(unitsQuery),
  body: z.strictObject({
    name,
    herdId: id.describe('The herd that the animals come from'),
    arms: z
      .array(armIn.omit({ id: true }))
      .min(2)
      .max(6)
      .describe('One usual feeding and one change or more'),
    ...planFields,
  }),
  answer: trialOut,
  creates: (created, { operationId }) => `/v1/operations/${operationId}/trials/${created.id}`,
  versioned: true,
});
export const listTrials = endpoint({
  method: 'GET',
  path: '/v1/operations/:operationId/trials',
  operationId: 'listTrials',
  tag,
  access: 'read',
  summary: 'Feeding trials, in order of name',
  params: operationParams,
  query: z.strictObject({
    ...pageQuery,
    ...unitsQuery,
    state: z.enum(TRIAL_STATES).optional().describe('Only those in this state'),
  }),
  answer: pageAnswer(trialOut),
  paged: true,
});
export const getTrial = endpoint({
  method: 'GET',
  path: '/v1/operations/:operationId/trials/:trialId',
  operationId: 'getTrial',
  ...common,
  access: 'read',
  summary: 'One feeding trial',
  answer: trialOut,
  versioned: true,
});

/** Removing its default costs a field its description, which was on the outer schema. */
function describedAs(field: z.ZodType, inner: z.ZodType): z.ZodType {
  const optional = inner.optional();
  return field.description === undefined ? optional : optional.describe(field.description);
}
/** A field left out stays as it is; the defaults of a new plan must not slip into a change. */
const withoutDefaults = Object.fromEntries(
  Object.entries(planFields).map(([key, field]) => [
    key,
    describedAs(field, field instanceof z.ZodDefault ? (field.removeDefault() as z.ZodType) : field),
  ]),
) as unknown as {
  [K in keyof typeof planFields]: z.ZodOptional<
    (typeof planFields)[K] extends z.ZodDefault<infer Inner> ? Inner : (typeof planFields)[K]
  >;
};
export const changeTrial = endpoint({
  method: 'PATCH',
  path: '/v1/operations/:operationId/trials/:trialId',
  operationId: 'changeTrial',
  ...common,
  access: 'desk',
  summary: 'Change the plan of a draft',
  description:
    'Fields left out stay as they are. Arms, unit and pens are fixed once the arms are drawn; nothing changes once ' +
    'the trial has begun.',
  body: z.strictObject({
    name: name.optional(),
    arms: z.array(armIn).min(2).max(6).optional().describe('All arms; one that is left out is removed'),
    ...withoutDefaults,
  }),
  answer: trialOut,
  changes: true,
  versioned: true,
  problems: ['conflict'],
});

const assignment = z.object({
  position: z.number().int().describe('Position in this draw'),
  visualTag: z.string().describe('Tag as read by eye; null if the animal has none').nullable(),
  electronicId: z.string().describe('Electronic number (ISO 11784); null if the animal has none').nullable(),
  armId: id,
  pen: z.string().describe('Name of the pen; null where animals are not penned apart').nullable(),
  block: z.number().int().describe('Number of the block; animals of one block are alike in start weight'),
  startWeight: massOut,
});
const drawOut = z
  .object({
    id,
    trialId: id,
    number: z.number().int().describe('Number of the draw, counted from 1; the newest counts'),
    seed: z.string().describe('Seed of the draw, kept so that it can be repeated'),
    generator: z.string().describe('Generator of the random numbers'),
    weighInIds: z.array(id).describe('Weigh-ins that the start weights come from'),
    reason: z.string().describe('Why the arms were drawn again; null for the first draw').nullable(),
    assignments: z.array(assignment),
    penArms: z.array(
      z.object({
        pen: z.string().describe('Name of the pen'),
        armId: id,
        feedings: z
          .array(id)
          .describe('Arms whose feeding the pen has in each period, in order; one where there are no periods'),
      }),
    ),
    balance: z
      .array(
        z.object({
          armId: id,
          head: z.number().int().describe('How many head were drawn into the arm'),
          meanStartWeight: massOut,
          sdStartWeight: massOut.nullable(),
          lightest: massOut,
          heaviest: massOut,
        }),
      )
      .describe('How alike the arms begin'),
    largestDifference: massOut.describe('Largest difference between the mean start weights of two arms'),
    largestDifferenceInSd: z.number().describe('The same in standard deviations of start weight'),
    words: z.array(z.string()).describe('The same in sentences, to be read out as they stand'),
    units: unitSystem.describe('Units of this answer'),
    recordedAt: instantOut,
    recordedBy: id,
  })
  .meta({
    id: 'TrialDraw',
    description: 'Which animal was drawn into which arm, at random within blocks of like start weight',
  });

export const drawTrialArms = endpoint({
  method: 'POST',
  path: '/v1/operations/:operationId/trials/:trialId/draws',
  operationId: 'drawTrialArms',
  ...common,
  access: 'desk',
  summary: 'Draw the arms at random',
  description:
    'Blocked by start weight, from one weigh-in of single animals, or from two on consecutive days, whose weights ' +
    'are averaged. A second draw needs a reason; every draw is kept.',
  body: z.strictObject({
    weighInIds: z
      .array(id)
      .min(1)
      .max(120)
      .describe(
        'Weigh-ins of single animals: one, or two on consecutive days, of one herd or of each herd that stands',
      ),
    standingHerds: z
      .array(z.strictObject({ pen: penName, herdId: id.describe('The herd that is this pen') }))
      .min(2)
      .max(60)
      .optional()
      .describe(
        'Where herds take part as they stand: which herd each pen of the plan is. Feedings are then drawn for herds, ' +
          'and animals stay where they are',
      ),
    seed: z
      .string()
      .regex(/^\d{1,19}$/, 'must be up to 19 digits')
      .optional()
      .describe('Seed of the draw, a whole number; chosen for you if left out'),
    leaveOut: z
      .array(line(40))
      .max(5000)
      .default([])
      .describe('Tags or electronic numbers of animals that do not take part'),
    reason: reason.optional().describe('Why the arms are drawn again; required from the second draw on'),
  }),
  answer: drawOut,
  creates: (created, { operationId, trialId }) => `/v1/operations/${operationId}/trials/${trialId}/draws/${created.id}`,
  problems: ['conflict'],
});
export const getTrialDraw = endpoint({
  method: 'GET',
  path: '/v1/operations/:operationId/trials/:trialId/draws/:drawId',
  operationId: 'getTrialDraw',
  tag,
  access: 'read',
  summary: 'One draw of arms',
  params: trialParams.extend({ drawId: id }),
  query: z.strictObject(unitsQuery),
  answer: drawOut,
});
export const listTrialDraws = endpoint({
  method: 'GET',
  path: '/v1/operations/:operationId/trials/:trialId/draws',
  operationId: 'listTrialDraws',
  tag,
  access: 'read',
  summary: 'Every draw of arms, newest first',
  params: trialParams,
  query: z.strictObject({ ...pageQuery, ...unitsQuery }),
  answer: pageAnswer(drawOut),
  paged: true,
});

const herdLink = z
  .strictObject({
    armId: id.optional().describe('Where animals are the unit: the arm'),
    pen: penName.optional().describe('Where pens are the unit: the pen; its arm is drawn'),
    herdId: id.describe('Id of the herd; its feedings and weights count while the trial runs'),
  })
  .refine((one) => (one.armId === undefined) !== (one.pen === undefined), {
    path: ['armId'],
    message: 'needs either an arm or a pen',
  });
export const beginTrial = endpoint({
  method: 'POST',
  path: '/v1/operations/:operationId/trials/:trialId/beginning',
  operationId: 'beginTrial',
  ...common,
  access: 'desk',
  summary: 'Begin a trial',
  description:
    'Freezes plan, arms and draw. From day 0 on, feedings and weigh-ins of the herds named here count automatically.',
  body: z.strictObject({
    beginsOn: day.describe('Day 0: the first start weighing'),
    herds: z.array(herdLink).max(200).default([]).describe('Which arm or pen each herd is'),
  }),
  answer: trialOut,
  changes: true,
  versioned: true,
  onlyOnce: true,
  problems: ['conflict'],
});
export const amendTrial = endpoint({
  method: 'POST',
  path: '/v1/operations/:operationId/trials/:trialId/amendments',
  operationId: 'amendTrial',
  ...common,
  access: 'desk',
  summary: 'Amend a running trial',
  description:
    'Adds to the frozen plan, with a reason; the original plan is kept. Question, arms, confidence, ' +
    'method, worthwhile difference and looks cannot be amended: choosing them after seeing data would spoil the ' +
    'answer.',
  body: z
    .strictObject({
      reason,
      amendedOn: day.optional().describe('Day of the amendment; today if left out'),
      lengthDays: planFields.lengthDays.optional(),
      interimWeighingDays: z.array(trialDay).max(20).optional().describe('All days of interim weighings'),
      herdHead: z
        .number()
        .int()
        .min(1)
        .max(1_000_000)
        .nullable()
        .optional()
        .describe('Head to work the result out for; null for none'),
      herds: z.array(herdLink).max(200).optional().describe('Herds that join the trial, and their arms'),
    })
    .refine(
      (body) =>
        [body.lengthDays, body.interimWeighingDays, body.herdHead, body.herds].some((field) => field !== undefined),
      { path: ['reason'], message: 'needs a change beside the reason' },
    ),
  answer: trialOut,
  changes: true,
  versioned: true,
  onlyOnce: true,
  problems: ['conflict'],
});
export const closeTrial = endpoint({
  method: 'POST',
  path: '/v1/operations/:operationId/trials/:trialId/closing',
  operationId: 'closeTrial',
  ...common,
  access: 'desk',
  summary: 'Close a trial',
  description:
    'At its end, or before it if a draft is abandoned or a trial is broken off. Nothing is recorded into ' +
    'it after that ' +
    'day; it can still be judged.',
  body: z.strictObject({ closedOn: day.optional().describe('Day on which the trial ends; today if left out'), reason }),
  answer: trialOut,
  changes: true,
  versioned: true,
  onlyOnce: true,
  problems: ['conflict'],
});

const eventOut = z
  .object({
    id,
    trialId: id,
    visualTag: z.string().describe('Tag as read by eye; null if the animal has none').nullable(),
    electronicId: z.string().describe('Electronic number (ISO 11784); null if the animal has none').nullable(),
    armId: id,
    pen: z.string().describe('Name of the pen; null where animals are not penned apart').nullable(),
    kind: z.enum(TRIAL_EVENT_KINDS).describe('What happened, by its code'),
    happenedOn: day,
    dayOfTrial: z.number().int().describe('Day of the trial, counted from day 0'),
    note: z.string().describe('Free text; null if nothing was noted').nullable(),
    reversal: reversalOut.nullable(),
    recordedAt: instantOut,
    recordedBy: id,
  })
  .meta({ id: 'TrialEvent', description: 'What happened to one animal of a trial; never edited, only reversed' });
const eventParams = trialParams.extend({ eventId: id });
export const createTrialEvent = endpoint({
  method: 'POST',
  path: '/v1/operations/:operationId/trials/:trialId/events',
  operationId: 'createTrialEvent',
  tag,
  access: 'daily',
  summary: 'Record what happened to an animal',
  description:
    "Sick, treated, moved, fed another arm's feed, died, sold or lost. The animal stays in its arm on paper; " +
    'nothing is dropped.',
  params: trialParams,
  body: z.strictObject({
    animal: line(40).describe('Tag or electronic number, as drawn'),
    kind: z.enum(TRIAL_EVENT_KINDS).describe('What happened, by its code'),
    happenedOn: day,
    note: line(300).optional().describe('A note in a few words, to be read with the record'),
  }),
  answer: eventOut,
  creates: (created, { operationId, trialId }) =>
    `/v1/operations/${operationId}/trials/${trialId}/events/${created.id}`,
  problems: ['conflict'],
});
export const listTrialEvents = endpoint({
  method: 'GET',
  path: '/v1/operations/:operationId/trials/:trialId/events',
  operationId: 'listTrialEvents',
  tag,
  access: 'read',
  summary: 'What happened to animals of a trial, newest first',
  params: trialParams,
  query: z.strictObject(pageQuery),
  answer: pageAnswer(eventOut),
  paged: true,
});
export const getTrialEvent = endpoint({
  method: 'GET',
  path: '/v1/operations/:operationId/trials/:trialId/events/:eventId',
  operationId: 'getTrialEvent',
  tag,
  access: 'read',
  summary: 'One event of a trial',
  params: eventParams,
  answer: eventOut,
});
export const reverseTrialEvent = endpoint({
  method: 'POST',
  path: '/v1/operations/:operationId/trials/:trialId/events/:eventId/reversal',
  operationId: 'reverseTrialEvent',
  tag,
  access: 'daily',
  summary: 'Reverse an event',
  params: eventParams,
  body: reversalIn,
  answer: reversalOut,
  creates: (_created, { operationId, trialId, eventId }) =>
    `/v1/operations/${operationId}/trials/${trialId}/events/${eventId}`,
});

const step = z.object({
  day: z.number().int().describe('Day of the trial; null for every day').nullable(),
  on: day.nullable().describe('The date; null until the trial begins, and for every day'),
  code: z
    .enum(['weigh', 'hold-off-feed', 'draw-arms', 'change-over', 'feed', 'write-down', 'watch', 'look'])
    .describe('What kind of step'),
  words: z.string().describe('What to do in this step, in words'),
});
/** What a plan of this size can and cannot see. */
export const planAnswer = z
  .object({
    trialId: id,
    trial: z.string().describe('Name of the trial'),
    question: z.string().describe('The question that the trial asks, in a sentence'),
    units: unitSystem.describe('Units of this answer'),
    frozen: z.boolean().describe('True where this is what the plan promised when the trial began'),
    unit: z.enum(['animal', 'pen']).describe('What is fed apart'),
    unitsPerArm: z.number().int().describe('Animals or pens per arm'),
    lengthDays: z.number().int().describe('Length of the trial in days'),
    confidence: z.number().describe('Confidence of the interval, 0 to 1'),
    powerAimedFor: z
      .number()
      .describe('Power aimed for: share of such trials that should detect the worthwhile difference, 0 to 1'),
    alpha: z.number().describe('Two-sided alpha of one comparison at the last look'),
    worthwhileDifference: massOut.describe('Smallest difference per head per day that would be worth a change'),
    power: z
      .number()
      .describe(
        'Chance of detecting the worthwhile difference if it is there, 0 to 1; null where it cannot be worked out',
      )
      .nullable(),
    smallestVisibleDifference: massOut
      .describe(
        'Smallest difference per head per day that the trial detects with the power aimed for; null where it ' +
          'cannot be worked out',
      )
      .nullable(),
    unitsNeeded: z
      .number()
      .int()
      .describe('Units per arm needed to detect the worthwhile difference; null where no reasonable number would do')
      .nullable(),
    equivalence: z
      .object({
        power: z
          .number()
          .describe('Chance of showing no worthwhile difference where there is none, 0 to 1; null with one unit an arm')
          .nullable(),
        unitsNeeded: z
          .number()
          .int()
          .describe('Units per arm to show it with the power aimed for; null where no reasonable number would do')
          .nullable(),
      })
      .describe('Null where the plan does not ask whether there is no worthwhile difference')
      .nullable(),
    futility: z
      .object({
        belowPercent: z
          .number()
          .describe('Chance of showing the worthwhile difference, in %, below which it is futile'),
        looks: z.array(
          z.object({
            number: z.number().int().describe('Number of the look, counted from 1'),
            z: z.number().describe('Normal value of the difference below which this look says so'),
            chanceIfNone: z.number().describe('Chance that it does where nothing differs, 0 to 1'),
            chanceIfWorthwhile: z
              .number()
              .describe('Chance that it does, wrongly, where the change is worth what was hoped, 0 to 1'),
          }),
        ),
      })
      .describe('Null where the plan does not ask for it')
      .nullable(),
    design: z
      .object({
        kind: z.enum(['switchback', 'stepped-start', 'blocked']).describe('The design of the plan'),
        degreesOfFreedom: z.number().int().describe('Degrees of freedom of the comparison'),
        simulatedTrials: z.number().int().describe('Trials that were drawn and judged to find the power'),
        periodsNeeded: z
          .number()
          .int()
          .describe('Periods that would show the worthwhile difference with these pens; null where none would')
          .nullable(),
      })
      .describe('Null where arms stand side by side')
      .nullable(),
    spread: z.object({
      perDay: massOut.describe('Standard deviation of the daily gain of one unit, all parts together'),
      ofAnimals: massOut.describe('Part that comes from differences between animals fed alike'),
      ofWeighing: massOut.describe('Part that comes from gut fill and the scale'),
      ofPens: massOut.describe('Part that comes from differences between pens fed alike'),
      source: z.string().describe('Where the spread between animals comes from'),
      isDefault: z.boolean().describe('True if it is the published default, not your own'),
      why: z
        .string()
        .describe("Why the operation's own weights were not used, or how many were; null where that does not apply")
        .nullable(),
      weighing: z
        .object({
          ofOneWeight: massOut.describe('Standard deviation of one weight of an animal from day to day'),
          source: z.string().describe('Where it comes from'),
          isDefault: z.boolean().describe('True if it is the published default, not your own'),
          why: z
            .string()
            .describe('Why own weights on two days in a row were not used; null where they were or one was stated')
            .nullable(),
        })
        .describe('Fill and scale; null in a plan frozen before it named them')
        .nullable(),
    }),
    losses: z
      .object({
        cattlePercent: z.number().describe('Cattle expected to be lost before their end weight, %'),
        pensPercent: z.number().describe('Pens expected to be lost whole, %'),
        source: z.string().describe('Where the figures come from'),
        isDefault: z.boolean().describe('True if they are the published default, not your own'),
      })
      .describe('What the plan allows for; null in a plan frozen before it named them')
      .nullable(),
    curve: z
      .array(
        z.object({
          unitsPerArm: z.number().int().describe('Head or pens per arm'),
          visibleDifference: massOut.describe('Smallest difference per head per day that the trial is likely to show'),
        }),
      )
      .describe('Head or pens per arm against the smallest difference they show'),
    overThirtyDays: z
      .array(
        z.object({
          headPerArm: z.number().int().describe('Head per arm, each fed by itself'),
          visibleDifference: massOut.describe('Smallest difference per head per day that the trial is likely to show'),
          power: z.number().describe('Chance of detecting the worthwhile difference, 0 to 1'),
          words: z.array(z.string()).describe('The same in sentences, to be read out as they stand'),
        }),
      )
      .describe('What 10 and 20 head per arm would show over 30 days, for comparison'),
    looks: z.array(
      z.object({
        number: z.number().int().describe('Number of the look, counted from 1'),
        atShare: z.number().describe('Share of the whole length at which the look comes, 0 to 1'),
        day: z.number().int().describe('Day of the trial'),
        alpha: z.number().describe('Two-sided alpha at this look'),
      }),
    ),
    words: z.array(z.string()).describe('The same in sentences, to be read out as they stand'),
    limits: z.array(z.string()).describe('What the trial cannot say'),
    cautions: z.array(trialCautionOut),
  })
  .meta({ id: 'TrialPlanAnswer', description: 'What a trial of this size can and cannot see' });
export const protocolAnswer = z
  .object({
    trialId: id,
    trial: z.string().describe('Name of the trial'),
    question: z.string().describe('The question that the trial asks, in a sentence'),
    beginsOn: day.nullable(),
    arms: z.array(arm),
    steps: z.array(step),
    pens: z
      .array(
        z.object({
          pen: z.string().describe('Name of the pen'),
          block: z.string().describe('The block that it stands in; null without blocks').nullable(),
          feedings: z
            .array(
              z.object({
                period: z.number().int().describe('Number of the period, counted from 1'),
                fromDay: z.number().int().describe('Day of the trial from which the pen is fed so'),
                on: day.nullable().describe('The date; null until the trial begins'),
                armId: id,
              }),
            )
            .describe('What the pen is fed, in order'),
        }),
      )
      .describe('What was drawn for each pen, where the trial has periods or blocks; empty otherwise'),
    dailyRecord: z.array(z.string()).describe('What to record each day'),
    animals: z
      .array(
        z.object({
          animal: z.string().describe('Tag or electronic number'),
          armId: id,
          pen: z.string().describe('Name of the pen; null where animals are not penned apart').nullable(),
        }),
      )
      .describe('Which arm and pen each animal is in, once drawn'),
  })
  .meta({ id: 'TrialProtocol', description: 'The instruction sheet for the yard' });
