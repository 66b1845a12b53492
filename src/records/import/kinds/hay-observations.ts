import { Injectable } from '@nestjs/common';
import { HAY_COLORS, HAY_SMELLS, HEAT_FELT, SEEN_AMOUNTS } from '../../../core/cautions/hay-observation.data.js';
import { unitRow, unitsOf } from '../../../core/units/unit.js';
import type { OperationTenant, SubjectRef } from '../../../platform/database/types.js';
import { createHayObservation } from '../../hay/observations/hay-observation.schema.js';
import { HayObservationService } from '../../hay/observations/hay-observation.service.js';
import { MOISTURE_ALLOWED } from '../../hay/purchases/ticket.schema.js';
import { aNumber, aWhole, type ColumnFamily, type ColumnSet, needed, oneOf, optional } from '../columns.js';
import type { FileRow } from '../csv-file.js';
import { bodyOf, DAY_ALLOWED, type ImportKind, oneByOne, type SampleRow } from '../import-kind.js';
import type { NameBook } from '../name-book.js';
import type { RecordDraft } from '../record-draft.js';

type Body = Parameters<HayObservationService['record']>[1];

function familyOf(stem: string, what: string, dimension: 'temperature' | 'length', allowed: string): ColumnFamily {
  return {
    stem,
    what,
    required: false,
    columns: unitsOf(dimension).map((unit) => ({
      name: `${stem}_${unit.toLowerCase()}`,
      unit,
      required: false,
      what: `${what}, in ${unitRow(unit).plural}`,
      allowed,
      holds: 'number' as const,
    })),
  };
}

@Injectable()
export class HayObservationImport implements ImportKind<Body> {
  readonly code = 'hay-observations';
  readonly title = 'Looks at the hay';
  readonly description = 'One row a look at a lot: mold, dust, smell, color, heat, the probe. Only what was looked at.';

  constructor(private readonly observations: HayObservationService) {}

  columns(): ColumnSet {
    const amounts = oneOf(SEEN_AMOUNTS);
    return {
      plain: [
        needed('lot', 'The lot that was looked at', 'the name or id of a lot'),
        needed('seen_on', 'Day of the look', DAY_ALLOWED),
        optional('seen_by', 'Who saw it, where it was not you', 'a line of text'),
        optional('bales_checked', 'Bales looked at', aWhole('a whole number above 0')),
        optional('mold', 'Mold seen', amounts),
        optional('bales_moldy', 'Bales that were moldy', aWhole('a whole number')),
        optional('dust', 'Dust when shaken', amounts),
        optional('bales_spoiled', 'Bales that were spoiled', aWhole('a whole number')),
        optional('smell', 'The strongest smell', oneOf(HAY_SMELLS)),
        optional('color', 'Color inside the bale', oneOf(HAY_COLORS)),
        optional('heat_felt', 'Heat felt by the hand', oneOf(HEAT_FELT)),
        optional(
          'moisture_percent',
          'Moisture by the probe',
          aNumber(`${MOISTURE_ALLOWED} with at most two decimal places`),
        ),
        optional('note', 'Free text', 'text'),
      ],
      families: [
        familyOf('probe', 'Temperature that the probe showed', 'temperature', 'degrees, with a point'),
        familyOf('depth', 'How deep the probe was', 'length', 'a decimal, with a point'),
      ],
    };
  }

  sample(): readonly SampleRow[] {
    return [
      { lot: 'Meadow, first cutting', seen_on: '2026-11-02', mold: 'none', smell: 'sweet', color: 'green' },
      { lot: 'Meadow, first cutting', seen_on: '2026-11-05', probe_f: '118', depth_ft: '6' },
    ];
  }

  group(rows: readonly FileRow[]): FileRow[][] {
    return oneByOne(rows);
  }

  parse(draft: RecordDraft, names: NameBook): Body | undefined {
    const row = draft.common('lot');
    names.resolve(draft, '/hayLotId', row, 'lot', 'lot');
    const texts = [
      ['/seenOn', 'seen_on'],
      ['/seenBy', 'seen_by'],
      ['/mold', 'mold'],
      ['/dust', 'dust'],
      ['/smell', 'smell'],
      ['/color', 'color'],
      ['/heatFelt', 'heat_felt'],
      ['/moisturePercent', 'moisture_percent'],
      ['/note', 'note'],
    ] as const;
    for (const [pointer, column] of texts) draft.text(pointer, row, column);
    draft.count('/balesChecked', row, 'bales_checked');
    draft.count('/balesMoldy', row, 'bales_moldy');
    draft.count('/balesSpoiled', row, 'bales_spoiled');
    if (draft.mass('/probe/temperature', row, 'probe') || draft.oneOf(row, 'depth') !== undefined)
      draft.mass('/probe/depth', row, 'depth');
    return draft.parsedBy(bodyOf(createHayObservation));
  }

  async record(tenant: OperationTenant, body: Body): Promise<SubjectRef> {
    return { kind: 'hay-observation', id: (await this.observations.record(tenant, body, undefined)).id };
  }
}
