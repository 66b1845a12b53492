import { unitOf } from '../../platform/wire/unit.schema.js';
import { z } from 'zod';
import { figureText } from '../../core/units/decimal.js';
import { layerRole } from '../../records/kit/layer.schema.js';
import { LAYER_BASES } from '../../core/laying/layer.js';
import { BALE_ROUNDINGS } from '../../core/laying/whole-bales.js';
import { REQUIREMENT_EDITIONS } from '../../core/requirements/requirement-set.js';
import { pageAnswer, pageQuery } from '../../platform/http/cursor.js';
import { endpoint } from '../../platform/http/endpoint.js';
import { day, id, instantOut, name, note, operationParams, version } from '../../platform/wire/common.schema.js';
import {
  massIn,
  massOut,
  moneyOut,
  typedMassOut,
  unitsQuery,
  unitSystem,
} from '../../platform/wire/quantity.schema.js';
import { cautionOut } from '../../records/kit/caution.schema.js';
import { testTakenFromOut } from '../../records/hay/lab-tests/lab-test.schema.js';
import { weatherOut } from '../facts/weather.schema.js';
import { dailyAmountOut, judgementShape, judgingQuery } from '../judge/judgement.schema.js';
import { AMOUNT_BASES, RATION_NOTE_KINDS, RATION_STATES as WRITTEN_STATES } from '../../platform/wire/words.data.js';

const basis = z
  .enum(LAYER_BASES)
  .describe('What the shares are shares of: volume as laid, weight as fed, or dry matter');
export const role = layerRole;
const amountBasis = z.enum(AMOUNT_BASES).describe('Whether the amount is given as fed or as dry matter');
const baleRounding = z
  .enum(BALE_ROUNDINGS)
  .describe(
    'open-enough: open the fewest bales that cover the need and keep the rest; nearest-whole: feed whole bales only',
  );

const percentText = z
  .union([z.string(), z.number()])
  .transform(String)
  .refine(
    (value) => figureText({ digits: 3, places: 6 }).test(value) && Number(value) > 0 && Number(value) <= 100,
    'must be above 0 and at most 100, with at most six decimal places',
  );
const wasted = z
  .union([z.string(), z.number()])
  .transform(String)
  .refine(
    (value) => figureText({ digits: 2, places: 3, leadingZeros: false }).test(value),
    'must be 0 to below 100, with at most three decimal places',
  )
  .describe('Share of what is offered that is refused or wasted, %');
const density = z
  .strictObject({
    value: z
      .union([z.string(), z.number()])
      .transform(String)
      .refine(
        (value) => figureText({ digits: 4, places: 3 }).test(value) && Number(value) > 0,
        'must be above 0, with at most three decimal places',
      )
      .describe('The figure, as text or number'),
    unit: unitOf('density'),
  })
  .describe('Density of this hay as laid, if a measured heap was weighed');
const partIn = z
  .strictObject({
    hayLotId: id,
    sharePercent: percentText
      .optional()
      .describe('Share of the amount, %, on the basis of the ration; left out, the template gives it'),
    weight: massIn
      .optional()
      .describe('In place of a share: what is given of this feed per head per day, as fed, on top of the amount'),
    freeChoice: z
      .boolean()
      .default(false)
      .describe(
        'True for what is kept in front of the cattle and not laid: a mineral feeder, salt, a tub, a rack of straw. ' +
          '`weight` is then the intake that is expected, and is what the supply and the cost count',
      ),
    bulkDensity: density.optional(),
  })
  .meta({ id: 'RationPartIn', description: 'A lot in a layer, by its share or by its weight' });
const layersIn = z
  .array(z.strictObject({ role, parts: z.array(partIn).min(1).max(10).describe('The lot or lots of this layer') }))
  .min(1)
  .max(12)
  .describe('In build order, bottom first; the shares add up to 100, parts by weight aside');
const templateKey = z
  .string()
  .max(60)
  .regex(/^[a-z0-9-]+$/)
  .describe("Key of the layer template that the shares come from, shipped or the operation's own");
const amount = z
  .strictObject({ weight: massIn, basis: amountBasis })
  .describe('What the parts with a share come to, per head per day; left out where every part is given by weight');

const content = {
  name,
  basis: basis
    .optional()
    .describe('What the shares are shares of; left out, the basis of the template, or as fed where all is by weight'),
  amount: amount.optional(),
  layers: layersIn,
  templateKey: templateKey.optional(),
  baleRounding: baleRounding.default('open-enough'),
  wastedPercent: wasted.optional(),
  note: note.optional(),
};

/** A ration that is only asked about, not stored. */
export const unsavedContent = {
  basis: content.basis,
  amount: content.amount,
  layers: layersIn,
  templateKey: content.templateKey,
  wastedPercent: content.wastedPercent,
};

/** The state as answered: an accepted ration is in use or superseded, depending on its days. */
const RATION_STATES = [...WRITTEN_STATES, 'in-use', 'superseded'] as const;
const state = z
  .enum(RATION_STATES)
  .describe(
    'State of the ration today: a draft, proposed to the ranch, accepted, in use, or superseded by a later one',
  );

const stated = z.object({
  value: z.number().describe('The figure, in the unit beside it'),
  unit: z.string().describe('Unit of the figure beside it'),
  origin: z.enum(['measured', 'book-value']).describe('Whether it was measured or comes from a book'),
  source: z.string().describe('Where it comes from'),
});
const laidPart = z.object({
  hayLotId: id,
  hayLot: z.string().describe('Name of the hay lot'),
  sharePercent: z
    .string()
    .describe('As typed, on the basis of the ration; null where the part is given by weight')
    .nullable(),
  weight: typedMassOut
    .describe('Per head per day as fed, and as it was typed; null where the part is given by a share')
    .nullable(),
  freeChoice: z
    .boolean()
    .describe('True for what is kept in front of the cattle and not laid; the weight is the stated intake'),
  volumeSharePercent: z.number().describe('Share of the volume as laid, %'),
  asFedSharePercent: z.number().describe('Share of the weight as fed, %'),
  dryMatterSharePercent: z.number().describe('Share of the dry matter, %'),
  bulkDensity: stated.describe('Density by which volume is turned into weight'),
  dryMatterPercent: stated.describe('Dry matter content by which weight as fed is turned into dry matter'),
  testTakenFrom: testTakenFromOut,
  perHead: massOut.describe('As fed, per head per day'),
});
const layerOut = z.object({
  position: z.number().int().describe('Number of the layer; 1 is laid first, at the bottom'),
  role,
  parts: z.array(laidPart),
});
const amountOut = z.object({ weight: typedMassOut, basis: amountBasis });

export const rationOut = z
  .object({
    id,
    herdId: id,
    herd: z.string().describe('Name of the herd'),
    name: z.string().describe('Name of the ration'),
    state,
    basis,
    amount: amountOut,
    baleRounding,
    wastedPercent: z
      .string()
      .describe('Share of what is offered that is refused or wasted, %, as typed; null if none was given')
      .nullable(),
    templateKey: z
      .string()
      .describe('Key of the template that the shares came from; null if there was none')
      .nullable(),
    note: z.string().describe('Free text; null if nothing was noted').nullable(),
    revision: z.number().int().describe('Goes up by one each time the layers of the draft are replaced'),
    layers: z.array(layerOut).describe('In build order, bottom first'),
    perHead: z.object({ asFed: massOut, dryMatter: massOut }).describe('All layers together, per head per day'),
    restsOnBookValues: z.boolean().describe('True if any density or dry matter comes from a book'),
    cautions: z
      .array(cautionOut)
      .describe('What to beware of if it is fed today, the worst first: as the evaluation of the ration says'),
    inUseFrom: day.nullable(),
    inUseUntil: day.describe('First day on which it is no longer in use; null while it goes on').nullable(),
    proposedAt: instantOut.nullable(),
    proposedBy: id.nullable(),
    acceptedAt: instantOut.nullable(),
    acceptedBy: id.nullable(),
    units: unitSystem.describe('Units of this answer'),
    createdAt: instantOut,
    createdBy: id,
    version,
  })
  .meta({ id: 'Ration', description: 'What a herd is to be fed, layer by layer, per head per day' });

const params = operationParams.extend({ rationId: id });
const herdParams = operationParams.extend({ herdId: id });
const tag = 'Rations';
const words = note.describe('A few words; kept with the step');

export const createRation = endpoint({
  method: 'POST',
  path: '/v1/operations/:operationId/rations',
  operationId: 'createRation',
  tag,
  access: 'desk',
  summary: 'Draft a ration for a herd',
  description:
    'Layers in build order with lots and shares on a stated basis, and an amount per head. A part may be given by ' +
    'its weight per head instead, such as mineral by the ounce: it comes on top of the amount. With a template the ' +
    'shares may be left out.',
  params: operationParams,
  query: z.strictObject(unitsQuery),
  body: z.strictObject({ herdId: id, ...content }),
  answer: rationOut,
  creates: (created, { operationId }) => `/v1/operations/${operationId}/rations/${created.id}`,
  versioned: true,
});
export const listRations = endpoint({
  method: 'GET',
  path: '/v1/operations/:operationId/rations',
  operationId: 'listRations',
  tag,
  access: 'read',
  summary: 'Rations, newest first',
  params: operationParams,
  query: z.strictObject({
    ...pageQuery,
    ...unitsQuery,
    herdId: id.optional().describe('Only those of this herd'),
    state: state.optional().describe('Only those in this state today'),
  }),
  answer: pageAnswer(rationOut),
  paged: true,
});
export const getRation = endpoint({
  method: 'GET',
  path: '/v1/operations/:operationId/rations/:rationId',
  operationId: 'getRation',
  tag,
  access: 'read',
  summary: 'One ration',
  params,
  query: z.strictObject(unitsQuery),
  answer: rationOut,
  versioned: true,
});
export const changeRation = endpoint({
  method: 'PATCH',
  path: '/v1/operations/:operationId/rations/:rationId',
  operationId: 'changeRation',
  tag,
  access: 'desk',
  summary: 'Change a draft',
  description:
    'Fields left out stay as they are. Only a draft can be changed; a proposed one must be returned or ' +
    'withdrawn first.',
  params,
  query: z.strictObject(unitsQuery),
  body: z.strictObject({
    name: name.optional(),
    basis: basis.optional(),
    amount: amount.optional(),
    layers: layersIn.optional(),
    templateKey: templateKey.nullable().optional(),
    baleRounding: baleRounding.optional(),
    wastedPercent: wasted.nullable().optional(),
    note: note.nullable().optional(),
  }),
  answer: rationOut,
  changes: true,
  versioned: true,
});

const step = {
  method: 'POST' as const,
  tag,
  params,
  query: z.strictObject(unitsQuery),
  answer: rationOut,
  status: 200 as const,
  onlyOnce: true,
  versioned: true,
};
export const proposeRation = endpoint({
  ...step,
  path: '/v1/operations/:operationId/rations/:rationId/proposal',
  operationId: 'proposeRation',
  access: 'desk',
  summary: 'Propose a draft to the ranch',
  body: z.strictObject({ words: words.optional() }),
});
export const withdrawRation = endpoint({
  ...step,
  path: '/v1/operations/:operationId/rations/:rationId/withdrawal',
  operationId: 'withdrawRation',
  access: 'desk',
  summary: 'Withdraw a proposal: it is a draft again',
  body: z.strictObject({ words: words.optional() }),
});
export const returnRation = endpoint({
  ...step,
  path: '/v1/operations/:operationId/rations/:rationId/return',
  operationId: 'returnRation',
  access: 'records',
  summary: 'Return a proposal to the nutritionist',
  description: 'It becomes a draft again; the note says what should change.',
  body: z.strictObject({ words }),
});
export const acceptRation = endpoint({
  ...step,
  path: '/v1/operations/:operationId/rations/:rationId/acceptance',
  operationId: 'acceptRation',
  access: 'records',
  summary: 'Accept a proposed ration',
  description: 'By the owner or a manager. From then on it does not change.',
  body: z.strictObject({ words: words.optional() }),
});
export const useRation = endpoint({
  ...step,
  path: '/v1/operations/:operationId/rations/:rationId/use',
  operationId: 'useRation',
  access: 'records',
  summary: 'Put an accepted ration into use from a day on',
  description: "The herd's ration in use on that day is superseded by it. A herd has one ration in use on any day.",
  body: z.strictObject({
    from: day.describe('First day of its use'),
    until: day
      .optional()
      .describe(
        'First day on which it is no longer in use; left out, it runs until the next ration begins or its use is ended',
      ),
    words: words.optional(),
  }),
});
export const endRation = endpoint({
  ...step,
  path: '/v1/operations/:operationId/rations/:rationId/end',
  operationId: 'endRation',
  access: 'records',
  summary: 'End the use of a ration',
  description:
    'Ended on its first day, it was never in use: the ration that it superseded goes on. So a ration put into use by ' +
    'mistake is undone.',
  body: z.strictObject({ on: day.describe('First day on which it is no longer in use'), words: words.optional() }),
});
export const rationInUse = endpoint({
  method: 'GET',
  path: '/v1/operations/:operationId/herds/:herdId/ration',
  operationId: 'getRationInUse',
  tag,
  access: 'read',
  summary: 'The ration in use for a herd on a day',
  params: herdParams,
  query: z.strictObject({
    ...unitsQuery,
    on: day.optional().describe('Day to look up; today at the ranch if left out'),
  }),
  answer: rationOut,
});

const noteOut = z
  .object({
    id,
    rationId: id,
    kind: z.enum(RATION_NOTE_KINDS).describe('A note, or the step of the review that it belongs to'),
    words: z.string().describe('What was said, in words'),
    writtenAt: instantOut,
    writtenBy: id,
    writer: z.string().describe('Name of the writer; null where you may not see it').nullable(),
  })
  .meta({ id: 'RationNote', description: 'Notes between the nutritionist and the ranch about a ration; never edited' });
export const createRationNote = endpoint({
  method: 'POST',
  path: '/v1/operations/:operationId/rations/:rationId/notes',
  operationId: 'createRationNote',
  tag,
  access: 'read',
  summary: 'Write a note on a ration',
  description: 'By the nutritionist, a manager or the owner; others can read it.',
  params,
  body: z.strictObject({ words: note.refine((text) => text.length > 0, 'must not be empty') }),
  answer: noteOut,
  creates: (_created, { operationId, rationId }) => `/v1/operations/${operationId}/rations/${rationId}/notes`,
});
export const listRationNotes = endpoint({
  method: 'GET',
  path: '/v1/operations/:operationId/rations/:rationId/notes',
  operationId: 'listRationNotes',
  tag,
  access: 'read',
  summary: 'Notes and review steps of a ration, oldest first',
  params,
  query: z.strictObject(pageQuery),
  answer: pageAnswer(noteOut),
  paged: true,
});

const figure = z.number().nullable();
export const evaluationOut = z
  .object({
    rationId: id.nullable(),
    herdId: id,
    herd: z.string().describe('Name of the herd'),
    onDay: day,
    edition: z.enum(REQUIREMENT_EDITIONS).describe('Published requirement system that was used'),
    units: unitSystem.describe('Units of this answer'),
    head: z.number().int().describe('Head on the day'),
    bodyWeight: massOut.describe('Mean full weight that was used'),
    bodyWeightFrom: z.string().describe('Where that weight comes from'),
    weather: weatherOut.nullable(),
    perHead: z.object({ asFed: massOut, dryMatter: massOut }).describe('What is offered, per head per day'),
    ...judgementShape,
    gain: z
      .object({
        energyAllowed: massOut.describe('Gain that the energy allows; null where it is not known').nullable(),
        proteinAllowed: massOut.describe('Gain that the protein allows; null where it is not known').nullable(),
        target: massOut.describe('Target gain; null if none was set').nullable(),
      })
      .describe('Growing cattle: gain per head per day; the smaller figure decides'),
    ratios: z.object({
      calciumToPhosphorus: figure.describe('Ratio of calcium to phosphorus'),
      tetanyRatio: figure.describe('Ratio K/(Ca+Mg) in equivalents, a guide to grass tetany'),
      sulfurPercentOfDryMatter: figure.describe('Sulfur of feed and water together, % of dry matter'),
      nitrateNitrogenPpm: figure.describe('NO3-N of the whole ration, ppm of dry matter'),
      nitrateVerdict: z
        .string()
        .describe('What the guide says about it; null where the nitrate is not known')
        .nullable(),
      degradableProteinBalance: dailyAmountOut
        .describe('Rumen-degradable protein less what the microbes need; null where it is not known')
        .nullable(),
      forageShare: z.number().describe('Share of forage in the dry matter, 0 to 1'),
      longStemShare: z.number().describe('Share of long-stem forage in the dry matter, 0 to 1'),
    }),
    costPerLot: z
      .array(
        z.object({ hayLotId: id, hayLot: z.string().describe('Name of the hay lot'), perHeadDay: moneyOut.nullable() }),
      )
      .describe('Cost of each lot; empty for readers without prices'),
    likelyEatenFirst: z
      .array(
        z.object({ position: z.number().int().describe('Place of the layer in the stack; 1 is the bottom'), role }),
      )
      .describe(
        'Layers in the order in which they are likely eaten, top first; cattle still sort, so it is only ' +
          'likely. Common practice, no source',
      ),
    layingCautions: z.array(cautionOut).describe('Cautions about the order, the room and the way of laying'),
  })
  .meta({
    id: 'RationEvaluation',
    description: 'A ration against what the herd needs; an aid to a licensed nutritionist, not a substitute',
  });

export const evaluateRationAtHand = endpoint({
  method: 'GET',
  path: '/v1/operations/:operationId/rations/:rationId/evaluation',
  operationId: 'getRationEvaluation',
  tag,
  access: 'read',
  summary: 'A ration against what its herd needs',
  description:
    'Supply and need of every nutrient, gain or change of condition, cost where prices may be seen, cautions, ' +
    'and what rests on book values.',
  params,
  query: z.strictObject(judgingQuery),
  answer: evaluationOut,
});
export const evaluateUnsaved = endpoint({
  method: 'POST',
  transaction: 'read',
  path: '/v1/operations/:operationId/herds/:herdId/ration-evaluation',
  operationId: 'evaluateUnsavedRation',
  tag,
  access: 'desk',
  status: 200,
  summary: 'Judge a ration without saving it',
  description: 'The answer is that of a saved ration. Nothing is saved.',
  params: herdParams,
  query: z.strictObject(judgingQuery),
  body: z.strictObject(unsavedContent),
  answer: evaluationOut,
});
