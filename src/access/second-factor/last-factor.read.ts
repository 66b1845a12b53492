import { Injectable } from '@nestjs/common';
import type { Tenant } from '../../platform/database/types.js';
import { ruleBroken } from '../../platform/http/problem.js';
import { SecondFactorStore } from './second-factor.store.js';

/** Whether a person may be without a second factor. */
@Injectable()
export class LastFactor {
  constructor(private readonly factors: SecondFactorStore) {}

  /**
   * The only owner of an operation that asks everybody for a second factor would lock the door with the key inside. To
   * be asked once the factor is gone, in the same transaction. @throws Problem rule-broken
   */
  async refuseLockedOut(tenant: Tenant): Promise<void> {
    const { db, personId, moment } = tenant;
    if (await this.factors.inForce(db, personId)) return;
    const now = moment.toISOString();
    const owners = db
      .selectFrom('membership')
      .where('membership.role', '=', 'owner')
      .where('membership.confirmed_at', 'is not', null)
      .where('membership.from_at', '<=', now)
      .where((e) => e.or([e('membership.until_at', 'is', null), e('membership.until_at', '>', now)]));
    const owned = await owners
      .innerJoin('operation', 'operation.id', 'membership.operation_id')
      .select(['operation.id', 'operation.name'])
      .where('membership.person_id', '=', personId)
      .where('operation.second_factor_required', '=', true)
      .execute();
    for (const { id, name } of owned) {
      const other = await owners
        .select('membership.id')
        .where('membership.operation_id', '=', id)
        .where('membership.person_id', '<>', personId)
        .executeTakeFirst();
      if (other === undefined)
        throw ruleBroken(
          '#',
          'last-second-factor',
          null,
          'another factor of yours first, another owner, or accessPolicy.secondFactor optional',
          `${name} asks everybody for a second factor, and you are its only owner: you could not come in any more.`,
        );
    }
  }
}
