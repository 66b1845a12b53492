/* Whoever holds the database can write the audit anew, so that it fits. The heads that were kept tell. */
import { mkdtempSync, readFileSync, rmSync } from 'node:fs';
import { createPublicKey, randomBytes, verify } from 'node:crypto';
import { tmpdir } from 'node:os';
import path from 'node:path';
import { checkHeads, keepHeads, linesOf } from '../../src/access/audit/kept-heads.js';
import { HeadSigner } from '../../src/access/audit/signed-head.js';
import { SecretBox } from '../../src/platform/secrets/secret-box.js';
import { type Operation, operationWith } from '../support/people.js';
import { openWorld, type World } from '../support/world.js';

const secrets = new SecretBox(randomBytes(32));
let world: World;
let yard: Operation;
let other: Operation;
let folder: string;
beforeAll(async () => {
  world = await openWorld({ secrets });
  other = await operationWith(world, { roles: ['owner'] });
  folder = mkdtempSync(path.join(tmpdir(), 'heads-'));
});
beforeEach(async () => {
  yard = await operationWith(world, { roles: ['owner'] });
  for (const name of ['North', 'South', 'East'])
    await yard.as.owner.post(yard.at('/ranches'), { name }, { expect: 201 });
});
afterAll(async () => {
  rmSync(folder, { recursive: true });
  await world.close();
});

interface Verified {
  holds: boolean;
  lines: number;
  lastHash: string;
  signedHead: string;
  keptHead: string | null;
}
const verified = async (keptHead?: string): Promise<Verified> =>
  (
    await yard.as.owner.get<Verified & Record<string, unknown>>(yard.at('/audit/verification'), {
      ...(keptHead === undefined ? {} : { query: { keptHead } }),
      expect: 200,
    })
  ).body;
const kept = (file: string) => ({ database: world.database, secrets, file: path.join(folder, file) });

/** With the guards off, as whoever holds the database could. */
async function behindTheGuards(...statements: string[]): Promise<void> {
  const client = await world.ownerPool.connect();
  try {
    await client.query('ALTER TABLE audit_entry DISABLE TRIGGER USER');
    for (const statement of statements) await client.query(statement.replaceAll('$OPERATION', `'${yard.id}'`));
  } finally {
    await client.query('ALTER TABLE audit_entry ENABLE TRIGGER USER');
    client.release();
  }
}
const RECOMPUTED = `DO $$ DECLARE line audit_entry; last text; BEGIN
  FOR line IN SELECT * FROM audit_entry WHERE operation_id = $OPERATION ORDER BY sequence LOOP
    last := rickyard.audit_hash(last, line);
    UPDATE audit_entry SET chain_hash = last WHERE operation_id = $OPERATION AND sequence = line.sequence;
  END LOOP;
END $$`;

describe('An audit', () => {
  it('whose tail was cut off holds in itself, and is told by the head that was kept', async () => {
    const before = await verified();
    await keepHeads(kept('cut'), world.clock.now());
    await behindTheGuards('DELETE FROM audit_entry WHERE operation_id = $OPERATION AND sequence > 2');
    const after = await verified(before.signedHead);
    expect(after).toMatchObject({ holds: true, lines: 2, keptHead: 'cut-off' });
    expect(await keepHeads(kept('cut'), world.clock.now())).toEqual([
      expect.stringMatching(new RegExp(`${yard.id}: line ${before.lines} .* was cut off`)),
    ]);
    // And again at every later start, however the chain has gone on.
    await yard.as.owner.post(yard.at('/ranches'), { name: 'West' }, { expect: 201 });
    expect(await keepHeads(kept('cut'), world.clock.now())).toHaveLength(1);
  });

  it('with a line edited and every hash computed again holds in itself, and is told by the head', async () => {
    const before = await verified();
    await keepHeads(kept('edited'), world.clock.now());
    await behindTheGuards(
      "UPDATE audit_entry SET address = '10.9.9.9' WHERE operation_id = $OPERATION AND sequence = 2",
      RECOMPUTED,
    );
    expect(await verified(before.signedHead)).toMatchObject({
      holds: true,
      lines: before.lines,
      keptHead: 'rewritten',
    });
    const lines = linesOf(readFileSync(path.join(folder, 'edited'), 'utf8'));
    const { faults } = await checkHeads({ database: world.database, secrets }, lines);
    expect(faults).toEqual([expect.stringMatching(new RegExp(`${yard.id}: line ${before.lines} .* was rewritten`))]);
  });

  it('with a line edited and nothing computed again is told by the command as well', async () => {
    await behindTheGuards('UPDATE audit_entry SET after = NULL WHERE operation_id = $OPERATION AND sequence = 2');
    const { faults } = await checkHeads({ database: world.database, secrets }, []);
    expect(faults).toContainEqual(`Operation ${yard.id}: line 2 of the audit was changed.`);
  });

  it('that goes on is no fault, of this operation or another; one head is kept where something was added', async () => {
    const before = await verified();
    await keepHeads(kept('good'), world.clock.now());
    const had = linesOf(readFileSync(path.join(folder, 'good'), 'utf8'));
    expect(had.filter((line) => line.includes(yard.id) || line.includes(other.id))).toHaveLength(2);
    await yard.as.owner.post(yard.at('/ranches'), { name: 'West' }, { expect: 201 });
    expect(await verified(before.signedHead)).toMatchObject({ holds: true, keptHead: 'holds' });
    await keepHeads(kept('good'), world.clock.now());
    const now = linesOf(readFileSync(path.join(folder, 'good'), 'utf8'));
    expect([now.length - had.length, now.at(-1)?.includes(yard.id)]).toEqual([1, true]);
  });

  it('of an operation that was deleted in due form is no fault', async () => {
    await keepHeads(kept('erased'), world.clock.now());
    await behindTheGuards(
      `INSERT INTO erased_operation SELECT operation_id, 'Gone', now(), person_id, now(), person_id, 'r', 'a', '{}',
         sequence, chain_hash FROM audit_entry WHERE operation_id = $OPERATION ORDER BY sequence DESC LIMIT 1`,
      'DELETE FROM audit_entry WHERE operation_id = $OPERATION',
    );
    expect((await keepHeads(kept('erased'), world.clock.now())).filter((fault) => fault.includes(yard.id))).toEqual([]);
  });
});

describe('A kept head', () => {
  it('that somebody without the key made, changed or took from another operation proves nothing', async () => {
    const { signedHead, lastHash, lines } = await verified();
    const made = new HeadSigner(new SecretBox(randomBytes(32))).signed({
      operationId: yard.id,
      sequence: lines,
      chainHash: lastHash,
      signedAt: world.clock.now().toISOString(),
    });
    const changed = signedHead.replace(` ${lines} `, ` ${lines - 1} `);
    const theirs = (await other.as.owner.get<{ signedHead: string }>(other.at('/audit/verification'), { expect: 200 }))
      .body.signedHead;
    for (const head of [made, changed, theirs, 'no head', signedHead.slice(0, -2)])
      expect([head, (await verified(head)).keptHead]).toEqual([head, 'not-ours']);
  });

  it('is checked without this program: Ed25519 over the line up to its last blank (RFC 8032, RFC 8037)', async () => {
    const { signedHead, lastHash, lines } = await verified();
    const parts = signedHead.split(' ');
    expect(parts.slice(0, 5)).toEqual([
      'rickyard-audit-head',
      yard.id,
      String(lines),
      lastHash,
      world.clock.now().toISOString(),
    ]);
    const key = createPublicKey({ key: { kty: 'OKP', crv: 'Ed25519', x: parts[5] ?? '' }, format: 'jwk' });
    const text = Buffer.from(parts.slice(0, 6).join(' '));
    expect(verify(null, text, key, Buffer.from(parts[6] ?? '', 'base64url'))).toBe(true);
  });
});
