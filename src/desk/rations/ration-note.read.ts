import { Injectable } from '@nestjs/common';
import type { Selectable } from 'kysely';
import { z } from 'zod';
import type { DB, OperationTenant } from '../../platform/database/types.js';
import { type PageAsked, readCursor } from '../../platform/http/cursor.js';

export type RationNoteRow = Selectable<DB['ration_note']>;

@Injectable()
export class RationNoteRead {
  /** Notes on a ration with the name of who wrote them, where the person asking may know it; oldest first. */
  async page(
    { db, operationId }: OperationTenant,
    rationId: string,
    query: PageAsked,
  ): Promise<(RationNoteRow & { writer: string | null })[]> {
    let select = db
      .selectFrom('ration_note')
      .leftJoin('person', 'person.id', 'ration_note.recorded_by')
      .selectAll('ration_note')
      .select('person.name as writer')
      .where('operation_id', '=', operationId)
      .where('ration_id', '=', rationId)
      .orderBy('ration_note.id')
      .limit(query.limit + 1);
    if (query.cursor !== undefined)
      select = select.where('ration_note.id', '>', readCursor(query.cursor, z.tuple([z.uuid()]))[0]);
    return select.execute();
  }

  /** Name of the person asking. */
  async ownName({ db, personId }: OperationTenant): Promise<string | null> {
    return (await db.selectFrom('person').select('name').where('id', '=', personId).executeTakeFirst())?.name ?? null;
  }
}
