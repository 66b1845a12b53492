import { timingSafeEqual } from 'node:crypto';
import { Injectable } from '@nestjs/common';
import type { Selectable, Transaction } from 'kysely';
import { Database } from '../../platform/database/database.js';
import { showProof } from '../../platform/database/proof.js';
import { type NewRow, thingStamp } from '../../platform/database/rows.js';
import type { DB, OperationTenant, Tenant } from '../../platform/database/types.js';
import { Problem } from '../../platform/http/problem.js';
import { hashToken, KEY_PREFIX } from '../sign-in/tokens.js';
import type { ApiKeyRow } from './api-key.read.js';

export function keyText(keyId: string, secret: string): string {
  return `${KEY_PREFIX}${keyId.replaceAll('-', '')}_${secret}`;
}

const KEY_TEXT = /^ryk_([0-9a-f]{8})([0-9a-f]{4})([0-9a-f]{4})([0-9a-f]{4})([0-9a-f]{12})_([A-Za-z0-9_-]{43})$/;
const LAST_USE_EVERY_MS = 60_000;
const KEYS_REMEMBERED = 10_000;

export interface KeyShown {
  id: string;
  createdBy: string;
  /** Undefined: a consultant's own key. */
  operationId: string | undefined;
  good: boolean;
}

@Injectable()
export class ApiKeyStore {
  /** When each key's last use was last written, and from where. */
  readonly #noted = new Map<string, { at: number; from: string }>();

  constructor(private readonly database: Database) {}

  /** Finds the key by its text, an operation's or a consultant's own; the row says so where it no longer works. */
  async shown(db: Transaction<DB>, text: string, moment: Date): Promise<KeyShown | undefined> {
    const found = await keyOf(db, text);
    if (found === undefined) return undefined;
    const { key, ofOperation } = found;
    return {
      id: key.id,
      createdBy: ofOperation?.created_by ?? found.ofPerson?.person_id ?? '',
      operationId: ofOperation?.operation_id,
      good: isGood(key, moment),
    };
  }

  /**
   * Records that a valid key was used, in its own transaction, so that it is kept even if the request is refused. At
   * most once a minute from one address, so that a scheduled pull does not turn every read into a write.
   */
  async noteUse(text: string, moment: Date, from: string): Promise<void> {
    const noted = this.#noted.get(text);
    if (noted?.from === from && Math.abs(moment.getTime() - noted.at) < LAST_USE_EVERY_MS) return;
    const isKey = await this.database.withProof({}, async (db) => {
      const found = await keyOf(db, text);
      if (found === undefined || !isGood(found.key, moment)) return false;
      const { id, last_used_at: last, last_used_from: lastFrom } = found.key;
      if (last === null || lastFrom !== from || Date.parse(last) < moment.getTime() - LAST_USE_EVERY_MS) {
        await db
          .updateTable(found.ofOperation === undefined ? 'person_key' : 'api_key')
          .set({ last_used_at: moment.toISOString(), last_used_from: from })
          .where('id', '=', id)
          .execute();
      }
      return true;
    });
    if (!isKey) return;
    if (this.#noted.size >= KEYS_REMEMBERED) this.#noted.clear();
    this.#noted.set(text, { at: moment.getTime(), from });
  }

  /** Inserts an operation's key, made by the person asking. */
  async insert(tenant: OperationTenant, id: string, key: Omit<NewRow<'api_key'>, 'created_by'>): Promise<ApiKeyRow> {
    return tenant.db
      .insertInto('api_key')
      .values({ ...key, ...thingStamp(tenant, id), created_by: tenant.personId })
      .returningAll()
      .executeTakeFirstOrThrow();
  }

  /** Changes when a locked key ends. */
  async endAt({ db, operationId }: OperationTenant, id: string, expiresAt: string): Promise<void> {
    await db
      .updateTable('api_key')
      .set((e) => ({ expires_at: expiresAt, version: e('version', '+', 1) }))
      .where('operation_id', '=', operationId)
      .where('id', '=', id)
      .execute();
  }

  /** Ends every working key that the person asking made, in whichever operation. */
  async revokeAll({ db, personId, moment }: Tenant): Promise<Pick<ApiKeyRow, 'id' | 'operation_id'>[]> {
    return db
      .updateTable('api_key')
      .set((e) => ({ revoked_at: moment.toISOString(), version: e('version', '+', 1) }))
      .where('created_by', '=', personId)
      .where('revoked_at', 'is', null)
      .where('expires_at', '>', moment.toISOString())
      .returning(['id', 'operation_id'])
      .execute();
  }

  /** @throws Problem changed-meanwhile where somebody else changed it first. */
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

type FoundKey = {
  ofOperation: Selectable<DB['api_key']> | undefined;
  ofPerson: Selectable<DB['person_key']> | undefined;
  key: Selectable<DB['api_key']> | Selectable<DB['person_key']>;
};

/** Row-level security shows rows by the key's id, and only the one whose secret was presented. */
async function keyOf(db: Transaction<DB>, text: string): Promise<FoundKey | undefined> {
  const match = KEY_TEXT.exec(text);
  if (match === null) return undefined;
  const id = match.slice(1, 6).join('-');
  await showProof(db, { key_id: id });
  const ofOperation = await db.selectFrom('api_key').selectAll().where('id', '=', id).executeTakeFirst();
  const ofPerson =
    ofOperation !== undefined
      ? undefined
      : await db.selectFrom('person_key').selectAll().where('id', '=', id).executeTakeFirst();
  const key = ofOperation ?? ofPerson;
  const shown = Buffer.from(hashToken(match[6] ?? ''), 'hex');
  if (key === undefined || !timingSafeEqual(shown, Buffer.from(key.secret_hash, 'hex'))) return undefined;
  return { ofOperation, ofPerson, key };
}

function isGood(key: { revoked_at: string | null; expires_at: string }, moment: Date): boolean {
  return key.revoked_at === null && key.expires_at > moment.toISOString();
}
