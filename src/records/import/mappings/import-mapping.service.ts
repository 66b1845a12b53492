import { Injectable } from '@nestjs/common';
import { nameKey } from '../../../core/units/name-key.js';
import type { OperationTenant } from '../../../platform/database/types.js';
import { pageOf } from '../../../platform/http/cursor.js';
import type { AnswerOf, InputOf } from '../../../platform/http/endpoint.js';
import { Problem, ruleBroken } from '../../../platform/http/problem.js';
import { asCurrency } from '../../../platform/wire/quantity.schema.js';
import { allColumns } from '../columns.js';
import type { ImportKindCode } from '../import-kind.js';
import { ImportKinds } from '../import-kinds.js';
import { IMPORT_ACCESS } from '../import.schema.js';
import { meantByName } from '../reading/column-mapping.js';
import { shapeOf } from '../reading/understood-sheet.js';
import { ImportMappingRead, type ImportMappingRow } from './import-mapping.read.js';
import type * as api from './import-mapping.schema.js';
import { savedByNote } from './import-mapping.schema.js';
import { ImportMappingStore } from './import-mapping.store.js';

type Answer = AnswerOf<typeof api.getImportMapping>;

/** What the headers of files mean, where their words alone do not say it. */
@Injectable()
export class ImportMappingService {
  constructor(
    private readonly read: ImportMappingRead,
    private readonly store: ImportMappingStore,
    private readonly kinds: ImportKinds,
  ) {}

  async create(tenant: OperationTenant, { body }: InputOf<typeof api.createImportMapping>): Promise<Answer> {
    refuseTo(tenant, body.kind);
    const set = this.kinds.of(body.kind).columns(asCurrency(tenant.operation.currency));
    const headers = new Set(body.header.map(nameKey));
    for (const [at, { header, column }] of body.columns.entries()) {
      if (!headers.has(nameKey(header)))
        throw ruleBroken(
          `#/columns/${at}/header`,
          'not-a-header',
          header,
          `one of ${body.header.join(', ')}`,
          'It is not among the headers of the file.',
        );
      if (column !== null && column !== header && allColumns(set).some(({ name }) => name === header))
        throw ruleBroken(
          `#/columns/${at}/column`,
          'a-columns-own-name',
          column,
          `${header}, or nothing`,
          'The header is the name of a column, which says its unit: nothing else can be meant by it.',
        );
      if (meantByName(column, set) === undefined)
        throw ruleBroken(
          `#/columns/${at}/column`,
          'unknown-column',
          column,
          [...allColumns(set).map(({ name }) => name), ...set.families.map(({ stem }) => stem)].join(', '),
          'There is no such column in a file of this kind.',
        );
    }
    const row = await this.store.insert(tenant, {
      kind: body.kind,
      shape: shapeOf(body.header),
      header: JSON.stringify(body.header),
      columns: JSON.stringify(body.columns),
      dates: body.dates ?? null,
      decimals: body.decimals ?? null,
    });
    await tenant.audit({
      action: 'import-mapping.create',
      subjectKind: 'import-mapping',
      subjectId: row.id,
      after: row,
    });
    return answerFrom(await this.read.one(tenant, row.id));
  }

  async list(
    tenant: OperationTenant,
    { query }: InputOf<typeof api.listImportMappings>,
  ): Promise<AnswerOf<typeof api.listImportMappings>> {
    return pageOf(await this.read.page(tenant, query), query.limit, answerFrom, (row) => [row.id]);
  }

  async get(tenant: OperationTenant, { params }: InputOf<typeof api.getImportMapping>): Promise<Answer> {
    return answerFrom(await this.read.one(tenant, params.importMappingId));
  }

  /** Done a second time it changes nothing. */
  async end(tenant: OperationTenant, { params }: InputOf<typeof api.endImportMapping>): Promise<void> {
    const row = await this.read.one(tenant, params.importMappingId);
    refuseTo(tenant, row.kind as ImportKindCode);
    if (row.ended_at !== null) return;
    await this.store.insert(tenant, {
      kind: row.kind,
      shape: row.shape,
      header: JSON.stringify(row.header),
      columns: JSON.stringify([]),
      dates: null,
      decimals: null,
      ends_id: row.id,
    });
    await tenant.audit({
      action: 'import-mapping.end',
      subjectKind: 'import-mapping',
      subjectId: row.id,
      before: { kind: row.kind, shape: row.shape, columns: row.columns, recordedBy: row.recorded_by },
    });
  }
}

function answerFrom(row: ImportMappingRow): Answer {
  return {
    id: row.id,
    kind: row.kind as Answer['kind'],
    shape: row.shape,
    header: row.header as string[],
    columns: row.columns as Answer['columns'],
    dates: row.dates,
    decimals: row.decimals,
    recordedAt: row.recorded_at,
    recordedBy: row.recorded_by,
    recordedByName: row.recorded_by_name,
    recordedByNote: savedByNote(row),
    endedAt: row.ended_at,
    endedBy: row.ended_by,
  };
}

/** Whoever may not send such files does not say how those of others are read. */
function refuseTo(tenant: OperationTenant, kind: ImportKindCode): void {
  const act = IMPORT_ACCESS[kind];
  if (!tenant.may(act, tenant.operationId))
    throw new Problem('not-permitted', `Saying how files of ${kind} are read needs the permission "${act}".`);
}
