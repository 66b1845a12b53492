import { Injectable } from '@nestjs/common';
import type { Selectable } from 'kysely';
import { inIdOrder } from '../../platform/database/id-order.js';
import { showProof } from '../../platform/database/proof.js';
import type { DB, Tenant } from '../../platform/database/types.js';
import type { PageAsked } from '../../platform/http/cursor.js';
import { notFound, Problem } from '../../platform/http/problem.js';
import { hashCode } from '../sign-in/tokens.js';
import { knowOwnEmail } from './engagement.read.js';

export type ProposalRow = Selectable<DB['engagement_proposal']>;

/** With what a proposal is found. */
interface Shown {
  /** Locks the row, and must be its version. */
  expectedVersion?: number;
  /** The code that its consultant handed over. */
  code?: string | undefined;
}

/**
 * Proposals that the person asking made, or that were made to their email: once that is proven, and before with the
 * code of the proposal, since anybody may name an address.
 */
@Injectable()
export class ProposalRead {
  /** @throws Problem not-found, changed-meanwhile */
  async one(tenant: Tenant, id: string, { expectedVersion, code }: Shown = {}): Promise<ProposalRow> {
    await this.#know(tenant, code);
    const select = tenant.db.selectFrom('engagement_proposal').selectAll().where('id', '=', id);
    const row = await (expectedVersion === undefined ? select : select.forUpdate()).executeTakeFirst();
    if (row === undefined) throw notFound('proposal');
    if (expectedVersion !== undefined && row.version !== expectedVersion) throw new Problem('changed-meanwhile');
    return row;
  }

  /** A proposal from somebody else to the asker's email, locked. */
  async received(tenant: Tenant, id: string, { code }: Pick<Shown, 'code'>): Promise<ProposalRow> {
    await this.#know(tenant, code);
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

  /** What was proposed to the address of the person asking, by its code. */
  async receivedWith(tenant: Tenant, code: string): Promise<ProposalRow> {
    await this.#know(tenant, code);
    const row = await tenant.db
      .selectFrom('engagement_proposal')
      .selectAll()
      .where('code_hash', '=', hashCode(code))
      .where('consultant_id', '<>', tenant.personId)
      .executeTakeFirst();
    if (row === undefined) throw notFound('proposal with this code');
    return row;
  }

  async page(tenant: Tenant, query: PageAsked): Promise<ProposalRow[]> {
    await this.#know(tenant, undefined);
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

  async #know(tenant: Tenant, code: string | undefined): Promise<void> {
    if (code !== undefined) await showProof(tenant.db, { proof: hashCode(code) });
    await knowOwnEmail(tenant);
  }
}
