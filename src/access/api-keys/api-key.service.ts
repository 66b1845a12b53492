import { randomBytes } from 'node:crypto';
import { Injectable } from '@nestjs/common';
import type { Selectable } from 'kysely';
import { z } from 'zod';
import { Database } from '../../platform/database/database.js';
import type { DB } from '../../platform/database/types.js';
import { pageOf, readCursor } from '../../platform/http/cursor.js';
import type { AnswerOf, CallOf } from '../../platform/http/endpoint.js';
import { notFound, Problem } from '../../platform/http/problem.js';
import { newId } from '../../platform/identifiers.js';
import { hashToken } from '../sign-in/tokens.js';
import type * as api from './api-key.schema.js';
import { keyText } from './api-key.store.js';
import { keyExpiry, overlapEnd, rotatedExpiry } from './key-life.js';

@Injectable()
export class ApiKeyService {
  constructor(private readonly database: Database) {}

  async create({ asker, params, body }: CallOf<typeof api.createApiKey>): Promise<AnswerOf<typeof api.createApiKey>> {
    const expiresAt = keyExpiry(body.expiresAt, asker.moment);
    if (asker.apiKeyId !== undefined) throw new Problem('not-permitted', 'A key cannot make another key; sign in as a person.');
    const secret = randomBytes(32).toString('base64url');
    const id = newId();
    const answer = await this.database.writeIn(asker, params.operationId, async (tenant) => {
      const beyond = body.scopes.filter((scope) => !tenant.may(scope));
      if (beyond.length > 0) throw new Problem('not-permitted', `A key cannot be given what its maker may not do: ${beyond.join(', ')}.`);
      const row = await tenant.db.insertInto('api_key').values({
        operation_id: params.operationId, id, name: body.name, scopes: [...new Set(body.scopes)], secret_hash: hashToken(secret),
        expires_at: expiresAt, created_by: asker.personId, created_at: asker.moment.toISOString(),
      }).returningAll().executeTakeFirstOrThrow();
      await tenant.audit({ action: 'api-key.create', subjectKind: 'api-key', subjectId: id, after: { name: body.name, scopes: body.scopes, expiresAt: body.expiresAt } });
      // This is what a repeat is answered with: the secret is never stored, not even among the first answers.
      return { ...written(row), secret: null as string | null };
    });
    return answer.id === id ? { ...answer, secret: keyText(id, secret) } : answer;
  }

  async list({ asker, params, query }: CallOf<typeof api.listApiKeys>): Promise<AnswerOf<typeof api.listApiKeys>> {
    return this.database.readIn(asker, params.operationId, async ({ db }) => {
      let rows = db.selectFrom('api_key').selectAll().where('operation_id', '=', params.operationId).orderBy('id').limit(query.limit + 1);
      if (query.cursor !== undefined) rows = rows.where('id', '>', readCursor(query.cursor, z.tuple([z.uuid()]))[0]);
      return pageOf(await rows.execute(), query.limit, written, (row) => [row.id]);
    });
  }

  async get({ asker, params }: CallOf<typeof api.getApiKey>): Promise<AnswerOf<typeof api.getApiKey>> {
    return this.database.readIn(asker, params.operationId, async ({ db }) => {
      const row = await db.selectFrom('api_key').selectAll().where('operation_id', '=', params.operationId).where('id', '=', params.apiKeyId).executeTakeFirst();
      if (row === undefined) throw notFound('API key');
      return written(row);
    });
  }

  async rotate({ asker, params, body }: CallOf<typeof api.rotateApiKey>): Promise<AnswerOf<typeof api.rotateApiKey>> {
    if (asker.apiKeyId !== undefined) throw new Problem('not-permitted', 'A key cannot make another key; sign in as a person.');
    const secret = randomBytes(32).toString('base64url');
    const id = newId();
    const answer = await this.database.writeIn(asker, params.operationId, async (tenant) => {
      const { db, moment } = tenant;
      const old = await db.selectFrom('api_key').selectAll().where('operation_id', '=', params.operationId).where('id', '=', params.apiKeyId).forUpdate().executeTakeFirst();
      if (old === undefined) throw notFound('API key');
      if (old.created_by !== asker.personId) throw new Problem('not-permitted', 'Only its maker rotates a key; an owner may revoke it.');
      if (old.revoked_at !== null || old.expires_at <= moment.toISOString()) throw new Problem('conflict', 'This key is no longer good; make a new one.');
      const row = await db.insertInto('api_key').values({
        operation_id: params.operationId, id, name: old.name, scopes: old.scopes, secret_hash: hashToken(secret), expires_at: rotatedExpiry(body.expiresAt, old, moment), created_by: asker.personId, created_at: moment.toISOString(), replaces_id: old.id,
      }).returningAll().executeTakeFirstOrThrow();
      const ends = overlapEnd(body.overlapHours, old, moment);
      await db.updateTable('api_key').set((e) => ({ expires_at: ends, version: e('version', '+', 1) })).where('operation_id', '=', params.operationId).where('id', '=', old.id).execute();
      await tenant.audit({ action: 'api-key.rotate', subjectKind: 'api-key', subjectId: old.id, before: { expiresAt: old.expires_at }, after: { expiresAt: ends, replacedBy: id } });
      return { ...written(row), secret: null as string | null };
    });
    return answer.id === id ? { ...answer, secret: keyText(id, secret) } : answer;
  }

  async revoke({ asker, params, expectedVersion }: CallOf<typeof api.revokeApiKey>): Promise<void> {
    await this.database.writeIn(asker, params.operationId, async (tenant) => {
      const found = await tenant.db.selectFrom('api_key').select(['id']).where('operation_id', '=', params.operationId).where('id', '=', params.apiKeyId).executeTakeFirst();
      if (found === undefined) throw notFound('API key');
      const changed = await tenant.db.updateTable('api_key')
        .set((e) => ({ revoked_at: asker.moment.toISOString(), version: e('version', '+', 1) }))
        .where('operation_id', '=', params.operationId).where('id', '=', params.apiKeyId).where('version', '=', expectedVersion).executeTakeFirst();
      if (changed.numUpdatedRows === 0n) throw new Problem('changed-meanwhile');
      await tenant.audit({ action: 'api-key.revoke', subjectKind: 'api-key', subjectId: params.apiKeyId });
      return {};
    });
  }
}

function written(row: Selectable<DB['api_key']>): AnswerOf<typeof api.getApiKey> {
  return {
    id: row.id, name: row.name, scopes: row.scopes as AnswerOf<typeof api.getApiKey>['scopes'],
    createdBy: row.created_by, createdAt: row.created_at, expiresAt: row.expires_at, revokedAt: row.revoked_at, lastUsedAt: row.last_used_at, replacesId: row.replaces_id, version: row.version,
  };
}
