import { Injectable } from '@nestjs/common';
import { z } from 'zod';
import { type HerdJournalEntry, herdPostings } from '../../core/closeout/cattle-postings.js';
import { together } from '../../platform/database/together.js';
import type { OperationTenant } from '../../platform/database/types.js';
import { pageOf, readCursor } from '../../platform/http/cursor.js';
import type { AnswerOf, InputOf } from '../../platform/http/endpoint.js';
import { formatMoney } from '../../platform/wire/quantity.schema.js';
import { HerdRead } from '../../records/cattle/herds/herd.read.js';
import { AccountMapRead } from '../account-map/account-map.read.js';
import { CattleJournalRead } from './cattle-journal.read.js';
import type * as api from './cattle-journal.schema.js';

type Answer = AnswerOf<typeof api.getCattleJournal>;
const order = z.tuple([z.iso.date(), z.uuid()]);

/** Cattle and the costs of herds as double entries. */
@Injectable()
export class CattleJournalService {
  constructor(
    private readonly read: CattleJournalRead,
    private readonly accounts: AccountMapRead,
    private readonly herds: HerdRead,
  ) {}

  async journal(tenant: OperationTenant, { query }: InputOf<typeof api.getCattleJournal>): Promise<Answer> {
    const [entered, { accounts }, herds] = await together(
      this.read.entries(tenant, query),
      this.accounts.of(tenant),
      this.herds.all(tenant),
    );
    const names = new Map(herds.map((herd) => [herd.id, herd.name]));
    const after = query.cursor === undefined ? undefined : readCursor(query.cursor, order);
    const found = herdPostings(entered, accounts).filter(
      ({ on, entryId, lines }) =>
        (query.herdId === undefined || lines.some(({ herdId }) => herdId === query.herdId)) &&
        (after === undefined || on > after[0] || (on === after[0] && entryId > after[1])),
    );
    return pageOf(
      found.slice(0, query.limit + 1),
      query.limit,
      (one) => entryAnswer(one, names),
      (one) => [one.on, one.entryId],
    );
  }
}

function entryAnswer({ lines, ...one }: HerdJournalEntry, names: ReadonlyMap<string, string>): Answer['items'][number] {
  return {
    ...one,
    lines: lines.map((line) => ({
      ...line,
      debit: formatMoney(line.debit),
      credit: formatMoney(line.credit),
      herd: names.get(line.herdId) ?? '',
    })),
  };
}
