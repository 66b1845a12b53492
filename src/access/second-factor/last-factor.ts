import { Injectable } from '@nestjs/common';
import type { Tenant } from '../../platform/database/types.js';
import { ruleBroken } from '../../platform/http/problem.js';
import { MembershipRead } from '../memberships/membership.read.js';
import { PersonRead } from '../people/person.read.js';
import { SecondFactorStore } from './second-factor.store.js';

/** Whether a person may be without a second factor. */
@Injectable()
export class LastFactor {
  constructor(
    private readonly people: PersonRead,
    private readonly factors: SecondFactorStore,
    private readonly memberships: MembershipRead,
  ) {}

  /**
   * The only owner of an operation that asks everybody for a second factor would lock the door with the key inside. To
   * be asked once a factor is gone, in the same transaction: the person is held, so that of two that end at one moment
   * the second is refused. @throws Problem rule-broken
   */
  async refuseLockedOut(tenant: Tenant): Promise<void> {
    await this.people.hold(tenant.db, tenant.personId);
    if (await this.factors.inForce(tenant.db, tenant.personId)) return;
    const [first, ...others] = await this.memberships.ownedAloneBehindSecondFactor(tenant);
    if (first === undefined) return;
    const names = [first, ...others].join(', ');
    throw ruleBroken(
      '#',
      'last-second-factor',
      null,
      'another factor of yours first, another owner, or accessPolicy.secondFactor optional',
      `You are the only owner where everybody is asked for a second factor (${names}): you could not come in any more.`,
    );
  }
}
