import { Injectable } from '@nestjs/common';
import type { Tenant } from '../../platform/database/types.js';
import { PersonRead } from '../people/person.read.js';
import { SessionStore } from '../sign-in/session.store.js';
import { SignInStore } from '../sign-in/sign-in.store.js';
import { SecondFactorStore } from './second-factor.store.js';

/** What the first second factor of a person changes for the sessions that are open. */
@Injectable()
export class FirstFactor {
  constructor(
    private readonly people: PersonRead,
    private readonly factors: SecondFactorStore,
    private readonly sessions: SessionStore,
    private readonly signIns: SignInStore,
  ) {}

  /**
   * Sessions that were opened by the passphrase alone end with the first factor, as they do with a new passphrase: who
   * holds one of them has shown less than is asked from now on. That in which the factor is set up goes on.
   */
  async whileSetUp<Made>(tenant: Tenant, accessToken: string | undefined, setUp: () => Promise<Made>): Promise<Made> {
    await this.people.hold(tenant.db, tenant.personId);
    const hadOne = await this.factors.inForce(tenant.db, tenant.personId);
    const made = await setUp();
    if (!hadOne)
      await this.sessions.endAll(tenant, 'second factor set up', await this.signIns.sessionOf(tenant, accessToken));
    return made;
  }
}
