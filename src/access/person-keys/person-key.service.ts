import { randomBytes } from 'node:crypto';
import { Injectable } from '@nestjs/common';
import type { Tenant } from '../../platform/database/types.js';
import { pageOf } from '../../platform/http/cursor.js';
import type { AnswerOf, InputOf } from '../../platform/http/endpoint.js';
import { Problem } from '../../platform/http/problem.js';
import { newId } from '../../platform/identifiers.js';
import { keyText } from '../api-keys/api-key.store.js';
import { keyExpiry, overlapEnd, rotatedExpiry } from '../api-keys/key-life.js';
import { hashToken } from '../sign-in/tokens.js';
import { type PersonKeyRow, PersonKeyRead } from './person-key.read.js';
import type * as api from './person-key.schema.js';
import { PersonKeyStore } from './person-key.store.js';

const KEYS_MOST = 20;

/**
 * A consultant's own keys. What a key can reach is decided at each request from the engagements in force at that
 * moment.
 */
@Injectable()
export class PersonKeyService {
  constructor(
    private readonly keys: PersonKeyRead,
    private readonly store: PersonKeyStore,
  ) {}

  async create(
    tenant: Tenant,
    { body }: InputOf<typeof api.createPersonKey>,
  ): Promise<AnswerOf<typeof api.createPersonKey>> {
    const expiresAt = keyExpiry(body.expiresAt, tenant.moment);
    const secret = randomBytes(32).toString('base64url');
    const id = newId();
    if ((await this.keys.working(tenant)).length >= KEYS_MOST)
      throw new Problem('conflict', `${KEYS_MOST} keys are working at present; revoke one first.`);
    const row = await this.store.insert(tenant, id, {
      name: body.name,
      scopes: [...new Set(body.scopes)],
      secret_hash: hashToken(secret),
      expires_at: expiresAt,
    });
    return { ...answerFrom(row), secret: keyText(id, secret) };
  }

  async list(
    tenant: Tenant,
    { query }: InputOf<typeof api.listPersonKeys>,
  ): Promise<AnswerOf<typeof api.listPersonKeys>> {
    return pageOf(await this.keys.page(tenant, query), query.limit, answerFrom, (row) => [row.id]);
  }

  async get(tenant: Tenant, { params }: InputOf<typeof api.getPersonKey>): Promise<AnswerOf<typeof api.getPersonKey>> {
    return answerFrom(await this.keys.one(tenant, params.personKeyId));
  }

  async rotate(
    tenant: Tenant,
    { params, body }: InputOf<typeof api.rotatePersonKey>,
  ): Promise<AnswerOf<typeof api.rotatePersonKey>> {
    const secret = randomBytes(32).toString('base64url');
    const id = newId();
    const { moment } = tenant;
    const old = await this.keys.one(tenant, params.personKeyId, { lock: true });
    if (old.revoked_at !== null || old.expires_at <= moment.toISOString())
      throw new Problem('conflict', 'This key no longer works; make a new one.');
    const row = await this.store.insert(tenant, id, {
      name: old.name,
      scopes: old.scopes,
      secret_hash: hashToken(secret),
      expires_at: rotatedExpiry(body.expiresAt, old, moment),
      replaces_id: old.id,
    });
    await this.store.endAt(tenant, old.id, overlapEnd(body.overlapHours, old, moment));
    return { ...answerFrom(row), secret: keyText(id, secret) };
  }

  async revoke(tenant: Tenant, { params, expectedVersion }: InputOf<typeof api.revokePersonKey>): Promise<void> {
    const { id } = await this.keys.one(tenant, params.personKeyId);
    await this.store.revoke(tenant, { id, version: expectedVersion });
  }
}

function answerFrom(row: PersonKeyRow): AnswerOf<typeof api.getPersonKey> {
  return {
    id: row.id,
    name: row.name,
    scopes: row.scopes,
    createdAt: row.created_at,
    expiresAt: row.expires_at,
    revokedAt: row.revoked_at,
    lastUsedAt: row.last_used_at,
    lastUsedFrom: row.last_used_from,
    replacesId: row.replaces_id,
    version: row.version,
  };
}
