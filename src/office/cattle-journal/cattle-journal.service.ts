import { Injectable } from '@nestjs/common';
import { z } from 'zod';
import { type HerdJournalEntry, herdPostings } from '../../core/closeout/cattle-postings.js';
import { addDays } from '../../core/time/calendar-day.js';
import { together } from '../../platform/database/together.js';
import type { OperationTenant } from '../../platform/database/types.js';
import { pageOf, readCursor } from '../../platform/http/cursor.js';
import type { AnswerOf, InputOf } from '../../platform/http/endpoint.js';
import { asCurrency, formatMoney } from '../../platform/wire/quantity.schema.js';
import { HerdRead } from '../../records/cattle/herds/herd.read.js';
import { BEFORE_ALL_BOOKS, EntryFlow, type Place } from '../entry-flow.js';
import { AccountMapRead } from '../account-map/account-map.read.js';
import { boughtCattleFlags } from '../bought-cattle.js';
import { CattleJournalRead } from './cattle-journal.read.js';
import type * as api from './cattle-journal.schema.js';

type Answer = AnswerOf<typeof api.getCattleJournal>;
type Item = Answer['items'][number];
type Head = Omit<Answer, 'items' | 'nextCursor'>;
type Query = InputOf<typeof api.getCattleJournal>['query'];

/** Held at once, unless one day has more. */
const ENTRIES_AT_ONCE = 500;
const order = z.tuple([z.iso.date(), z.uuid()]);

/** Cattle and the costs of herds as double entries. */
@Injectable()
export class CattleJournalService {
  /** Pages of one transaction, as those of a file, follow each other. */
  readonly #flows = new WeakMap<OperationTenant, { flow: EntryFlow<Item>; head: Head }>();

  constructor(
    private readonly read: CattleJournalRead,
    private readonly accounts: AccountMapRead,
    private readonly herds: HerdRead,
  ) {}

  async journal(tenant: OperationTenant, { query }: InputOf<typeof api.getCattleJournal>): Promise<Answer> {
    const [on, entryId] = query.cursor === undefined ? [] : readCursor(query.cursor, order);
    const after = on === undefined || entryId === undefined ? undefined : { on, entryId };
    const before = this.#flows.get(tenant);
    const { limit, cursor: _cursor, ...asked } = query;
    const goesOn = before?.flow.goesOn(after, asked) === true;
    const { flow, head } = goesOn
      ? before
      : {
          flow: new EntryFlow(this.#entries(tenant, query, after), after, asked),
          head: await this.#head(tenant, query),
        };
    this.#flows.set(tenant, { flow, head });
    return {
      ...head,
      ...pageOf(
        await flow.next(limit),
        limit,
        (one) => one,
        (one) => [one.on, one.entryId],
      ),
    };
  }

  async #head(tenant: OperationTenant, { from, until, herdId }: Query): Promise<Head> {
    const { operationId, operation } = tenant;
    const [bought, { accounts }] = await together(this.read.boughtOnHand(tenant, until), this.accounts.of(tenant));
    return {
      operationId,
      operation: operation.name,
      invented: operation.invented,
      currency: asCurrency(operation.currency),
      method:
        'Cattle at the money that they were bought, valued, moved or sold for, and other costs of herds, each on its ' +
        'day; what was reversed as of its own day is not there, nor its reversal.',
      flags: herdId === undefined ? boughtCattleFlags(bought, accounts, until) : [],
      from: from ?? null,
      until,
    };
  }

  /** Some days at a time: the two sides of a move, and what was reversed as of its own day, are of one day. */
  async *#entries(tenant: OperationTenant, query: Query, after: Place | undefined): AsyncGenerator<Item> {
    const [{ accounts }, herds] = await together(this.accounts.of(tenant), this.herds.all(tenant));
    const names = new Map(herds.map((herd) => [herd.id, herd.name]));
    const { until, herdId } = query;
    for (let from = after?.on ?? query.from ?? BEFORE_ALL_BOOKS; ;) {
      const days = await this.read.nextDays(tenant, { from, until }, ENTRIES_AT_ONCE);
      const last = days.at(-1);
      if (last === undefined) return;
      for (const one of herdPostings(days, accounts))
        if (
          (herdId === undefined || one.lines.some((line) => line.herdId === herdId)) &&
          (after === undefined || one.on > after.on || (one.on === after.on && one.entryId > after.entryId))
        )
          yield entryAnswer(one, names);
      from = addDays(last.on, 1);
    }
  }
}

function entryAnswer({ lines, ...one }: HerdJournalEntry, names: ReadonlyMap<string, string>): Item {
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
