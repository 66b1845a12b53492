import { Injectable } from '@nestjs/common';
import type { OperationTenant } from '../../platform/database/types.js';
import { NameBook, NAMED_KINDS } from './name-book.js';

@Injectable()
export class NameBooks {
  async of({ db, operationId }: OperationTenant): Promise<NameBook> {
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
    return book;
  }
}
