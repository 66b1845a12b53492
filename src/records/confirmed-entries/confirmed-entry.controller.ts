import { Controller } from '@nestjs/common';
import { pageOf } from '../../platform/http/cursor.js';
import { type AnswerOf, type CallOf, Endpoint, Received } from '../../platform/http/endpoint.js';
import { ConfirmedEntryRead } from './confirmed-entry.read.js';
import * as api from './confirmed-entry.schema.js';

type Answer = AnswerOf<typeof api.listConfirmedEntries>;

@Controller()
export class ConfirmedEntryController {
  constructor(private readonly confirmed: ConfirmedEntryRead) {}

  @Endpoint(api.listConfirmedEntries)
  async list(@Received() { tenant, input }: CallOf<typeof api.listConfirmedEntries>): Promise<Answer> {
    const rows = await this.confirmed.page(tenant, input.query);
    return pageOf(
      rows,
      input.query.limit,
      ({ id, code, pointer, given, usual, source, message, reversed, ...row }) => ({
        id,
        record: { kind: row.subject_kind as Answer['items'][number]['record']['kind'], id: row.subject_id },
        on: row.happened_on,
        code,
        pointer,
        given,
        usual,
        source,
        message,
        reversed,
        recordedAt: row.recorded_at,
        recordedBy: row.recorded_by,
      }),
      (row) => [row.happened_on, row.id],
    );
  }
}
