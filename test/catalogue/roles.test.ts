/* The one table of roles and acts: the database's guard is made from it, and nobody else writes it down. */
import { ACTS, actsOf, ROLES } from '../../src/platform/roles/roles.data.js';
import { roleGuard } from '../support/role-guard.js';
import { generated } from '../support/snapshot.js';

describe('the table of roles', () => {
  it('is what the guard of the database says', () => {
    generated('prisma/guards/20-role-acts.sql', roleGuard());
  });

  it('lets everybody who does anything read, and gives an owner everything', () => {
    for (const role of ROLES) expect([role, actsOf(role)[0]]).toEqual([role, 'read']);
    expect(actsOf('owner')).toEqual(ACTS);
  });
});
