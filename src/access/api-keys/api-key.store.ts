import { timingSafeEqual } from 'node:crypto';
import { Injectable } from '@nestjs/common';
import { Database } from '../../platform/database/database.js';
import { type NewRow, thingStamp } from '../../platform/database/rows.js';
import type { OperationTenant } from '../../platform/database/types.js';
import { Problem } from '../../platform/http/problem.js';
import { hashToken, KEY_PREFIX } from '../sign-in/tokens.js';
import type { ApiKeyRow } from './api-key.read.js';

export function keyText(keyId: string, secret: string): string {
  return `${KEY_PREFIX}${keyId.replaceAll('-', '')}_${secret}`;
}

const KEY_TEXT = /^ryk_([0-9a-f]{8})([0-9a-f]{4})([0-9a-f]{4})([0-9a-f]{4})([0-9a-f]{12})_([A-Za-z0-9_-]{43})$/;
/** Last use is written at most this often: a scheduled pull must not turn every read into a write. */
const LAST_USE_EVERY_MS = 60_000;

export interface KeyShown {
  id: string;
  createdBy: string;
  /** Undefined: a consultant's own key. */
  operationId: string | undefined;
  good: boolean;
}

@Injectable()
export class ApiKeyStore {
  constructor(private readonly database: Database) {}

  /**
   * The key that this text is, an operation's or a consultant's own; notes that it was used. One that is no longer good
   * says so.
   */
  async use(text: string, moment: Date): Promise<KeyShown | undefined> {
    const match = KEY_TEXT.exec(text);
    if (match === null) return undefined;
    const id = match.slice(1, 6).join('-');
    return this.database.withProof({ key_id: id }, async (db) => {
      const ofOperation = await db.selectFrom('api_key').selectAll().where('id', '=', id).executeTakeFirst();
      const ofPerson =
        ofOperation !== undefined
          ? undefined
          : await db.selectFrom('person_key').selectAll().where('id', '=', id).executeTakeFirst();
      const key = ofOperation ?? ofPerson;
      const shown = Buffer.from(hashToken(match[6] ?? ''), 'hex');
      if (key === undefined || !timingSafeEqual(shown, Buffer.from(key.secret_hash, 'hex'))) return undefined;
      const good = key.revoked_at === null && key.expires_at > moment.toISOString();
      if (good && (key.last_used_at === null || Date.parse(key.last_used_at) < moment.getTime() - LAST_USE_EVERY_MS)) {
        await db
          .updateTable(ofOperation === undefined ? 'person_key' : 'api_key')
          .set({ last_used_at: moment.toISOString() })
          .where('id', '=', id)
          .execute();
      }
      return {
        id,
        createdBy: ofOperation?.created_by ?? ofPerson?.person_id ?? '',
        operationId: ofOperation?.operation_id,
        good,
      };
    });
  }

  /** An operation's key, made by the one asking. */
  async insert(tenant: OperationTenant, id: string, key: Omit<NewRow<'api_key'>, 'created_by'>): Promise<ApiKeyRow> {
    return tenant.db
      .insertInto('api_key')
      .values({ ...key, ...thingStamp(tenant, id), created_by: tenant.personId })
      .returningAll()
      .executeTakeFirstOrThrow();
  }

  /** Gives a key that is locked another end. */
  async endAt({ db, operationId }: OperationTenant, id: string, expiresAt: string): Promise<void> {
    await db
      .updateTable('api_key')
      .set((e) => ({ expires_at: expiresAt, version: e('version', '+', 1) }))
      .where('operation_id', '=', operationId)
      .where('id', '=', id)
      .execute();
  }

  /** @throws Problem changed-meanwhile where somebody was quicker. */
  async revoke(
    { db, operationId, moment }: OperationTenant,
    { id, version }: { id: string; version: number },
  ): Promise<void> {
    const changed = await db
      .updateTable('api_key')
      .set((e) => ({ revoked_at: moment.toISOString(), version: e('version', '+', 1) }))
      .where('operation_id', '=', operationId)
      .where('id', '=', id)
      .where('version', '=', version)
      .executeTakeFirst();
    if (changed.numUpdatedRows === 0n) throw new Problem('changed-meanwhile');
  }
}
