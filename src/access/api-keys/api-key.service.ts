import { randomBytes } from 'node:crypto';
import { Injectable } from '@nestjs/common';
import type { OperationTenant } from '../../platform/database/types.js';
import { pageOf } from '../../platform/http/cursor.js';
import type { AnswerOf, InputOf } from '../../platform/http/endpoint.js';
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
    private readonly keys: ApiKeyRead,
    private readonly store: ApiKeyStore,
  ) {}

  async create(
    tenant: OperationTenant,
    { body }: InputOf<typeof api.createApiKey>,
  ): Promise<AnswerOf<typeof api.createApiKey>> {
    const expiresAt = keyExpiry(body.expiresAt, tenant.moment, await this.keys.daysMost(tenant));
    const secret = randomBytes(32).toString('base64url');
    const id = newId();
    const beyond = body.scopes.filter((scope) => !tenant.may(scope));
    if (beyond.length > 0)
      throw new Problem('not-permitted', `A key cannot be allowed what its maker may not do: ${beyond.join(', ')}.`);
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
    return { ...answerFrom(row), secret: keyText(id, secret) };
  }

  async list(
    tenant: OperationTenant,
    { query }: InputOf<typeof api.listApiKeys>,
  ): Promise<AnswerOf<typeof api.listApiKeys>> {
    return pageOf(await this.keys.page(tenant, query), query.limit, answerFrom, (row) => [row.id]);
  }

  async get(
    tenant: OperationTenant,
    { params }: InputOf<typeof api.getApiKey>,
  ): Promise<AnswerOf<typeof api.getApiKey>> {
    return answerFrom(await this.keys.one(tenant, params.apiKeyId));
  }

  async rotate(
    tenant: OperationTenant,
    { params, body }: InputOf<typeof api.rotateApiKey>,
  ): Promise<AnswerOf<typeof api.rotateApiKey>> {
    const secret = randomBytes(32).toString('base64url');
    const id = newId();
    const { moment } = tenant;
    const old = await this.keys.one(tenant, params.apiKeyId, { lock: true });
    if (old.created_by !== tenant.personId)
      throw new Problem('not-permitted', 'Only its maker can rotate a key; an owner can revoke it.');
    const works = old.revoked_at === null && old.expires_at > moment.toISOString();
    if (!works || !(await this.keys.isOfPresent(tenant, old)))
      throw new Problem('conflict', 'This key no longer works; make a new one.');
    const row = await this.store.insert(tenant, id, {
      name: old.name,
      scopes: old.scopes,
      secret_hash: hashToken(secret),
      expires_at: rotatedExpiry(body.expiresAt, old, moment, await this.keys.daysMost(tenant)),
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
    return { ...answerFrom(row), secret: keyText(id, secret) };
  }

  async revoke(tenant: OperationTenant, { params, expectedVersion }: InputOf<typeof api.revokeApiKey>): Promise<void> {
    const { id } = await this.keys.one(tenant, params.apiKeyId);
    await this.store.revoke(tenant, { id, version: expectedVersion });
    await tenant.audit({ action: 'api-key.revoke', subjectKind: 'api-key', subjectId: params.apiKeyId });
  }
}

function answerFrom(row: ApiKeyRow): AnswerOf<typeof api.getApiKey> {
  return {
    id: row.id,
    name: row.name,
    scopes: row.scopes,
    createdBy: row.created_by,
    createdAt: row.created_at,
    expiresAt: row.expires_at,
    revokedAt: row.revoked_at,
    lastUsedAt: row.last_used_at,
    lastUsedFrom: row.last_used_from,
    replacesId: row.replaces_id,
    version: row.version,
  };
}
