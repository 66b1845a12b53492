import { Injectable } from '@nestjs/common';
import { CONCENTRATION_BASES } from '../../../core/forage/basis.js';
import { NUTRIENTS } from '../../../core/nutrients/nutrients.data.js';
import { LAB_NUTRIENTS, type LabNutrient, labReport } from '../../../core/nutrients/nutrients.js';
import { LAB_TEST_METHODS } from '../../../platform/wire/words.data.js';
import type { OperationTenant, SubjectRef } from '../../../platform/database/types.js';
import { createLabTest } from '../../hay/lab-tests/lab-test.schema.js';
import { LabTestService } from '../../hay/lab-tests/lab-test.service.js';
import { aWhole, type ColumnFamily, type ColumnSet, needed, oneOf, optional } from '../columns.js';
import type { FileRow } from '../csv-file.js';
import { bodyOf, DAY_ALLOWED, type ImportKind, oneByOne, type SampleRow } from '../import-kind.js';
import type { NameBook } from '../name-book.js';
import type { RecordDraft } from '../record-draft.js';

type Body = Parameters<LabTestService['record']>[1];

/** How the columns of a nutrient begin. */
export const labStem = (value: LabNutrient): string => snake(value);
const snake = (name: string): string => name.replaceAll(/([a-z0-9])([A-Z])/g, '$1_$2').toLowerCase();
/** '% of CP' is percent_of_cp, 'Mcal/lb' mcal_per_lb, 'ppm NO3-N' ppm_no3_n; an index has no unit. */
const unitWord = (unit: string): string =>
  unit === 'index'
    ? ''
    : `_${unit
        .toLowerCase()
        .replaceAll('%', 'percent')
        .replaceAll('/', '_per_')
        .replaceAll(/[^a-z0-9]+/g, '_')}`;

const FAMILIES: readonly (ColumnFamily & { value: LabNutrient })[] = LAB_NUTRIENTS.map((value) => ({
  value,
  stem: snake(value),
  what: NUTRIENTS[value].name,
  required: value === 'dryMatter',
  columns: Object.keys(labReport(value).typedIn).map((unit) => ({
    name: `${snake(value)}${unitWord(unit)}`,
    unit,
    required: false,
    what: `${NUTRIENTS[value].name}, ${unit}`,
    allowed: 'a decimal as the lab printed it',
    holds: 'number' as const,
  })),
}));

@Injectable()
export class LabTestImport implements ImportKind<Body> {
  readonly code = 'lab-tests';
  readonly title = 'Lab tests';
  readonly description =
    'One row a test, values as the lab printed them. What cannot be true is refused, as at the API.';

  constructor(private readonly labTests: LabTestService) {}

  columns(): ColumnSet {
    return {
      plain: [
        needed('lot', 'The lot that was sampled', 'the name or id of a lot'),
        needed('lab', 'Laboratory', 'a line of text'),
        needed('sampled_on', 'Day of sampling', DAY_ALLOWED),
        needed('method', 'Method of the lab', oneOf(LAB_TEST_METHODS)),
        needed('basis', 'Basis of the values', oneOf(CONCENTRATION_BASES)),
        optional('report_number', 'Number of the sample or report at the laboratory', 'a line of text'),
        optional('cores', 'Cores in the sample', aWhole('a whole number')),
        optional('bales_sampled', 'Bales cored', aWhole('a whole number')),
        optional('note', 'Free text', 'text'),
      ],
      families: FAMILIES,
    };
  }

  sample(): readonly SampleRow[] {
    return [
      {
        lot: 'Meadow, first cutting',
        lab: 'Forage laboratory',
        sampled_on: '2026-10-12',
        method: 'near-infrared',
        basis: 'dry-matter',
        cores: '20',
        dry_matter_percent: '88.4',
        crude_protein_percent: '9.1',
        acid_detergent_fiber_percent: '37.2',
        neutral_detergent_fiber_percent: '58.6',
        net_energy_maintenance_mcal_per_lb: '0.56',
      },
    ];
  }

  group(rows: readonly FileRow[]): FileRow[][] {
    return oneByOne(rows);
  }

  parse(draft: RecordDraft, names: NameBook): Body | undefined {
    const row = draft.common('lot');
    names.resolve(draft, '/hayLotId', row, 'lot', 'lot');
    draft.text('/lab', row, 'lab');
    draft.text('/sampledOn', row, 'sampled_on');
    draft.text('/method', row, 'method');
    draft.text('/basis', row, 'basis');
    draft.text('/reportNumber', row, 'report_number');
    draft.count('/cores', row, 'cores');
    draft.count('/balesSampled', row, 'bales_sampled');
    draft.text('/note', row, 'note');
    for (const { value, stem } of FAMILIES) draft.mass(`/analysis/${value}`, row, stem);
    return draft.parsedBy(bodyOf(createLabTest));
  }

  async record(tenant: OperationTenant, body: Body): Promise<SubjectRef> {
    return { kind: 'lab-test', id: (await this.labTests.record(tenant, body)).id };
  }
}
