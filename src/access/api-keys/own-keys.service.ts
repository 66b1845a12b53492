import { Injectable } from '@nestjs/common';
import type { Tenant } from '../../platform/database/types.js';
import { PersonKeyStore } from '../person-keys/person-key.store.js';
import { ApiKeyStore } from './api-key.store.js';

/** The keys that somebody made, of operations and their own, all at once. */
@Injectable()
export class OwnKeysService {
  constructor(
    private readonly apiKeys: ApiKeyStore,
    private readonly personKeys: PersonKeyStore,
  ) {}

  /** Ends them, wherever they open; each operation that the person still sees has a line of it. Answers how many. */
  async endAll(tenant: Tenant): Promise<number> {
    const ended = await this.apiKeys.revokeAll(tenant);
    for (const { id, operation_id: operationId } of ended)
      if (tenant.may('read', operationId))
        await tenant.auditIn(operationId, { action: 'api-key.revoke', subjectKind: 'api-key', subjectId: id });
    return ended.length + (await this.personKeys.revokeAll(tenant));
  }
}
