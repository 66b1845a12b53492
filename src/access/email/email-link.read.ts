import { Injectable } from '@nestjs/common';
import type { Selectable } from 'kysely';
import type { DB, Tenant } from '../../platform/database/types.js';

export type EmailLinkRow = Selectable<DB['email_link']>;
/** With what became of its mail. */
export type MailedLinkRow = EmailLinkRow &
  Pick<Selectable<DB['mail_outbox']>, 'sent_at' | 'given_up_at' | 'last_problem'>;

/** Links of the person asking. */
@Injectable()
export class EmailLinkRead {
  async latest({ db, personId }: Tenant): Promise<MailedLinkRow | undefined> {
    return db
      .selectFrom('email_link')
      .innerJoin('mail_outbox', 'mail_outbox.link_id', 'email_link.id')
      .selectAll('email_link')
      .select(['mail_outbox.sent_at', 'mail_outbox.given_up_at', 'mail_outbox.last_problem'])
      .where('email_link.person_id', '=', personId)
      .orderBy('email_link.id', 'desc')
      .limit(1)
      .executeTakeFirst();
  }

  /** The link that a proof opens, good or not; locked, so that nobody else uses it until the transaction ends. */
  async hold({ db, personId }: Tenant, proof: string): Promise<EmailLinkRow | undefined> {
    return db
      .selectFrom('email_link')
      .selectAll()
      .where('person_id', '=', personId)
      .where('token_hash', '=', proof)
      .forUpdate()
      .executeTakeFirst();
  }
}
