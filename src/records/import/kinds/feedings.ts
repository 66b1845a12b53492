import { Injectable } from '@nestjs/common';
import { LAYER_ROLES, LAYING_WEATHER } from '../../../core/laying/layer.js';
import type { OperationTenant, SubjectRef } from '../../../platform/database/types.js';
import { createFeeding } from '../../feedings/feeding.schema.js';
import { FeedingService } from '../../feedings/feeding.service.js';
import { aNumber, aWhole, type ColumnSet, massFamily, needed, oneOf, optional, YES_OR_NO } from '../columns.js';
import type { FileRow } from '../csv-file.js';
import { bodyOf, DAY_ALLOWED, groupedBy, type ImportKind, INSTANT_ALLOWED, type SampleRow } from '../import-kind.js';
import type { NameBook } from '../name-book.js';
import type { RecordDraft } from '../record-draft.js';
import { FEEDING_METHODS } from '../../../platform/wire/words.data.js';

type Body = Parameters<FeedingService['write']>[1];

/** What is given once per feeding; its other rows may leave it out. */
const SHARED = [
  ['/fedOn', 'fed_on'],
  ['/fedAt', 'fed_at'],
  ['/method', 'method'],
  ['/weather', 'weather'],
  ['/note', 'note'],
] as const;

@Injectable()
export class FeedingImport implements ImportKind<Body> {
  readonly code = 'feedings';
  readonly title = 'Feedings';
  readonly description =
    'One row a layer, or a part of a mixed layer. Rows with the same word under "feeding" make one feeding, ' +
    'bottom layer first; what is the same for all of them needs to be in only one of them. A row without ' +
    'such a word is a feeding of its own.';

  constructor(private readonly feedings: FeedingService) {}

  columns(): ColumnSet {
    return {
      plain: [
        optional('feeding', 'A word or number of your own that holds the rows of one feeding together', 'any text'),
        needed('herd', 'Who was fed', 'the name or id of a herd'),
        optional('place', "Where, if not at the herd's place", 'the name or id of a place'),
        needed('fed_on', 'Day', DAY_ALLOWED),
        optional('fed_at', 'Time, if it was noted', INSTANT_ALLOWED),
        optional('head_fed', "Head that were fed; the herd's head on that day if empty", aWhole('a whole number')),
        needed('method', 'How it was offered', oneOf(FEEDING_METHODS)),
        optional('weather', 'Weather or state of the hay; dry if empty', oneOf(LAYING_WEATHER)),
        optional('blended', 'Whether the layers were actually mixed', YES_OR_NO),
        optional(
          'layer',
          'Number of the layer, 1 is the bottom; rows of one number are parts of one layer',
          aWhole('1 to 12'),
        ),
        needed('role', 'What the layer is there for', oneOf(LAYER_ROLES)),
        needed('lot', 'The lot it came from', 'the name or id of a lot'),
        optional('bales', 'Bales, instead of a weight', aNumber('a number above 0, at most three decimals')),
        optional('free_choice', 'Whether it is kept in front of the cattle and not laid; no if empty', YES_OR_NO),
        optional('note', 'Free text', 'text'),
      ],
      families: [
        massFamily('weight', 'Weight of this layer or part'),
        massFamily('refused', 'Hay left uneaten and taken up'),
        massFamily('wasted', 'Hay trampled or soiled, as measured'),
      ],
    };
  }

  sample(): readonly SampleRow[] {
    const first = {
      feeding: '1',
      herd: 'Weaned calves',
      fed_on: '2027-01-10',
      method: 'windrow-on-ground',
      weather: 'dry',
    };
    return [
      { ...first, layer: '1', role: 'coarse', lot: 'Meadow, first cutting', weight_lb: '1250', wasted_lb: '90' },
      { ...first, layer: '2', role: 'rich', lot: 'Alfalfa, second cutting', weight_lb: '420' },
      {
        ...first,
        feeding: '2',
        fed_on: '2027-01-11',
        layer: '1',
        role: 'mixed',
        lot: 'Meadow, first cutting',
        bales: '1.5',
      },
    ];
  }

  group(rows: readonly FileRow[]): FileRow[][] {
    return groupedBy(rows, (row) => row.cells.get('feeding'));
  }

  parse(draft: RecordDraft, names: NameBook): Body | undefined {
    names.resolve(draft, '/herdId', draft.common('herd'), 'herd', 'herd');
    names.resolve(draft, '/placeId', draft.common('place'), 'place', 'place');
    for (const [pointer, column] of SHARED) draft.text(pointer, draft.common(column), column);
    draft.count('/headFed', draft.common('head_fed'), 'head_fed');
    draft.yesNo('/blended', draft.common('blended'), 'blended');
    for (const stem of ['refused', 'wasted']) {
      const given = draft.rows.filter((row) => draft.oneOf(row, stem) !== undefined);
      const [row, again] = given;
      if (again !== undefined)
        draft.complain(
          again.number,
          draft.oneOf(again, stem)?.column ?? null,
          'told-twice',
          draft.oneOf(again, stem)?.given ?? null,
          'one figure for the whole feeding',
          `What was ${stem} is given once for a feeding.`,
        );
      if (row !== undefined) draft.mass(`/${stem}`, row, stem);
    }
    this.#layers(draft, names);
    return draft.parsedBy(bodyOf(createFeeding));
  }

  async record(tenant: OperationTenant, body: Body): Promise<SubjectRef> {
    return { kind: 'feeding', id: (await this.feedings.write(tenant, body)).row.id };
  }

  async recordAll(tenant: OperationTenant, bodies: readonly Body[]): Promise<SubjectRef[]> {
    return (await this.feedings.writeAll(tenant, bodies)).map((id) => ({ kind: 'feeding', id }));
  }

  #layers(draft: RecordDraft, names: NameBook): void {
    const layers = groupedBy(draft.rows, (row) => row.cells.get('layer'));
    for (const [first] of layers) {
      const number = first?.cells.get('layer');
      if (first !== undefined && number !== undefined && !/^([1-9]|1[0-2])$/.test(number))
        draft.complain(
          first.number,
          'layer',
          'invalid-value',
          number,
          '1 to 12, 1 is the bottom',
          'The number of the layer cannot be used.',
        );
      else if (
        first !== undefined &&
        number === undefined &&
        layers.some((rows) => rows[0]?.cells.has('layer') === true)
      )
        draft.complain(
          first.number,
          'layer',
          'missing',
          null,
          'a number in every row of the feeding, or in none',
          'Some rows of this feeding have a layer number and this one has none.',
        );
    }
    const inOrder = [...layers].sort(
      ([a], [b]) => Number(a?.cells.get('layer') ?? 0) - Number(b?.cells.get('layer') ?? 0),
    );
    inOrder.forEach((rows, index) => {
      rows.forEach((row, part) => {
        if (part === 0) draft.text(`/layers/${index}/role`, row, 'role');
        else if (row.cells.get('role') !== rows[0]?.cells.get('role'))
          draft.complain(
            row.number,
            'role',
            'differs-within-record',
            row.cells.get('role') ?? null,
            `"${rows[0]?.cells.get('role') ?? ''}" as in row ${rows[0]?.number ?? 0}`,
            'Parts of one layer have one role.',
          );
        const at = `/layers/${index}/parts/${part}`;
        names.resolve(draft, `${at}/hayLotId`, row, 'lot', 'lot');
        draft.yesNo(`${at}/freeChoice`, row, 'free_choice');
        if (row.cells.has('bales') && draft.oneOf(row, 'weight') === undefined) draft.text(`${at}/bales`, row, 'bales');
        else if (row.cells.has('bales'))
          draft.complain(
            row.number,
            'bales',
            'two-weights',
            row.cells.get('bales') ?? null,
            'a weight or bales',
            'The amount is given twice, by weight and in bales.',
          );
        else draft.mass(`${at}/weight`, row, 'weight');
      });
    });
  }
}
