import { Injectable } from '@nestjs/common';
import type { Insertable } from 'kysely';
import { insertedRows } from '../../../platform/database/rows.js';
import type { DB, OperationTenant } from '../../../platform/database/types.js';
import type { HeadChangeRow } from './head-change.read.js';

@Injectable()
export class HeadChangeStore {
  /** In one statement: the head is checked after all of them. */
  async insert({ db }: OperationTenant, rows: readonly Insertable<DB['head_change']>[]): Promise<HeadChangeRow[]> {
    return insertedRows(db, 'head_change', rows);
  }
}
