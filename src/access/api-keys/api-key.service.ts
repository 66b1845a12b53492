import { randomBytes } from 'node:crypto';
import { Injectable } from '@nestjs/common';
import { Database } from '../../platform/database/database.js';
import { pageOf } from '../../platform/http/cursor.js';
import type { AnswerOf, CallOf } from '../../platform/http/endpoint.js';
import { Problem } from '../../platform/http/problem.js';
import { newId } from '../../platform/identifiers.js';
import { hashToken } from '../sign-in/tokens.js';
import { type ApiKeyRow, ApiKeyRead } from './api-key.read.js';
import type * as api from './api-key.schema.js';
import { ApiKeyStore, keyText } from './api-key.store.js';
import { keyExpiry, overlapEnd, rotatedExpiry } from './key-life.js';

@Injectable()
export class ApiKeyService {
  constructor(
    private readonly database: Database,
    private readonly keys: ApiKeyRead,
    private readonly store: ApiKeyStore,
  ) {}

  async create({ asker, params, body }: CallOf<typeof api.createApiKey>): Promise<AnswerOf<typeof api.createApiKey>> {
    const expiresAt = keyExpiry(body.expiresAt, asker.moment);
    if (asker.apiKeyId !== undefined)
      throw new Problem('not-permitted', 'A key cannot make another key; sign in as a person.');
    const secret = randomBytes(32).toString('base64url');
    const id = newId();
    const answer = await this.database.writeIn(asker, params.operationId, async (tenant) => {
      const beyond = body.scopes.filter((scope) => !tenant.may(scope));
      if (beyond.length > 0)
        throw new Problem('not-permitted', `A key cannot be given what its maker may not do: ${beyond.join(', ')}.`);
      const row = await this.store.insert(tenant, id, {
        name: body.name,
        scopes: [...new Set(body.scopes)],
        secret_hash: hashToken(secret),
        expires_at: expiresAt,
      });
      await tenant.audit({
        action: 'api-key.create',
        subjectKind: 'api-key',
        subjectId: id,
        after: { name: body.name, scopes: body.scopes, expiresAt: body.expiresAt },
      });
      // This is what a repeat is answered with: the secret is never stored, not even among the first answers.
      return { ...written(row), secret: null as string | null };
    });
    return answer.id === id ? { ...answer, secret: keyText(id, secret) } : answer;
  }

  async list({ asker, params, query }: CallOf<typeof api.listApiKeys>): Promise<AnswerOf<typeof api.listApiKeys>> {
    return this.database.readIn(asker, params.operationId, async (tenant) =>
      pageOf(await this.keys.page(tenant, query), query.limit, written, (row) => [row.id]),
    );
  }

  async get({ asker, params }: CallOf<typeof api.getApiKey>): Promise<AnswerOf<typeof api.getApiKey>> {
    return this.database.readIn(asker, params.operationId, async (tenant) =>
      written(await this.keys.one(tenant, params.apiKeyId)),
    );
  }

  async rotate({ asker, params, body }: CallOf<typeof api.rotateApiKey>): Promise<AnswerOf<typeof api.rotateApiKey>> {
    if (asker.apiKeyId !== undefined)
      throw new Problem('not-permitted', 'A key cannot make another key; sign in as a person.');
    const secret = randomBytes(32).toString('base64url');
    const id = newId();
    const answer = await this.database.writeIn(asker, params.operationId, async (tenant) => {
      const { moment } = tenant;
      const old = await this.keys.one(tenant, params.apiKeyId, { lock: true });
      if (old.created_by !== asker.personId)
        throw new Problem('not-permitted', 'Only its maker rotates a key; an owner may revoke it.');
      if (old.revoked_at !== null || old.expires_at <= moment.toISOString())
        throw new Problem('conflict', 'This key is no longer good; make a new one.');
      const row = await this.store.insert(tenant, id, {
        name: old.name,
        scopes: old.scopes,
        secret_hash: hashToken(secret),
        expires_at: rotatedExpiry(body.expiresAt, old, moment),
        replaces_id: old.id,
      });
      const ends = overlapEnd(body.overlapHours, old, moment);
      await this.store.endAt(tenant, old.id, ends);
      await tenant.audit({
        action: 'api-key.rotate',
        subjectKind: 'api-key',
        subjectId: old.id,
        before: { expiresAt: old.expires_at },
        after: { expiresAt: ends, replacedBy: id },
      });
      return { ...written(row), secret: null as string | null };
    });
    return answer.id === id ? { ...answer, secret: keyText(id, secret) } : answer;
  }

  async revoke({ asker, params, expectedVersion }: CallOf<typeof api.revokeApiKey>): Promise<void> {
    await this.database.writeIn(asker, params.operationId, async (tenant) => {
      const { id } = await this.keys.one(tenant, params.apiKeyId);
      await this.store.revoke(tenant, { id, version: expectedVersion });
      await tenant.audit({ action: 'api-key.revoke', subjectKind: 'api-key', subjectId: params.apiKeyId });
      return {};
    });
  }
}

function written(row: ApiKeyRow): AnswerOf<typeof api.getApiKey> {
  return {
    id: row.id,
    name: row.name,
    scopes: row.scopes,
    createdBy: row.created_by,
    createdAt: row.created_at,
    expiresAt: row.expires_at,
    revokedAt: row.revoked_at,
    lastUsedAt: row.last_used_at,
    replacesId: row.replaces_id,
    version: row.version,
  };
}
