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
  id: id.optional().describe('Of an arm that is there already; absent for a new one'),
  name: line(80).describe('Short name of the feeding'),
  role: z.enum(TRIAL_ARM_ROLES).describe('Every change is compared with the one usual feeding'),
  feeding: line(400).describe('What this arm is fed, and how'),
});
const spreadIn = z
  .discriminatedUnion('from', [
    z
      .strictObject({ from: z.literal('own-weights') })
      .describe("From the operation's own weights animal by animal, where they carry it; else the default"),
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
const looksIn = z.strictObject({
  atShares: z.array(share).min(1).max(10).describe('Rising shares of the whole length; the last is 1'),
  spending: z
    .enum(['obrien-fleming-type', 'pocock-type'])
    .describe('How the chance of a false alarm is spent over the looks (Lan and DeMets 1983)'),
});

/** What can be planned. Everything typed is kept as typed. */
const planFields = {
  question: line(400).describe('What the trial is to answer'),
  unit: z
    .enum(['animal', 'pen'])
    .describe(
      'What is fed apart. animal: each by itself, from its own gate or by hand; pen: pen mates eat together. ' +
        'Arm mates that eat together make one pen',
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
    'Difference in daily gain that would make the change worthwhile; the plan is measured by it, and so is the verdict',
  ),
  spread: spreadIn.default({ from: 'own-weights' }),
  penToPenSpread: massInOrZero
    .nullable()
    .default(null)
    .describe('Standard deviation of daily gain between pens fed alike, beyond their animals; unknown if absent'),
  weighingSpread: massInOrZero
    .nullable()
    .default(null)
    .describe('Standard deviation of one weight of one animal from day to day; unknown if absent'),
  twoWeighingDays: z.boolean().default(true).describe('Start and end weights on two days in a row'),
  fill: z.enum(WEIGHING_FILLS).default('full').describe('Weighed full, or after a stand off feed and water'),
  hoursOffFeed: z.number().min(0).max(48).default(0).describe('Hours off feed and water before every weighing'),
  interimWeighingDays: z.array(trialDay).max(20).default([]).describe('Days of weighings on the way'),
  confidence: z
    .number()
    .min(0.5)
    .max(0.999)
    .default(0.95)
    .describe('Of the intervals, over all comparisons and looks; a share'),
  power: z
    .number()
    .min(0.5)
    .max(0.999)
    .default(0.8)
    .describe('Share of such trials that should see the worthwhile difference'),
  looks: looksIn
    .nullable()
    .default(null)
    .describe('Looks before the end that the plan allows for; one look, at the end, if absent'),
  method: z
    .enum(['analysis-of-covariance', 'welch'])
    .default('analysis-of-covariance')
    .describe('How the difference is estimated: allowing for start weight, or the plain difference of means'),
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
    .describe('Head over which the result is to be reckoned, if it held'),
  pens: z.array(penName).max(200).default([]).describe('Where pens are the unit: their names, as many for each arm'),
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
      from: z.enum(['own-weights', 'stated', 'default']).describe('Where the spread came from, as asked for'),
      perDay: typedMass.describe('Spread per head per day, if it was stated; otherwise null').nullable(),
      source: z.string().describe('Where a stated spread comes from; otherwise null').nullable(),
    })
    .describe('Standard deviation of daily gain between animals fed alike'),
  penToPenSpread: typedMass.nullable(),
  weighingSpread: typedMass.nullable(),
  looks: z
    .object({
      atShares: z.array(z.number()).describe('Shares of the whole length'),
      spending: z.enum(['obrien-fleming-type', 'pocock-type']).describe('Spending function'),
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
      interimWeighingDays: z.array(z.number().int()).optional().describe('New days of weighings on the way'),
      herdHead: z.number().int().nullable().optional().describe('New head over which the result is reckoned'),
      herds: z
        .array(
          z.object({
            armId: id,
            pen: z.string().describe('Name of the pen; null where animals are not penned apart').nullable(),
            herdId: id,
          }),
        )
        .optional()
        .describe('Herds that joined by this amendment'),
    })
    .describe('What counts from now on'),
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
    plan: planOut.describe('As typed; frozen once the trial began'),
    inForce: z
      .object({
        lengthDays: z.number().int().describe('Length with all amendments'),
        interimWeighingDays: z.array(z.number().int()).describe('Days of weighings on the way'),
        herdHead: z.number().int().describe('Head for the reckoning').nullable(),
      })
      .describe('The plan with its amendments'),
    beginsOn: day.nullable().describe('Day 0 of the trial, when its feeding begins'),
    endsOn: day.nullable().describe('Last day of the end weighings'),
    closedOn: day.nullable(),
    closeReason: z.string().describe('Why it was closed').nullable(),
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
    draws: z.number().int().describe('How often the arms were drawn'),
    judgements: z.number().int().describe('How often the trial was judged'),
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
  description: 'A draft: nothing is promised and nothing counts before the arms are drawn and the trial begins.',
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
  summary: 'Feeding trials, by name',
  params: operationParams,
  query: z.strictObject({
    ...pageQuery,
    ...unitsQuery,
    state: z.enum(TRIAL_STATES).optional().describe('Only in this state'),
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

/** Without its default a field loses its words, which stood on the outside. */
function describedAs(field: z.ZodType, inner: z.ZodType): z.ZodType {
  const optional = inner.optional();
  return field.description === undefined ? optional : optional.describe(field.description);
}
/** A field left out stays; the defaults of a new plan must not creep into a change. */
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
    'Fields left out stay as they are. Arms, unit and pens stand once the arms are drawn; nothing changes once ' +
    'the trial began.',
  body: z.strictObject({
    name: name.optional(),
    arms: z.array(armIn).min(2).max(6).optional().describe('All arms; one that is left out goes'),
    ...withoutDefaults,
  }),
  answer: trialOut,
  changes: true,
  versioned: true,
  problems: ['conflict'],
});

const assignment = z.object({
  position: z.number().int().describe('Place in this draw'),
  visualTag: z.string().describe('Tag as read by eye; null if the animal has none').nullable(),
  electronicId: z.string().describe('ISO 11784 number').nullable(),
  armId: id,
  pen: z.string().describe('Name of the pen; null where animals are not penned apart').nullable(),
  block: z.number().int().describe('Animals of one block are alike in start weight'),
  startWeight: massOut,
});
const drawOut = z
  .object({
    id,
    trialId: id,
    number: z.number().int().describe('Counted from 1; the newest counts'),
    seed: z.string().describe('Kept, so that the draw can be repeated'),
    generator: z.string().describe('Random numbers by'),
    weighInIds: z.array(id).describe('Where the start weights come from'),
    reason: z.string().describe('Why it was drawn again').nullable(),
    assignments: z.array(assignment),
    penArms: z.array(
      z.object({ pen: z.string().describe('Name of the pen; null where animals are not penned apart'), armId: id }),
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
    largestDifference: massOut.describe('Between mean start weights of arms'),
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
    'Blocked by start weight, from one weigh-in animal by animal, or from two on days in a row, whose weights ' +
    'are averaged. A second draw needs a reason; every draw is kept.',
  body: z.strictObject({
    weighInIds: z.array(id).min(1).max(2).describe('Weigh-ins animal by animal, of one herd'),
    seed: z
      .string()
      .regex(/^\d{1,19}$/, 'must be up to 19 digits')
      .optional()
      .describe('A whole number; made for you if absent'),
    leaveOut: z
      .array(line(40))
      .max(5000)
      .default([])
      .describe('Tags or electronic numbers of animals that do not take part'),
    reason: reason.optional().describe('Why it is drawn again; needed from the second draw on'),
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
    herdId: id.describe('Its feedings and weights count while the trial runs'),
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
    'Freezes plan, arms and draw. From day 0 on, feedings and weigh-ins of the herds named here count by themselves.',
  body: z.strictObject({
    beginsOn: day.describe('Day 0: the first start weighing'),
    herds: z.array(herdLink).max(200).default([]).describe('Which herd is which arm or pen'),
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
    'Adds to the frozen plan, with a reason; the plan as it was stays beside it. Question, arms, confidence, ' +
    'method, worthwhile difference and looks cannot be amended: choosing them after seeing data would spoil the ' +
    'answer.',
  body: z
    .strictObject({
      reason,
      amendedOn: day.optional().describe('Day of the amendment; today if absent'),
      lengthDays: planFields.lengthDays.optional(),
      interimWeighingDays: z.array(trialDay).max(20).optional().describe('All days of weighings on the way'),
      herdHead: z
        .number()
        .int()
        .min(1)
        .max(1_000_000)
        .nullable()
        .optional()
        .describe('Head over which the result is reckoned'),
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
    'At its end, or before it: a draft given up, a trial broken off. Nothing is recorded into it after that ' +
    'day; it can still be judged.',
  body: z.strictObject({ closedOn: day.optional().describe('Day on which the trial ends; today if absent'), reason }),
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
    electronicId: z.string().describe('ISO 11784 number').nullable(),
    armId: id,
    pen: z.string().describe('Name of the pen; null where animals are not penned apart').nullable(),
    kind: z.enum(TRIAL_EVENT_KINDS).describe('What happened, by its code'),
    happenedOn: day,
    dayOfTrial: z.number().int().describe('Counted from day 0'),
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
  summary: 'Write down what happened to an animal',
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
  summary: 'Take an event back',
  params: eventParams,
  body: reversalIn,
  answer: reversalOut,
  creates: (_created, { operationId, trialId, eventId }) =>
    `/v1/operations/${operationId}/trials/${trialId}/events/${eventId}`,
});

const step = z.object({
  day: z.number().int().describe('Day of the trial; absent for every day').nullable(),
  on: day.nullable().describe('The date, once the trial began'),
  code: z
    .enum(['weigh', 'hold-off-feed', 'draw-arms', 'feed', 'write-down', 'watch', 'look'])
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
    unitsPerArm: z.number().int().describe('Animals or pens an arm'),
    lengthDays: z.number().int().describe('Length of the trial in days'),
    confidence: z.number().describe('Confidence of the interval, 0 to 1'),
    powerAimedFor: z.number().describe('Share of such trials'),
    alpha: z.number().describe('Two-sided, of one comparison at the last look'),
    worthwhileDifference: massOut.describe('Smallest difference per head per day that would be worth a change'),
    power: z.number().describe('Chance to see the worthwhile difference if it is there').nullable(),
    smallestVisibleDifference: massOut.describe('A day: seen in the share of trials aimed for').nullable(),
    unitsNeeded: z.number().int().describe('Units an arm to see the worthwhile difference').nullable(),
    spread: z.object({
      perDay: massOut.describe('Standard deviation of the daily gain of one unit, all parts together'),
      ofAnimals: massOut.describe('Between animals fed alike'),
      ofWeighing: massOut.describe('From fill and scale'),
      ofPens: massOut.describe('Between pens fed alike'),
      source: z.string().describe('Where the spread between animals comes from'),
      isDefault: z.boolean().describe('True where it is not your own'),
      why: z.string().describe('Why own weights were not used, or how many they are').nullable(),
    }),
    curve: z
      .array(
        z.object({
          unitsPerArm: z.number().int().describe('Head or pens an arm'),
          visibleDifference: massOut.describe('Smallest difference per head per day that the trial is likely to show'),
        }),
      )
      .describe('Head or pens an arm against the smallest difference they show'),
    overThirtyDays: z
      .array(
        z.object({
          headPerArm: z.number().int().describe('Head an arm, each fed by itself'),
          visibleDifference: massOut.describe('Smallest difference per head per day that the trial is likely to show'),
          power: z.number().describe('Chance to see the worthwhile difference'),
          words: z.array(z.string()).describe('The same in sentences, to be read out as they stand'),
        }),
      )
      .describe('What 10 and 20 head an arm would show over 30 days, for comparison'),
    looks: z.array(
      z.object({
        number: z.number().int().describe('Number of this one in the trial, counted from 1'),
        atShare: z.number().describe('Of the whole length'),
        day: z.number().int().describe('Day of the trial'),
        alpha: z.number().describe('Two-sided, at this look'),
      }),
    ),
    words: z.array(z.string()).describe('The same in sentences, to be read out as they stand'),
    limits: z.array(z.string()).describe('What it cannot say'),
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
    dailyRecord: z.array(z.string()).describe('What to write down each day'),
    animals: z
      .array(
        z.object({
          animal: z.string().describe('Tag or electronic number'),
          armId: id,
          pen: z.string().describe('Name of the pen; null where animals are not penned apart').nullable(),
        }),
      )
      .describe('Who stands where, once drawn'),
  })
  .meta({ id: 'TrialProtocol', description: 'The sheet that goes to the yard' });
