/*
 * Secrets that the program must read again: sealed under a key that is not in the database, made once, asked for in
 * words where it is not there.
 */
import { randomBytes, webcrypto } from 'node:crypto';
import { chmodSync, mkdtempSync, readdirSync, readFileSync, rmSync, statSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import path from 'node:path';
import { newSecret } from '../../src/access/second-factor/one-time-code.js';
import { newId } from '../../src/platform/identifiers.js';
import { readConfig } from '../../src/platform/config.js';
import { isSealed, SealProblem, SecretBox } from '../../src/platform/secrets/secret-box.js';
import { openSecretBox, readSecretKey } from '../../src/platform/secrets/secret-key.js';
import { sealStoredSecrets } from '../../src/platform/secrets/seal-stored.js';
import { person } from '../support/people.js';
import { openYard, type Yard } from '../support/world.js';

const key = randomBytes(32);
const box = new SecretBox(key);

describe('a sealed secret', () => {
  it('opens under its key for the one it belongs to, and reads as nothing else does', () => {
    const sealed = box.seal('GEZDGNBVGY3TQOJQ', 'a person');
    expect(sealed).not.toContain('GEZDGNBVGY3TQOJQ');
    expect(isSealed(sealed)).toBe(true);
    expect(box.open(sealed, 'a person')).toBe('GEZDGNBVGY3TQOJQ');
    expect(box.seal('GEZDGNBVGY3TQOJQ', 'a person')).not.toBe(sealed);
  });

  it(
    'is AES-256-GCM as the Web Cryptography API (W3C, 2017) reads it: 96-bit nonce, 128-bit tag, the owner as ' +
      'associated data',
    async () => {
      const [, , nonce = '', content = ''] = box.seal('GEZDGNBVGY3TQOJQ', 'a person').split('.');
      const imported = await webcrypto.subtle.importKey('raw', key, 'AES-GCM', false, ['decrypt']);
      const plain = await webcrypto.subtle.decrypt(
        {
          name: 'AES-GCM',
          iv: Buffer.from(nonce, 'base64url'),
          additionalData: Buffer.from('a person'),
          tagLength: 128,
        },
        imported,
        Buffer.from(content, 'base64url'),
      );
      expect(Buffer.from(plain).toString()).toBe('GEZDGNBVGY3TQOJQ');
      expect(Buffer.from(nonce, 'base64url')).toHaveLength(12);
    },
  );

  it('does not open for another, under another key, or with a single bit changed', () => {
    const sealed = box.seal('GEZDGNBVGY3TQOJQ', 'a person');
    expect(() => box.open(sealed, 'another')).toThrow(SealProblem);
    expect(() => new SecretBox(randomBytes(32)).open(sealed, 'a person')).toThrow(
      /sealed under the key [0-9a-f]{16}; this server holds [0-9a-f]{16}/,
    );
    expect(() => box.open('GEZDGNBVGY3TQOJQ', 'a person')).toThrow('not a sealed secret');
    const [version = '', id = '', nonce = '', content = ''] = sealed.split('.');
    const bytes = Buffer.from(content, 'base64url');
    for (let at = 0; at < bytes.length; at += 1) {
      const changed = Buffer.from(bytes);
      changed[at] = (changed[at] ?? 0) ^ 1;
      expect(() => box.open([version, id, nonce, changed.toString('base64url')].join('.'), 'a person')).toThrow(
        SealProblem,
      );
    }
  });

  it('is made under a key of 32 bytes and no other', () => {
    expect(() => new SecretBox(randomBytes(16))).toThrow(RangeError);
    expect(readSecretKey(key.toString('base64'))).toEqual(key);
    expect(readSecretKey(`${key.toString('base64url')}\n`)).toEqual(key);
    for (const wrong of [
      '',
      'secret',
      randomBytes(31).toString('base64'),
      randomBytes(33).toString('base64'),
      key.toString('hex'),
    ])
      expect(readSecretKey(wrong)).toBeUndefined();
  });
});

describe('the key', () => {
  let folder: string;
  beforeEach(() => {
    folder = mkdtempSync(path.join(tmpdir(), 'rickyard-key-'));
  });
  afterEach(() => rmSync(folder, { recursive: true, force: true }));
  const open = (more: object = {}) => openSecretBox({ given: undefined, folder, shared: false, ...more });

  it("is made once, for the server's own account alone, and found again", () => {
    const first = open();
    expect(readdirSync(folder)).toEqual(['secret.key']);
    expect((statSync(path.join(folder, 'secret.key')).mode & 0o777).toString(8)).toBe('600');
    expect(first.notes).toEqual([
      expect.stringMatching(/^made a key for one-time-code secrets, .*secret\.key: keep a copy apart/),
    ]);
    const second = open();
    expect(second.box.keyId).toBe(first.box.keyId);
    expect(second.notes).toEqual([]);
    expect(readFileSync(path.join(folder, 'secret.key'), 'utf8')).not.toContain(first.box.keyId);
  });

  it('that is given leaves the folder alone', () => {
    expect(open({ given: key, shared: true })).toEqual({
      box: expect.objectContaining({ keyId: box.keyId }) as unknown,
      notes: [],
    });
    expect(readdirSync(folder)).toEqual([]);
  });

  it('beside a database that other servers may share says that they need it', () => {
    expect(open({ shared: true }).notes.at(-1)).toMatch(
      /secret\.key: several servers of one database must share it, or be given it in RICKYARD_SECRET_KEY$/,
    );
  });

  it('that others can read is named, one that is none is refused and stays', () => {
    open();
    const file = path.join(folder, 'secret.key');
    chmodSync(file, 0o644);
    expect(open().notes).toEqual([expect.stringContaining('can be read by others: chmod 600 it')]);
    writeFileSync(file, 'not a key');
    expect(() => open()).toThrow(/does not hold a key \(base64, 32 bytes\)\. Bring the right one back/);
    expect(readFileSync(file, 'utf8')).toBe('not a key');
  });

  it('comes from the environment only in full, and a slip in it is not repeated', () => {
    expect(readConfig({ RICKYARD_SECRET_KEY: key.toString('base64') }, folder).secretKey).toEqual(key);
    expect(readConfig({}, folder).secretKey).toBeUndefined();
    const cut = key.toString('base64').slice(3);
    expect(() => readConfig({ RICKYARD_SECRET_KEY: cut }, folder)).toThrow(
      /RICKYARD_SECRET_KEY: must be 32 bytes in base64/,
    );
    expect(() => readConfig({ RICKYARD_SECRET_KEY: cut }, folder)).not.toThrow(cut);
  });
});

describe('secrets in the database', () => {
  let yard: Yard;
  beforeAll(async () => {
    yard = await openYard();
  });
  afterAll(async () => {
    await yard.close();
  });
  const kept = async (personId: string): Promise<string> =>
    (
      await yard.ownerPool.query<{ secret: string }>('SELECT secret FROM second_factor WHERE person_id = $1', [
        personId,
      ])
    ).rows[0]?.secret ?? '';

  it(
    'that an earlier release left in plain are sealed at the start, and ' + 'the database takes no plain one any more',
    async () => {
      const [old, foreign] = [await person(yard, 'old hand'), await person(yard, 'foreign')];
      const secret = newSecret();
      // As that release left them: before there was such a constraint.
      await yard.ownerPool.query('ALTER TABLE second_factor DROP CONSTRAINT second_factor_sealed');
      await yard.ownerPool.query('INSERT INTO second_factor (person_id, secret) VALUES ($1, $2), ($3, $4)', [
        old.id,
        secret,
        foreign.id,
        new SecretBox(randomBytes(32)).seal(secret, foreign.id),
      ]);
      await yard.ownerPool.query(
        'ALTER TABLE second_factor ADD CONSTRAINT second_factor_sealed CHECK (secret ~ ' +
          "'^sealed1\\.[0-9a-f]{16}\\.[A-Za-z0-9_-]{16}\\.[A-Za-z0-9_-]{23,}$') NOT VALID",
      );
      expect(await sealStoredSecrets(yard.ownerUrl, box)).toEqual([
        'sealed 1 one-time-code secrets that an earlier release kept in plain',
        expect.stringMatching(
          /^1 people's one-time codes cannot be checked: .* Bring that key back, or let them sign in with a recovery/,
        ),
      ]);
      expect(box.open(await kept(old.id), old.id)).toBe(secret);
      expect(await sealStoredSecrets(yard.ownerUrl, box)).toEqual([expect.stringContaining('1 people')]);
      const { rows } = await yard.ownerPool.query(
        "SELECT convalidated FROM pg_constraint WHERE conname = 'second_factor_sealed'",
      );
      expect(rows).toEqual([{ convalidated: true }]);
      const third = newId();
      await expect(
        yard.ownerPool.query('UPDATE second_factor SET secret = $2 WHERE person_id = $1', [old.id, newSecret()]),
      ).rejects.toMatchObject({ constraint: 'second_factor_sealed' });
      await expect(
        yard.database.withProof({ person_id: third }, (db) =>
          db.insertInto('second_factor').values({ person_id: third, secret: newSecret() }).execute(),
        ),
      ).rejects.toMatchObject({ constraint: 'second_factor_sealed' });
    },
  );

  it("show to their own person and to the schema's owner, to nobody else", async () => {
    const [mine, other] = [await person(yard, 'mine'), await person(yard, 'other')];
    await yard.database.withProof({ person_id: mine.id }, (db) =>
      db
        .insertInto('second_factor')
        .values({ person_id: mine.id, secret: box.seal(newSecret(), mine.id) })
        .execute(),
    );
    const seen = (personId: string): Promise<unknown[]> =>
      yard.database.withProof({ person_id: personId }, (db) =>
        db.selectFrom('second_factor').select('person_id').execute(),
      );
    expect(await seen(mine.id)).toEqual([{ person_id: mine.id }]);
    expect(await seen(other.id)).toEqual([]);
  });
});
