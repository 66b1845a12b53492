import type { Insertable, Updateable } from 'kysely';
import { newId } from '../identifiers.js';
import type { DB, OperationTenant } from './types.js';

type Stamp = 'operation_id' | 'id' | 'recorded_at' | 'recorded_by' | 'created_at' | 'version';

/** A row as a store takes it: its content, without what the transaction stamps on every row. */
export type NewRow<Table extends keyof DB> = Omit<Insertable<DB[Table]>, Stamp>;

/** The columns that a change sets; those left out stay as they are. */
export type ChangedRow<Table extends keyof DB> = Partial<Omit<Updateable<DB[Table]>, Stamp>>;

/** Columns of every record: whose books, which record, when and by whom. */
export function recordStamp(
  { operationId, moment, personId }: OperationTenant,
  id = newId(),
): { operation_id: string; id: string; recorded_at: string; recorded_by: string } {
  return { operation_id: operationId, id, recorded_at: moment.toISOString(), recorded_by: personId };
}

/** First columns of everything that belongs to an operation: whose it is, which one, since when. */
export function thingStamp(
  { operationId, moment }: Pick<OperationTenant, 'operationId' | 'moment'>,
  id = newId(),
): { operation_id: string; id: string; created_at: string } {
  return { operation_id: operationId, id, created_at: moment.toISOString() };
}
