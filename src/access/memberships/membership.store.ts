import { Injectable } from '@nestjs/common';
import type { OperationTenant } from '../../platform/database/types.js';
import { newId } from '../../platform/identifiers.js';

export const ROLES = ['owner', 'manager', 'hand', 'nutritionist', 'accountant'] as const;
export type Role = (typeof ROLES)[number];

/** Who belongs to an operation, as what, from when. The database lets only an owner write here. */
@Injectable()
export class MembershipStore {
  async grant(tenant: OperationTenant, { personId, role, seesPrices }: { personId: string; role: Role; seesPrices: boolean }): Promise<string> {
    const { db, operationId, moment } = tenant;
    const row = await db.insertInto('membership').values({ operation_id: operationId, id: newId(), person_id: personId, role, sees_prices: seesPrices, from_at: moment.toISOString() }).returningAll().executeTakeFirstOrThrow();
    await tenant.audit({ action: 'membership.grant', subjectKind: 'membership', subjectId: row.id, after: row });
    return row.id;
  }
}
