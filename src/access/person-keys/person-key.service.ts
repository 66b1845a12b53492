import { randomBytes } from 'node:crypto';
import { Injectable } from '@nestjs/common';
import { Database } from '../../platform/database/database.js';
import { pageOf } from '../../platform/http/cursor.js';
import type { AnswerOf, CallOf } from '../../platform/http/endpoint.js';
import { Problem } from '../../platform/http/problem.js';
import { newId } from '../../platform/identifiers.js';
import { keyText } from '../api-keys/api-key.store.js';
import { keyExpiry, overlapEnd, rotatedExpiry } from '../api-keys/key-life.js';
import { hashToken } from '../sign-in/tokens.js';
import { type PersonKeyRow, PersonKeyRead } from './person-key.read.js';
import type * as api from './person-key.schema.js';
import { PersonKeyStore } from './person-key.store.js';

const KEYS_MOST = 20;

/** A consultant's own keys. What one reaches is decided anew with each request, by the engagements of that moment. */
@Injectable()
export class PersonKeyService {
  constructor(
    private readonly database: Database,
    private readonly keys: PersonKeyRead,
    private readonly store: PersonKeyStore,
  ) {}

  async create({ asker, body }: CallOf<typeof api.createPersonKey>): Promise<AnswerOf<typeof api.createPersonKey>> {
    const expiresAt = keyExpiry(body.expiresAt, asker.moment);
    const secret = randomBytes(32).toString('base64url');
    const id = newId();
    const answer = await this.database.write(asker, async (tenant) => {
      if ((await this.keys.countGood(tenant)) >= KEYS_MOST)
        throw new Problem('conflict', `${KEYS_MOST} keys are good at present; revoke one first.`);
      const row = await this.store.insert(tenant, id, {
        name: body.name,
        scopes: [...new Set(body.scopes)],
        secret_hash: hashToken(secret),
        expires_at: expiresAt,
      });
      return { ...written(row), secret: null as string | null };
    });
    return answer.id === id ? { ...answer, secret: keyText(id, secret) } : answer;
  }

  async list({ asker, query }: CallOf<typeof api.listPersonKeys>): Promise<AnswerOf<typeof api.listPersonKeys>> {
    return this.database.read(asker, async (tenant) =>
      pageOf(await this.keys.page(tenant, query), query.limit, written, (row) => [row.id]),
    );
  }

  async get({ asker, params }: CallOf<typeof api.getPersonKey>): Promise<AnswerOf<typeof api.getPersonKey>> {
    return this.database.read(asker, async (tenant) => written(await this.keys.one(tenant, params.personKeyId)));
  }

  async rotate({
    asker,
    params,
    body,
  }: CallOf<typeof api.rotatePersonKey>): Promise<AnswerOf<typeof api.rotatePersonKey>> {
    const secret = randomBytes(32).toString('base64url');
    const id = newId();
    const answer = await this.database.write(asker, async (tenant) => {
      const { moment } = tenant;
      const old = await this.keys.one(tenant, params.personKeyId, { lock: true });
      if (old.revoked_at !== null || old.expires_at <= moment.toISOString())
        throw new Problem('conflict', 'This key is no longer good; make a new one.');
      const row = await this.store.insert(tenant, id, {
        name: old.name,
        scopes: old.scopes,
        secret_hash: hashToken(secret),
        expires_at: rotatedExpiry(body.expiresAt, old, moment),
        replaces_id: old.id,
      });
      await this.store.endAt(tenant, old.id, overlapEnd(body.overlapHours, old, moment));
      return { ...written(row), secret: null as string | null };
    });
    return answer.id === id ? { ...answer, secret: keyText(id, secret) } : answer;
  }

  async revoke({ asker, params, expectedVersion }: CallOf<typeof api.revokePersonKey>): Promise<void> {
    await this.database.write(asker, async (tenant) => {
      const { id } = await this.keys.one(tenant, params.personKeyId);
      await this.store.revoke(tenant, { id, version: expectedVersion });
      return {};
    });
  }
}

function written(row: PersonKeyRow): AnswerOf<typeof api.getPersonKey> {
  return {
    id: row.id,
    name: row.name,
    scopes: row.scopes,
    createdAt: row.created_at,
    expiresAt: row.expires_at,
    revokedAt: row.revoked_at,
    lastUsedAt: row.last_used_at,
    replacesId: row.replaces_id,
    version: row.version,
  };
}
