import { Injectable } from '@nestjs/common';
import type { OperationTenant } from '../../platform/database/types.js';
import { HayLotRead, holdingWords } from '../hay/lots/hay-lot.read.js';
import { NameBook, NAMED_KINDS } from './name-book.js';

@Injectable()
export class NameBooks {
  constructor(private readonly lots: HayLotRead) {}

  async of(tenant: OperationTenant): Promise<NameBook> {
    const { db, operationId } = tenant;
    const book = new NameBook();
    const tables = { ranch: 'ranch', place: 'place', herd: 'herd', lot: 'hay_lot' } as const;
    for (const kind of NAMED_KINDS) {
      for (const row of await db
        .selectFrom(tables[kind])
        .select(['id', 'name'])
        .where('operation_id', '=', operationId)
        .execute())
        book.add(kind, row.name.trim(), row.id);
    }
    for (const lot of await this.lots.holdings(tenant, book.ambiguous('lot')))
      book.describe(lot.id, holdingWords(lot, tenant.operation.unitPreference));
    return book;
  }
}
