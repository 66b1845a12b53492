import { z } from 'zod';
import { CONCENTRATION_BASES } from '../../../core/forage/basis.js';
import { NUTRIENTS } from '../../../core/nutrients/nutrients.data.js';
import { LAB_NUTRIENTS, type LabNutrient, labReport } from '../../../core/nutrients/nutrients.js';
import { pageAnswer } from '../../../platform/http/cursor.js';
import { endpoint } from '../../../platform/http/endpoint.js';
import { day, id, instantOut, line, note, operationParams } from '../../../platform/wire/common.schema.js';
import { decimalIn, decimalOut } from '../../../platform/wire/quantity.schema.js';
import { lotCautionsOut } from '../../kit/caution.schema.js';
import { eventQuery } from '../../kit/day-range.js';
import { reversalIn, reversalOut } from '../../kit/reversal.schema.js';
import { LAB_TEST_METHODS } from '../../../platform/wire/words.data.js';

const nonNegative = decimalIn.refine((value) => !value.startsWith('-'), 'must be 0 or more');

const figureIn = (units: readonly [string, ...string[]], mayBeNegative: boolean) =>
  z
    .strictObject({
      value: mayBeNegative ? decimalIn : nonNegative,
      unit: z.enum(units).describe(`Unit of the figure: ${units.join(', ')}`),
      guarantee: z
        .enum(['minimum', 'maximum'])
        .optional()
        .describe(
          'Of a label: whether the figure is the least or the most that it guarantees; the least if left out, but ' +
            'the most of non-protein nitrogen, of which labels state no least',
        ),
      maximum: nonNegative
        .optional()
        .describe('Of a label: the most that it guarantees, where `value` is the least, in the same unit'),
    })
    .meta({
      id: `${mayBeNegative ? 'Signed' : ''}LabFigureIn${units.map(unitInAName).join('Or')}`,
      description: `A figure as the lab printed it, in ${units.join(' or ')}`,
    });

/** A unit as part of the name of a shape: `g/kg` is GPerKg. */
function unitInAName(unit: string): string {
  return unit
    .replaceAll('%', ' Percent ')
    .replaceAll('/', ' Per ')
    .split(/[^A-Za-z0-9]+/)
    .map((word) => word.charAt(0).toUpperCase() + word.slice(1))
    .join('');
}

/** One shape for each set of units, whatever they measure. */
const figures = new Map<string, ReturnType<typeof figureIn>>();
const valueIn = (name: LabNutrient) => {
  const { typedIn, mayBeNegative = false } = labReport(name);
  const units = Object.keys(typedIn) as [string, ...string[]];
  const key = `${units.join(' ')} ${String(mayBeNegative)}`;
  const figure = figures.get(key) ?? figureIn(units, mayBeNegative);
  figures.set(key, figure);
  return figure.describe(`${NUTRIENTS[name].name}, as the lab printed it`);
};

export const analysisIn = z
  .strictObject({
    dryMatter: valueIn('dryMatter'),
    ...(Object.fromEntries(
      LAB_NUTRIENTS.filter((name) => name !== 'dryMatter').map((name) => [name, valueIn(name).optional()]),
    ) as Record<Exclude<LabNutrient, 'dryMatter'>, z.ZodOptional<ReturnType<typeof valueIn>>>),
  })
  .meta({ id: 'LabTestValues', description: 'Values as the lab printed them' });

/** Stated wherever a figure rests on the test of a lot other than its own. */
export const testTakenFromOut = z
  .object({ hayLotId: id, hayLot: z.string().describe('Name of the hay lot') })
  .nullable()
  .describe('The lot whose test is used, where this one was split off from it and has none of its own; otherwise null');

const valueOut = z.object({
  value: decimalOut,
  unit: z.string().describe('Unit of the figure, as typed'),
  guarantee: z.enum(['minimum', 'maximum']).optional().describe('Of a label: the least or the most it guarantees'),
  maximum: decimalOut.optional().describe('Of a label: the most it guarantees beside the least'),
});
const labMethod = z
  .enum(LAB_TEST_METHODS)
  .describe('Method of the lab; label: the guaranteed analysis on a bag or tag, which no laboratory of the ranch made');
export const basis = z
  .enum(CONCENTRATION_BASES)
  .describe('Basis of every value but dry matter itself and those that name their own');

const onDryMatter = z
  .record(z.string(), z.number())
  .describe("The same on the dry matter basis, in the equations' units; floats, for reading");

const labTest = z
  .object({
    id,
    hayLotId: id,
    lab: z.string().describe('Laboratory that tested the sample'),
    reportNumber: z.string().describe('Number of the sample or report at the laboratory; null if not noted').nullable(),
    sampledOn: day,
    method: labMethod,
    basis,
    cores: z.number().int().describe('Cores in the sample').nullable(),
    balesSampled: z.number().int().describe('How many bales were cored for the sample').nullable(),
    analysis: z.record(z.string(), valueOut).describe('Each value that was reported, digit for digit, by its name'),
    onDryMatter,
    relativeFeedValue: z.number().describe('RFV from ADF and NDF (Rohweder, Barnes and Jorgensen 1978)').nullable(),
    warnings: z
      .array(
        z.object({
          code: z.string().describe('Code that stays the same between releases'),
          message: z.string().describe('What is to be known, in a sentence'),
          source: z.string().describe('Where the range comes from'),
        }),
      )
      .describe('What is unlikely, though not impossible: values, and a test that was likely entered before'),
    lotCautions: lotCautionsOut,
    note: z.string().describe('Free text; null if nothing was noted').nullable(),
    reversal: reversalOut.nullable(),
    recordedAt: instantOut,
    recordedBy: id,
  })
  .meta({ id: 'LabTest', description: 'A lab test of a lot; never edited' });

const params = operationParams.extend({ labTestId: id });
const tag = 'Lab tests';

export const createLabTest = endpoint({
  method: 'POST',
  path: '/v1/operations/:operationId/lab-tests',
  operationId: 'createLabTest',
  tag,
  access: 'records',
  summary: 'Enter a lab test',
  description:
    'Impossible values are refused, unlikely ones raise a warning, by the kind of feed of the lot. Of several ' +
    'tests of a lot the mean counts, weighed by method and cores; of nitrate the highest counts, whichever is newer, ' +
    'also that of hay moved in or of the lot it was split from, until that test is ' +
    'reversed. The guaranteed analysis of a bagged feed is entered here with the method `label`: its minima count ' +
    'toward needs, its maxima against limits, and a test of the lot counts before it.',
  params: operationParams,
  body: z.strictObject({
    hayLotId: id,
    lab: line(200).describe('Laboratory that tested the sample'),
    reportNumber: line(100)
      .optional()
      .describe('Number of the sample or report at the laboratory; tells two samples of one day apart'),
    sampledOn: day,
    method: labMethod,
    basis,
    cores: z.number().int().min(1).max(1000).optional().describe('Cores in the sample'),
    balesSampled: z.number().int().min(1).max(1000).optional().describe('How many bales were cored for the sample'),
    analysis: analysisIn,
    note: note.optional(),
  }),
  answer: labTest,
  creates: (created, { operationId }) => `/v1/operations/${operationId}/lab-tests/${created.id}`,
});
export const listLabTests = endpoint({
  method: 'GET',
  path: '/v1/operations/:operationId/lab-tests',
  operationId: 'listLabTests',
  tag,
  access: 'read',
  summary: 'Lab tests, newest first',
  params: operationParams,
  query: z.strictObject({ ...eventQuery, hayLotId: id.optional().describe('Only those of this lot') }),
  answer: pageAnswer(labTest),
  paged: true,
  register: { lines: ['analysis', 'onDryMatter'], without: ['lotCautions'] },
});
export const getLabTest = endpoint({
  method: 'GET',
  path: '/v1/operations/:operationId/lab-tests/:labTestId',
  operationId: 'getLabTest',
  tag,
  access: 'read',
  summary: 'One lab test',
  params,
  answer: labTest,
});
export const withdrawLabTest = endpoint({
  method: 'POST',
  path: '/v1/operations/:operationId/lab-tests/:labTestId/reversal',
  operationId: 'withdrawLabTest',
  tag,
  access: 'records',
  summary: 'Withdraw a lab test',
  description: 'For a test entered by mistake. Values that rested on it then rest on the next test.',
  params,
  body: reversalIn,
  answer: reversalOut,
  creates: (_created, { operationId, labTestId }) => `/v1/operations/${operationId}/lab-tests/${labTestId}`,
});
