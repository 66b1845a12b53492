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
import { keyText } from '../api-keys/api-key.store.js';
import { keyExpiry, overlapEnd, rotatedExpiry } from '../api-keys/key-life.js';
import { hashToken } from '../sign-in/tokens.js';
import type * as api from './person-key.schema.js';

const KEYS_MOST = 20;

/** A consultant's own keys. What one reaches is decided anew with each request, by the engagements of that moment. */
@Injectable()
export class PersonKeyService {
  constructor(private readonly database: Database) {}

  async create({ asker, body }: CallOf<typeof api.createPersonKey>): Promise<AnswerOf<typeof api.createPersonKey>> {
    const expiresAt = keyExpiry(body.expiresAt, asker.moment);
    const secret = randomBytes(32).toString('base64url');
    const id = newId();
    const answer = await this.database.write(asker, async ({ db, moment }) => {
      const held = await db.selectFrom('person_key').select((e) => e.fn.countAll<string>().as('held')).where('person_id', '=', asker.personId).where('revoked_at', 'is', null).where('expires_at', '>', moment.toISOString()).executeTakeFirstOrThrow();
      if (Number(held.held) >= KEYS_MOST) throw new Problem('conflict', `${KEYS_MOST} keys are good at present; revoke one first.`);
      const row = await db.insertInto('person_key').values({ id, person_id: asker.personId, name: body.name, scopes: [...new Set(body.scopes)], secret_hash: hashToken(secret), expires_at: expiresAt, created_at: moment.toISOString() }).returningAll().executeTakeFirstOrThrow();
      return { ...written(row), secret: null as string | null };
    });
    return answer.id === id ? { ...answer, secret: keyText(id, secret) } : answer;
  }

  async list({ asker, query }: CallOf<typeof api.listPersonKeys>): Promise<AnswerOf<typeof api.listPersonKeys>> {
    return this.database.read(asker, async ({ db }) => {
      let rows = db.selectFrom('person_key').selectAll().where('person_id', '=', asker.personId).orderBy('id').limit(query.limit + 1);
      if (query.cursor !== undefined) rows = rows.where('id', '>', readCursor(query.cursor, z.tuple([z.uuid()]))[0]);
      return pageOf(await rows.execute(), query.limit, written, (row) => [row.id]);
    });
  }

  async get({ asker, params }: CallOf<typeof api.getPersonKey>): Promise<AnswerOf<typeof api.getPersonKey>> {
    return this.database.read(asker, async ({ db }) => {
      const row = await db.selectFrom('person_key').selectAll().where('id', '=', params.personKeyId).where('person_id', '=', asker.personId).executeTakeFirst();
      if (row === undefined) throw notFound('key');
      return written(row);
    });
  }

  async rotate({ asker, params, body }: CallOf<typeof api.rotatePersonKey>): Promise<AnswerOf<typeof api.rotatePersonKey>> {
    const secret = randomBytes(32).toString('base64url');
    const id = newId();
    const answer = await this.database.write(asker, async ({ db, moment }) => {
      const old = await db.selectFrom('person_key').selectAll().where('id', '=', params.personKeyId).where('person_id', '=', asker.personId).forUpdate().executeTakeFirst();
      if (old === undefined) throw notFound('key');
      if (old.revoked_at !== null || old.expires_at <= moment.toISOString()) throw new Problem('conflict', 'This key is no longer good; make a new one.');
      const row = await db.insertInto('person_key').values({ id, person_id: asker.personId, name: old.name, scopes: old.scopes, secret_hash: hashToken(secret), expires_at: rotatedExpiry(body.expiresAt, old, moment), created_at: moment.toISOString(), replaces_id: old.id }).returningAll().executeTakeFirstOrThrow();
      await db.updateTable('person_key').set((e) => ({ expires_at: overlapEnd(body.overlapHours, old, moment), version: e('version', '+', 1) })).where('id', '=', old.id).execute();
      return { ...written(row), secret: null as string | null };
    });
    return answer.id === id ? { ...answer, secret: keyText(id, secret) } : answer;
  }

  async revoke({ asker, params, expectedVersion }: CallOf<typeof api.revokePersonKey>): Promise<void> {
    await this.database.write(asker, async ({ db, moment }) => {
      const found = await db.selectFrom('person_key').select('id').where('id', '=', params.personKeyId).where('person_id', '=', asker.personId).executeTakeFirst();
      if (found === undefined) throw notFound('key');
      const changed = await db.updateTable('person_key').set((e) => ({ revoked_at: moment.toISOString(), version: e('version', '+', 1) })).where('id', '=', params.personKeyId).where('version', '=', expectedVersion).executeTakeFirst();
      if (changed.numUpdatedRows === 0n) throw new Problem('changed-meanwhile');
      return {};
    });
  }
}

function written(row: Selectable<DB['person_key']>): AnswerOf<typeof api.getPersonKey> {
  return {
    id: row.id, name: row.name, scopes: row.scopes as AnswerOf<typeof api.getPersonKey>['scopes'], createdAt: row.created_at, expiresAt: row.expires_at, revokedAt: row.revoked_at, lastUsedAt: row.last_used_at, replacesId: row.replaces_id, version: row.version,
  };
}
