import { z } from 'zod';
import { CONCENTRATION_BASES } from '../../../core/forage/basis.js';
import type { ForageAnalysisField } from '../../../core/forage/forage-analysis.js';
import { sizeOf, type UnitOf, unitsOf } from '../../../core/units/unit.js';
import { pageAnswer } from '../../../platform/http/cursor.js';
import { endpoint } from '../../../platform/http/endpoint.js';
import { day, id, instantOut, line, note, operationParams } from '../../../platform/wire/common.schema.js';
import { decimalIn, decimalOut } from '../../../platform/wire/quantity.schema.js';
import { eventQuery } from '../../kit/day-range.js';
import { reversalIn, reversalOut } from '../../kit/reversal.schema.js';

/** Their factors to Mcal per kilogram of dry matter. */
const ENERGY_UNITS = Object.fromEntries(
  unitsOf('energy content').map((unit) => [unit, sizeOf(unit).toNumber()]),
) as Record<UnitOf<'energy content'>, number>;

/**
 * What a lab reports: the name on the wire, the core's field, and the units in which it may be typed with their factor
 * to the core's unit.
 */
export const LAB_VALUES = {
  dryMatter: { field: 'dryMatterPercent', units: { '%': 1 }, what: 'Dry matter' },
  crudeProtein: { field: 'crudeProteinPercent', units: { '%': 1 }, what: 'Crude protein' },
  degradableProtein: {
    field: 'degradableProteinPercentOfCrudeProtein',
    units: { '% of CP': 1 },
    what: 'Rumen-degradable share of the crude protein',
  },
  acidDetergentFiber: { field: 'acidDetergentFiberPercent', units: { '%': 1 }, what: 'ADF' },
  neutralDetergentFiber: { field: 'neutralDetergentFiberPercent', units: { '%': 1 }, what: 'NDF (aNDF)' },
  ashFreeNeutralDetergentFiber: { field: 'ashFreeNeutralDetergentFiberPercent', units: { '%': 1 }, what: 'aNDFom' },
  lignin: { field: 'ligninPercent', units: { '%': 1 }, what: 'Lignin' },
  fiberDigestibility48h: {
    field: 'fiberDigestibility48hPercentOfNdf',
    units: { '% of NDF': 1 },
    what: 'NDF digestibility, 48 hours',
  },
  nonFiberCarbohydrate: { field: 'nonFiberCarbohydratePercent', units: { '%': 1 }, what: 'NFC' },
  fat: { field: 'fatPercent', units: { '%': 1 }, what: 'Fat' },
  ash: { field: 'ashPercent', units: { '%': 1 }, what: 'Ash' },
  totalDigestibleNutrients: { field: 'totalDigestibleNutrientsPercent', units: { '%': 1 }, what: 'TDN' },
  netEnergyMaintenance: {
    field: 'netEnergyMaintenanceMcalPerKg',
    units: ENERGY_UNITS,
    what: 'NEm',
  },
  netEnergyGain: {
    field: 'netEnergyGainMcalPerKg',
    units: ENERGY_UNITS,
    what: 'NEg',
  },
  calcium: { field: 'calciumPercent', units: { '%': 1 }, what: 'Calcium' },
  phosphorus: { field: 'phosphorusPercent', units: { '%': 1 }, what: 'Phosphorus' },
  magnesium: { field: 'magnesiumPercent', units: { '%': 1 }, what: 'Magnesium' },
  potassium: { field: 'potassiumPercent', units: { '%': 1 }, what: 'Potassium' },
  sulfur: { field: 'sulfurPercent', units: { '%': 1 }, what: 'Sulfur' },
  sodium: { field: 'sodiumPercent', units: { '%': 1 }, what: 'Sodium' },
  // Nitrate is reported as the ion or as its nitrogen; the unit says which. 62.0049 / 14.0067: IUPAC atomic masses of N
  // and O.
  nitrate: {
    field: 'nitrateNitrogenPpm',
    units: { 'ppm NO3-N': 1, '% NO3-N': 10_000, 'ppm NO3': 14.0067 / 62.0049, '% NO3': (10_000 * 14.0067) / 62.0049 },
    what: 'Nitrate',
  },
  relativeFeedValue: { field: 'relativeFeedValue', units: { index: 1 }, what: 'RFV as printed' },
  relativeForageQuality: { field: 'relativeForageQuality', units: { index: 1 }, what: 'RFQ as printed' },
} as const satisfies Record<
  string,
  { field: ForageAnalysisField; units: Readonly<Record<string, number>>; what: string }
>;

export type LabValueName = keyof typeof LAB_VALUES;
export const LAB_VALUE_NAMES = Object.keys(LAB_VALUES) as LabValueName[];

const nonNegative = decimalIn.refine((value) => !value.startsWith('-'), 'must be 0 or more');
const valueIn = (name: LabValueName) => {
  const units = Object.keys(LAB_VALUES[name].units) as [string, ...string[]];
  return z
    .strictObject({
      value: name === 'netEnergyGain' ? decimalIn : nonNegative,
      unit: z.enum(units).describe(`One of ${units.join(', ')}`),
    })
    .describe(LAB_VALUES[name].what);
};

const analysisIn = z
  .strictObject({
    dryMatter: valueIn('dryMatter'),
    ...(Object.fromEntries(
      LAB_VALUE_NAMES.filter((name) => name !== 'dryMatter').map((name) => [name, valueIn(name).optional()]),
    ) as Record<Exclude<LabValueName, 'dryMatter'>, z.ZodOptional<ReturnType<typeof valueIn>>>),
  })
  .describe('Values as the lab printed them');

/** Said wherever a number rests on a test of another lot than the one it stands beside. */
export const testTakenFromOut = z
  .object({ hayLotId: id, hayLot: z.string().describe('Its name') })
  .nullable()
  .describe('The lot that the test was taken from, where this one was split off it and has none of its own; else null');

const valueOut = z.object({ value: decimalOut, unit: z.string().describe('Unit as typed') });
export const labMethod = z.enum(['wet-chemistry', 'near-infrared']).describe('How the lab worked');
const basis = z
  .enum(CONCENTRATION_BASES)
  .describe('Basis of every value but dry matter itself and those that name their own');

const onDryMatter = z
  .record(z.string(), z.number())
  .describe("The same on the dry matter basis, in the equations' units; floats, for reading");

const labTest = z
  .object({
    id,
    hayLotId: id,
    lab: z.string().describe('Laboratory'),
    sampledOn: day,
    method: labMethod,
    basis,
    cores: z.number().int().describe('Cores in the sample').nullable(),
    balesSampled: z.number().int().describe('Bales cored').nullable(),
    analysis: z.record(z.string(), valueOut).describe('As typed'),
    onDryMatter,
    relativeFeedValue: z.number().describe('RFV from ADF and NDF (Rohweder, Barnes and Jorgensen 1978)').nullable(),
    warnings: z
      .array(
        z.object({
          code: z.string().describe('Stable code'),
          message: z.string().describe('In a sentence'),
          source: z.string().describe('Where the range comes from'),
        }),
      )
      .describe('Unlikely, not impossible'),
    note: z.string().describe('Free text').nullable(),
    reversal: reversalOut.nullable(),
    recordedAt: instantOut,
    recordedBy: id,
  })
  .meta({ id: 'LabTest', description: 'A lab test of a lot; never edited, a later one supersedes it' });

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
    'What cannot be true is refused, what is unlikely is warned about. A test sampled later supersedes from the ' +
    'moment it is entered.',
  params: operationParams,
  body: z.strictObject({
    hayLotId: id,
    lab: line(200).describe('Laboratory'),
    sampledOn: day,
    method: labMethod,
    basis,
    cores: z.number().int().min(1).max(1000).optional().describe('Cores in the sample'),
    balesSampled: z.number().int().min(1).max(1000).optional().describe('Bales cored'),
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
  query: z.strictObject({ ...eventQuery, hayLotId: id.optional().describe('Only of this lot') }),
  answer: pageAnswer(labTest),
  paged: true,
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
  description: 'For a test entered by mistake. Values that rested on it rest on the next one.',
  params,
  body: reversalIn,
  answer: reversalOut,
  creates: (_created, { operationId, labTestId }) => `/v1/operations/${operationId}/lab-tests/${labTestId}`,
});
