import { Injectable } from '@nestjs/common';
import { addDays } from '../../core/time/calendar-day.js';
import { Mass } from '../../core/units/mass.js';
import { together } from '../../platform/database/together.js';
import type { OperationTenant } from '../../platform/database/types.js';
import type { AnswerOf, InputOf } from '../../platform/http/endpoint.js';
import { formatMass, type UnitSystem } from '../../platform/wire/quantity.schema.js';
import { lastClosing } from '../../records/kit/posting.read.js';
import { ChangeRead, type ChangedMovementRow, type ChangeRow, type JournalDay } from './change.read.js';
import type * as api from './change.schema.js';
import { CHANGE_OF_ALL, CHANGED_KINDS, type ChangedKind, UNDER_HERD } from './changed-kinds.data.js';

type Answer = AnswerOf<typeof api.getChanges>;
type Item = Answer['items'][number];

const BEFORE_ALL_BOOKS = '1990-01-01';

/** What some changes wrote. */
interface Written {
  movements: readonly ChangedMovementRow[];
  days: readonly JournalDay[];
  /** The first day that no closing holds. */
  firstOpenDay: string;
  /** Which record each was entered in place of. */
  corrects: ReadonlyMap<string, string>;
  /** Of head changes and events, their herds. */
  herds: ReadonlyMap<string, string>;
}

@Injectable()
export class ChangeService {
  constructor(private readonly changes: ChangeRead) {}

  async list(tenant: OperationTenant, { query }: InputOf<typeof api.getChanges>): Promise<Answer> {
    const { since, limit } = query;
    const units = query.units ?? tenant.operation.unitPreference;
    const found = await this.changes.after(tenant, since, limit + 1);
    const rows = found.slice(0, limit);
    const causes = rows.flatMap(causesOf);
    const ids = rows.flatMap(({ record_ids }) => record_ids);
    const ofHerds = rows.flatMap((row) => (row.subject_kind in UNDER_HERD ? row.record_ids : []));
    const [movements, days, closing, corrects, herds] = await together(
      this.changes.movements(tenant, causes),
      this.changes.journalDays(tenant, causes),
      lastClosing(tenant),
      this.changes.corrected(tenant, ids),
      this.changes.herdsOf(tenant, ofHerds),
    );
    const firstOpenDay = closing === undefined ? BEFORE_ALL_BOOKS : addDays(closing.until_on, 1);
    return {
      items: rows.map((row) =>
        itemOf(tenant.operationId, row, { movements, days, firstOpenDay, corrects, herds }, units),
      ),
      next: rows.at(-1)?.sequence ?? since,
      more: found.length > limit,
    };
  }
}

/** What wrote the movements and money of a change: a reversal, or the record itself. */
function causesOf({ record_ids, reversal_id }: ChangeRow): string[] {
  return reversal_id === null ? record_ids : [reversal_id, ...record_ids];
}

function itemOf(operationId: string, row: ChangeRow, written: Written, units: UnitSystem): Item {
  const { subject_kind: kind, record_ids: ids, reversal_id: reversalId } = row;
  // A record's own lines were told when it was new.
  const wrote = reversalId === null ? ids : [reversalId];
  const movements = written.movements.filter(({ cause }) => wrote.includes(cause));
  const days = written.days.filter(({ cause }) => causesOf(row).includes(cause));
  const kinds = new Set([...movements, ...days].flatMap(({ hay_kind }) => hay_kind ?? []));
  const whole = CHANGE_OF_ALL.has(row.action);
  const first = whole
    ? written.firstOpenDay
    : [...movements.map((one) => one.effective_on), ...days.map((one) => one.on)].sort()[0];
  const isNew = whatOf(row.action) === 'new';
  const correctsId = (isNew ? ids.map((id) => written.corrects.get(id)).find((id) => id !== undefined) : null) ?? null;
  return {
    sequence: row.sequence,
    recordedAt: row.recorded_at,
    what: correctsId === null ? whatOf(row.action) : 'correction',
    kind,
    recordIds: ids,
    addresses: addressesOf(`/v1/operations/${operationId}`, kind, ids, written.herds),
    correctsId,
    reversalId,
    movements: movements.map((one) => ({
      id: one.id,
      kind: one.kind,
      effectiveOn: one.effective_on,
      hayLotId: one.hay_lot_id,
      hayKind: one.hay_kind,
      change: formatMass(Mass.kilograms(one.kilograms), units, 'large'),
      herdId: one.herd_id,
      reversesId: one.reverses_id,
    })),
    journalFrom: first ?? null,
    journalKinds: whole ? [] : [...kinds].sort(),
  };
}

function addressesOf(
  books: string,
  kind: ChangedKind,
  ids: readonly string[],
  herds: ReadonlyMap<string, string>,
): string[] {
  if (kind === 'operation') return [books];
  if (kind === 'account-map') return [`${books}/account-map`];
  const [path, underHerd] = [CHANGED_KINDS[kind], UNDER_HERD[kind]];
  return ids.flatMap((id) => {
    if (path !== null) return [`${books}/${path}/${id}`];
    const herdId = herds.get(id);
    return underHerd === undefined || herdId === undefined ? [] : [`${books}/herds/${herdId}/${underHerd}/${id}`];
  });
}

function whatOf(action: string): Item['what'] {
  if (/\.(reverse|reopen)$/.test(action)) return 'corrected';
  return /\.(create|close)$/.test(action) ? 'new' : 'changed';
}
