import { Injectable } from '@nestjs/common';
import { type RawBuilder, sql, type Selectable, type Transaction } from 'kysely';
import { Database } from '../../platform/database/database.js';
import type { DB, Tenant } from '../../platform/database/types.js';
import { newId } from '../../platform/identifiers.js';
import { SecretBox } from '../../platform/secrets/secret-box.js';
import type { MailContent } from './mail-texts.js';

type MailRow = Selectable<DB['mail_outbox']>;
/** Mail that one server has taken on itself to send. */
export type ClaimedMail = Pick<MailRow, 'id' | 'to_address' | 'attempts' | 'give_up_at'> & { sealed: string };

/** Longer than one mail can take, so that no other server sends it meanwhile; after that one takes it up again. */
const LEASE_MINUTES = 10;
/** Mail that one address gets, whoever asks for it; more waits. */
const TO_ADDRESS_AN_HOUR = 4;
const TO_ADDRESS_A_DAY = 12;
/**
 * Whatever others have used up, so much a day goes for the people whom one operation vouched for: accounts are made by
 * invitations, so whoever would keep somebody from proving an address needs an operation for every so many mails.
 */
const OF_VOUCHER_A_DAY = 3;
/** And that has an end too, for the sake of the letter box. */
const TO_ADDRESS_A_DAY_MOST = 30;
/**
 * Told of a mail server that is away and of an address that has had its share alike: which of them it was would tell
 * whether others name the address.
 */
export const NOT_OUT_YET =
  'No mail has gone out: the mail server could not be reached or took none, or the address has had as much lately as ' +
  'one gets. It is tried again until the link is over.';
const KEPT_DAYS = 30;
const HOUR_MS = 3_600_000;

/** Mail that waits to be sent. It is written with what it is about, and sent once that is committed. */
@Injectable()
export class MailOutboxStore {
  constructor(
    private readonly database: Database,
    private readonly secrets: SecretBox,
  ) {}

  /** In the transaction of the person it is about. */
  async put(
    { db, personId, moment }: Tenant,
    { to, content, giveUpAt, linkId }: { to: string; content: MailContent; giveUpAt: string; linkId?: string },
  ): Promise<void> {
    const id = newId();
    await db
      .insertInto('mail_outbox')
      .values({
        id,
        person_id: personId,
        vouched_by: (e) => e.selectFrom('person').select('vouched_by_operation').where('id', '=', personId),
        link_id: linkId ?? null,
        to_address: to,
        sealed: this.secrets.seal(JSON.stringify(content), id),
        created_at: moment.toISOString(),
        next_try_at: moment.toISOString(),
        give_up_at: giveUpAt,
      })
      .execute();
  }

  /** Links of the person asking that wait to be sent are not needed any more. */
  async withdraw({ db, personId, moment }: Tenant): Promise<void> {
    await db
      .updateTable('mail_outbox')
      .set({ given_up_at: moment.toISOString(), sealed: null })
      .where('person_id', '=', personId)
      .where('link_id', 'is not', null)
      .where('sent_at', 'is', null)
      .where('given_up_at', 'is', null)
      .execute();
  }

  /** Gives up what helps nobody any more, and forgets what is long done. */
  async tidy(moment: Date): Promise<void> {
    const at = moment.toISOString();
    await this.#mailing(moment, async (db) => {
      await db
        .updateTable('mail_outbox')
        .set({ given_up_at: at, sealed: null })
        .where('give_up_at', '<=', at)
        .where('sent_at', 'is', null)
        .where('given_up_at', 'is', null)
        .execute();
      await db
        .deleteFrom('mail_outbox')
        .where('created_at', '<', new Date(moment.getTime() - KEPT_DAYS * 24 * HOUR_MS).toISOString())
        .where('sealed', 'is', null)
        .execute();
    });
  }

  /** To be asked when none can be claimed: whoever waits for what is due is told that it has not gone out. */
  async noteHeld(moment: Date): Promise<void> {
    await this.#mailing(moment, (db) =>
      db
        .updateTable('mail_outbox')
        .set({ last_problem: NOT_OUT_YET })
        .where('next_try_at', '<=', moment.toISOString())
        .where('sent_at', 'is', null)
        .where('given_up_at', 'is', null)
        .where('last_problem', 'is', null)
        .execute(),
    );
  }

  /** The mail that has been due longest, for this server alone to send; undefined if none is. */
  async claim(moment: Date): Promise<ClaimedMail | undefined> {
    const at = moment.toISOString();
    return this.#mailing(moment, async (db) => {
      const due = await db
        .selectFrom('mail_outbox as due')
        .selectAll()
        .where('next_try_at', '<=', at)
        .where('sent_at', 'is', null)
        .where('given_up_at', 'is', null)
        .where(sentTo('1 day', at), '<', String(TO_ADDRESS_A_DAY_MOST))
        .where((e) =>
          e.or([
            e(sentTo('1 day', at, OF_SAME_VOUCHER), '<', String(OF_VOUCHER_A_DAY)),
            e.and([
              e(sentTo('1 hour', at), '<', String(TO_ADDRESS_AN_HOUR)),
              e(sentTo('1 day', at), '<', String(TO_ADDRESS_A_DAY)),
            ]),
          ]),
        )
        .orderBy('next_try_at')
        .orderBy('id')
        .limit(1)
        .forUpdate()
        .skipLocked()
        .executeTakeFirst();
      if (due === undefined || due.sealed === null) return undefined;
      const leasedUntil = new Date(moment.getTime() + LEASE_MINUTES * 60_000).toISOString();
      await db
        .updateTable('mail_outbox')
        .set({ next_try_at: leasedUntil, attempts: due.attempts + 1 })
        .where('id', '=', due.id)
        .execute();
      return { ...due, sealed: due.sealed, attempts: due.attempts + 1 };
    });
  }

  async sent(id: string, moment: Date): Promise<void> {
    await this.#end(id, moment, { sent_at: moment.toISOString(), last_problem: null });
  }

  /** It is tried again then. */
  async failed(id: string, nextTryAt: Date, problem: string, moment: Date): Promise<void> {
    await this.#mailing(moment, (db) =>
      db
        .updateTable('mail_outbox')
        .set({ next_try_at: nextTryAt.toISOString(), last_problem: problem })
        .where('id', '=', id)
        .where('given_up_at', 'is', null)
        .execute(),
    );
  }

  async refused(id: string, problem: string, moment: Date): Promise<void> {
    await this.#end(id, moment, { given_up_at: moment.toISOString(), last_problem: problem });
  }

  async #end(
    id: string,
    moment: Date,
    as: Partial<Pick<MailRow, 'sent_at' | 'given_up_at' | 'last_problem'>>,
  ): Promise<void> {
    await this.#mailing(moment, (db) =>
      db
        .updateTable('mail_outbox')
        .set({ ...as, sealed: null })
        .where('id', '=', id)
        .execute(),
    );
  }

  #mailing<T>(moment: Date, work: (db: Transaction<DB>) => Promise<T>): Promise<T> {
    return this.database.withProof({ mailing: 'yes', moment: moment.toISOString() }, work);
  }
}

const OF_SAME_VOUCHER = sql`AND other.vouched_by IS NOT DISTINCT FROM due.vouched_by`;

/** How many the address of `due` was sent within this time, in all or of these. */
function sentTo(within: '1 hour' | '1 day', at: string, these: RawBuilder<unknown> = sql``) {
  return sql<string>`(SELECT count(*) FROM mail_outbox other WHERE other.to_address = due.to_address
    AND other.sent_at > ${at}::timestamptz - ${within}::interval ${these})`;
}
