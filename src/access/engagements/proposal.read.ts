import { Injectable } from '@nestjs/common';
import type { Selectable } from 'kysely';
import { inIdOrder } from '../../platform/database/id-order.js';
import type { DB, Tenant } from '../../platform/database/types.js';
import type { PageAsked } from '../../platform/http/cursor.js';
import { notFound, Problem } from '../../platform/http/problem.js';
import { Outside } from '../../platform/outside.js';
import { PersonRead } from '../people/person.read.js';
import { knowOwnEmail } from './engagement.read.js';

export type ProposalRow = Selectable<DB['engagement_proposal']>;

/** Proposals that the person asking made, or that were made to their email. */
@Injectable()
export class ProposalRead {
  constructor(
    private readonly outside: Outside,
    private readonly people: PersonRead,
  ) {}

  /** With an expected version the row is locked. @throws Problem not-found, changed-meanwhile */
  async one(tenant: Tenant, id: string, expectedVersion?: number): Promise<ProposalRow> {
    await this.#knowOwnEmail(tenant);
    const select = tenant.db.selectFrom('engagement_proposal').selectAll().where('id', '=', id);
    const row = await (expectedVersion === undefined ? select : select.forUpdate()).executeTakeFirst();
    if (row === undefined) throw notFound('proposal');
    if (expectedVersion !== undefined && row.version !== expectedVersion) throw new Problem('changed-meanwhile');
    return row;
  }

  /** A proposal from somebody else to the asker's email, locked. */
  async received(tenant: Tenant, id: string): Promise<ProposalRow> {
    await this.#knowOwnEmail(tenant);
    const row = await tenant.db
      .selectFrom('engagement_proposal')
      .selectAll()
      .where('id', '=', id)
      .where('consultant_id', '<>', tenant.personId)
      .forUpdate()
      .executeTakeFirst();
    if (row === undefined) throw notFound('proposal');
    return row;
  }

  async page(tenant: Tenant, query: PageAsked): Promise<ProposalRow[]> {
    await this.#knowOwnEmail(tenant);
    return inIdOrder(tenant.db.selectFrom('engagement_proposal').selectAll(), query, 'desc').execute();
  }

  /** How many of the asker's own proposals wait for an answer. */
  async countOpen({ db, personId, moment }: Tenant): Promise<number> {
    const { open } = await db
      .selectFrom('engagement_proposal')
      .select((e) => e.fn.countAll<string>().as('open'))
      .where('consultant_id', '=', personId)
      .where('state', '=', 'open')
      .where('expires_at', '>', moment.toISOString())
      .executeTakeFirstOrThrow();
    return Number(open);
  }

  /** An address that anybody may name shows nothing that was sent to it, where a mail could have shown whose it is. */
  async #knowOwnEmail(tenant: Tenant): Promise<void> {
    if (this.outside.mail === undefined || (await this.people.one(tenant.db, tenant.personId)).email_proven_at !== null)
      await knowOwnEmail(tenant);
  }
}
