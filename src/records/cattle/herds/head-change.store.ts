import { Injectable } from '@nestjs/common';
import type { Insertable } from 'kysely';
import type { DB, OperationTenant } from '../../../platform/database/types.js';
import type { HeadChangeRow } from './head-change.read.js';

@Injectable()
export class HeadChangeStore {
  /** One change, or both sides of a move. */
  async insert({ db }: OperationTenant, rows: readonly Insertable<DB['head_change']>[]): Promise<HeadChangeRow[]> {
    return db
      .insertInto('head_change')
      .values([...rows])
      .returningAll()
      .execute();
  }
}
