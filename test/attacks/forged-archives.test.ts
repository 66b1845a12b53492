/* An archive is a file: whoever has it can write it anew. */
import { createPublicKey, randomBytes, verify } from 'node:crypto';
import { mkdtempSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import path from 'node:path';
import { checkHeads, keepHeads } from '../../src/access/audit/kept-heads.js';
import { LineSigner } from '../../src/access/audit/line-signer.js';
import { HeadSigner } from '../../src/access/audit/signed-head.js';
import { sealOf } from '../../src/access/data-rights/archive-seal.js';
import type { RestoreTerms } from '../../src/access/data-rights/restore-terms.js';
import { restoreOperation } from '../../src/commands/restore-operation.js';
import { SecretBox } from '../../src/platform/secrets/secret-box.js';
import { closingOf, forgedArchive } from '../support/forged-archive.js';
import { type Operation, operationWith } from '../support/people.js';
import { restoreTerms } from '../support/restore.js';
import { aWinterIn } from '../support/winter.js';
import { openWorld, openYard, SECRETS, type World, type Yard } from '../support/world.js';

let world: World;
let ranch: Operation;
/** Made before and after one more entry. */
let archive: Buffer;
let later: Buffer;
/** A line that the owner kept between that entry and the later archive. */
let keptHead: string;
let yard: Yard;
const archived = async (): Promise<Buffer> =>
  Buffer.from(
    (await ranch.as.owner.get<{ content: string }>(ranch.at('/archive'), { expect: 200 })).body.content,
    'base64',
  );
beforeAll(async () => {
  world = await openWorld();
  ranch = await operationWith(world);
  await aWinterIn(ranch);
  archive = await archived();
  await ranch.as.owner.post(ranch.at('/ranches'), { name: 'Later' }, { expect: 201 });
  ({ signedHead: keptHead } = (
    await ranch.as.owner.get<{ signedHead: string }>(ranch.at('/audit/verification'), { expect: 200 })
  ).body);
  later = await archived();
  yard = await openYard();
});
/** What was refused left nothing, so the next may use the same database. */
afterEach(async () => {
  if ((await yard.ownerPool.query('SELECT 1 FROM operation')).rows.length === 0) return;
  await yard.close();
  yard = await openYard();
});
afterAll(async () => {
  await yard.close();
  await world.close();
});

async function restored(content: Buffer, terms: Partial<RestoreTerms> = {}, secrets?: SecretBox): Promise<string> {
  const client = await yard.ownerPool.connect();
  try {
    return (await restoreOperation(client, content, restoreTerms(terms, secrets))).seal;
  } catch (error) {
    expect((await yard.ownerPool.query('SELECT 1 FROM operation UNION ALL SELECT 1 FROM person')).rows).toEqual([]);
    return (error as Error).message;
  } finally {
    client.release();
  }
}
const isOf = (table: string) => (line: string) => line.startsWith(`["${table}",`);
const tailCut = (lines: string[]): string[] => lines.toSpliced(lines.findLastIndex(isOf('audit_entry')) - 4, 5);
const cheaper = (lines: string[]): string[] => {
  const changed = lines.map((line) =>
    isOf('hay_purchase_price')(line) ? line.replace(/"price_value": "[^"]+"/, '"price_value": "1"') : line,
  );
  expect(changed).not.toEqual(lines);
  return changed;
};
/** What the audit of the restored operation tells, by the line itself. */
async function told(): Promise<unknown[]> {
  const { rows } = await yard.ownerPool.query<{ after: object }>(
    "SELECT after FROM audit_entry WHERE action = 'operation.restore' ORDER BY sequence",
  );
  return rows.map(({ after }) => after);
}
const elsewhere = new SecretBox(randomBytes(32));

describe('An archive', () => {
  it.each([
    ['with its audit cut short', tailCut],
    ['with another price beside a whole audit', cheaper],
  ])('%s is refused, with the old seal, with none, and with one of somebody else', async (_what, change) => {
    const closing = closingOf(archive);
    const forged = forgedArchive(archive, change);
    const { sha256, records } = closingOf(forged);
    const theirs = sealOf(new LineSigner(elsewhere), {
      operationId: ranch.id,
      sha256,
      records,
      auditLines: 3,
      auditHash: '0'.repeat(64),
      sealedAt: '2027-01-15T15:00:00.000Z',
    });
    expect(await restored(forged)).toMatch(/^The archive has no seal\. .* say --unsealed/);
    // The right key in it, and the signature of something else.
    expect(await restored(forgedArchive(archive, change, closing.seal))).toMatch(/changed after it was sealed/);
    expect(await restored(forgedArchive(archive, change, closing.seal), { unsealed: true })).toMatch(
      /changed after it was sealed/,
    );
    expect(await restored(forgedArchive(archive, change, theirs))).toMatch(
      /sealed under a key that this server does not know/,
    );
    // With the words of another seal of this operation under this key.
    const resealed = closing.seal?.replace(closing.sha256, sha256).replace(` ${closing.records} `, ` ${records} `);
    expect(await restored(forgedArchive(archive, change, resealed))).toMatch(/changed after it was sealed/);
  });

  it('that this server sealed comes back, and its audit goes on with a line about it', async () => {
    expect(await restored(archive)).toBe('this-server');
    const { sha256, records } = closingOf(archive);
    expect(await told()).toEqual([
      expect.objectContaining({ sha256, records, seal: 'this-server', by: 'keeper', givenUp: null }),
    ]);
    const { rows } = await yard.ownerPool.query<{ first_break: null; lines: string }>(
      'SELECT * FROM rickyard.audit_chain($1)',
      [ranch.id],
    );
    expect(rows[0]?.first_break).toBeNull();
  });

  it("and its owner's codes of an earlier restore are gone", async () => {
    const settings = { name: 'Second yard', unitPreference: 'us', currency: 'USD', timeZone: 'America/Denver' };
    const { id } = (await ranch.as.owner.post<{ id: string }>('/v1/operations', settings, { expect: 201 })).body;
    const second = (await ranch.as.owner.get<{ content: string }>(`/v1/operations/${id}/archive`, { expect: 200 })).body
      .content;
    expect([await restored(archive), await restored(Buffer.from(second, 'base64'))]).toEqual([
      'this-server',
      'this-server',
    ]);
    const { rowCount } = await yard.ownerPool.query('SELECT 1 FROM recovery_code WHERE person_id = $1', [
      ranch.people.owner.id,
    ]);
    expect(rowCount).toBe(5);
  });

  it('of another server comes back where its keeper names that key, and is checked under it', async () => {
    const { publicKey } = new LineSigner(SECRETS);
    expect(await restored(archive, {}, elsewhere)).toContain(`does not know (${publicKey})`);
    expect(await restored(archive, { sealedBy: new LineSigner(elsewhere).publicKey }, elsewhere)).toContain(
      `does not know (${publicKey})`,
    );
    const changed = forgedArchive(archive, cheaper, closingOf(archive).seal);
    expect(await restored(changed, { sealedBy: publicKey }, elsewhere)).toMatch(/changed after it was sealed/);
    expect(await restored(archive, { sealedBy: publicKey }, elsewhere)).toBe('another-server');
    expect(await told()).toEqual([expect.objectContaining({ seal: 'another-server', publicKey })]);
  });

  it('that nothing vouches for is taken where its keeper says so, and the books tell of it for ever', async () => {
    const forged = forgedArchive(archive, cheaper);
    expect(await restored(forged, { unsealed: true })).toBe('none');
    const { sha256 } = closingOf(forged);
    const { faults, notes } = await checkHeads({ database: yard.database, secrets: SECRETS }, []);
    expect([faults, notes]).toEqual([
      [],
      [expect.stringMatching(new RegExp(`^Operation ${ranch.id} was restored .*${sha256}.* no seal vouched for`))],
    ]);
    expect(await told()).toEqual([expect.objectContaining({ seal: 'none', publicKey: null, sha256 })]);
    // No role of the server, nor the owner of the tables, takes the line away.
    await expect(yard.ownerPool.query("DELETE FROM audit_entry WHERE action = 'operation.restore'")).rejects.toThrow();
  });

  it('has a seal that is checked without this program: Ed25519 (RFC 8032, RFC 8037)', () => {
    const parts = closingOf(archive).seal?.split(' ') ?? [];
    expect(parts.slice(0, 3)).toEqual(['rickyard-archive', ranch.id, closingOf(archive).sha256]);
    const [key, signature] = parts.slice(-2);
    expect(
      verify(
        null,
        Buffer.from(parts.slice(0, -1).join(' ')),
        createPublicKey({ key: { kty: 'OKP', crv: 'Ed25519', x: key ?? '' }, format: 'jwk' }),
        Buffer.from(signature ?? '', 'base64url'),
      ),
    ).toBe(true);
  });
});

describe('An archive beside kept heads of its audit', () => {
  it('that was sealed after its audit had been cut in the database is refused', async () => {
    const cut = forgedArchive(archive, tailCut);
    const { sha256, records } = closingOf(cut);
    const sealed = forgedArchive(
      archive,
      tailCut,
      sealOf(new LineSigner(SECRETS), {
        operationId: ranch.id,
        sha256,
        records,
        auditLines: 3,
        auditHash: '0'.repeat(64),
        sealedAt: '2027-01-15T15:00:00.000Z',
      }),
    );
    for (const heads of [{ ownHeads: [keptHead] }, { broughtHeads: [keptHead] }])
      expect(await restored(sealed, heads)).toMatch(
        /^The audit of the archive ends with line \d+, but line \d+ was signed .*: its end was cut off/,
      );
    expect(await restored(cut, { unsealed: true, ownHeads: [keptHead] })).toMatch(/its end was cut off/);
  });

  it('whose audit holds another line in the place of a signed one is refused, whatever its keeper says', async () => {
    const made = new HeadSigner(SECRETS).signed({
      operationId: ranch.id,
      sequence: 3,
      chainHash: 'a'.repeat(64),
      signedAt: '2027-01-15T15:00:00.000Z',
    });
    expect(await restored(archive, { ownHeads: [made], unsealed: true, older: true })).toMatch(
      /rewritten: its line 3 is not the one that was signed/,
    );
  });

  it('takes no head that nobody trusted has signed', async () => {
    const theirs = new HeadSigner(elsewhere).signed({
      operationId: ranch.id,
      sequence: 3,
      chainHash: 'a'.repeat(64),
      signedAt: '2027-01-15T15:00:00.000Z',
    });
    expect(await restored(archive, { broughtHeads: [theirs] })).toMatch(/was signed neither under this server's key/);
  });

  it('that is older is taken where its keeper gives up the rest; that stands signed in the audit', async () => {
    const folder = mkdtempSync(path.join(tmpdir(), 'heads-'));
    const kept = { database: yard.database, secrets: SECRETS, file: path.join(folder, 'heads') };
    try {
      writeFileSync(kept.file, `${keptHead}\n`);
      expect(await restored(archive, { ownHeads: [keptHead] })).toMatch(/say --older/);
      // Without the keeper's word the missing lines are a fault …
      expect(await restored(archive, { ownHeads: [keptHead], older: true })).toBe('this-server');
      expect(await keepHeads(kept, world.clock.now())).toEqual([]);
      expect(await checkHeads(kept, [keptHead])).toMatchObject({
        faults: [],
        notes: [expect.stringMatching(/what came after its line \d+ was given up/)],
      });
      // … and with somebody else's signature under it they are one again.
      await yard.ownerPool.query('ALTER TABLE audit_entry DISABLE TRIGGER USER');
      await yard.ownerPool.query('ALTER TABLE audit_entry NO FORCE ROW LEVEL SECURITY');
      await yard.ownerPool.query(
        "UPDATE audit_entry SET after = after || jsonb_build_object('givenUp', replace(after ->> 'givenUp', ' " +
          "2027-', ' 2028-')) WHERE action = 'operation.restore'",
      );
      expect((await checkHeads(kept, [keptHead])).faults).toContainEqual(
        expect.stringMatching(/the audit was (cut|rew)/),
      );
    } finally {
      rmSync(folder, { recursive: true });
    }
  });

  it('that has all of them comes back whole', async () => {
    expect(await restored(later, { ownHeads: [keptHead], broughtHeads: [keptHead] })).toBe('this-server');
  });
});
