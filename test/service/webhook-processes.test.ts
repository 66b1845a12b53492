/*
 * Several server processes on one database deliver for webhooks, and some of them end in the middle. A message is sent
 * by one of them, again under the same name where one was killed before it noted the answer, and a receiver that is
 * silent keeps nobody else waiting. The processes are servers of their own in this one; nothing waits for a clock.
 */
import { spawn } from 'node:child_process';
import { readFileSync } from 'node:fs';
import path from 'node:path';
import { Jobs } from '../../src/platform/jobs/jobs.js';
import { Outgoing, type Posted } from '../../src/platform/outgoing/outgoing.js';
import { type Operation, operationWith } from '../support/people.js';
import { openReceiver, type Receiver } from '../support/receiver.js';
import { lot, ranch } from '../support/things.js';
import { delivered, passed, webhook, type WebhookShown } from '../support/webhooks.js';
import { openWorld, type World } from '../support/world.js';

let receiver: Receiver;
let world: World;
beforeAll(async () => {
  receiver = await openReceiver();
  world = await openWorld({ outgoing: receiver.outgoing });
});
beforeEach(() => {
  receiver.answers = () => ({ status: 204 });
  receiver.taken.length = 0;
});
afterAll(async () => {
  await world.close();
  await receiver.close();
});

const beside = (outgoing = receiver.outgoing): Promise<World> =>
  openWorld({ beside: world, outgoing, now: world.clock.now().toISOString() });
const anOperation = (): Promise<Operation> => operationWith(world, { roles: ['manager', 'accountant'] });
/** As many corrections, each a message of its own. */
async function corrections(operation: Operation, many: number): Promise<void> {
  const yard = await ranch(operation);
  for (let more = 0; more < many; more += 1) {
    const { purchaseId } = await lot(operation, yard);
    const address = operation.at(`/hay-purchases/${purchaseId}/reversal`);
    await operation.as.manager.post(address, { reason: 'Typed twice' }, { expect: 201 });
  }
}
const standing = async (of: Operation, { id }: WebhookShown): Promise<WebhookShown> =>
  (await of.as.accountant.get<WebhookShown>(of.at(`/webhooks/${id}`), { expect: 200 })).body;
/** Once so many messages have come in, counted by the receiver itself. */
function arrived(many: number, path: string): Promise<void> {
  const before = receiver.answers;
  return new Promise((resolve) => {
    receiver.answers = (message) => {
      if (receiver.idsAt(path).length >= many) resolve();
      return before(message);
    };
  });
}

it('each message is sent by one process, once', async () => {
  const other = await beside();
  try {
    const operations = [await anOperation(), await anOperation()];
    for (const [at, operation] of operations.entries()) {
      await webhook(operation, receiver.url(`/each-${at}`));
      await webhook(operation, receiver.url(`/each-${at}`));
      await corrections(operation, 3);
    }
    await Promise.all([delivered(world), delivered(other), delivered(world), delivered(other)]);
    await delivered(world);
    for (const at of operations.keys()) {
      const ids = receiver.idsAt(`/each-${at}`);
      // Two webhooks are told of the same three.
      expect([ids.length, new Set(ids).size]).toEqual([6, 3]);
    }
  } finally {
    await other.close();
  }
});

/** Sends, and is killed before anybody learns what was answered. */
class KilledAfterSending extends Outgoing {
  readonly sent: Promise<void>;
  #tell: () => void = () => undefined;
  constructor(private readonly through: Outgoing) {
    super();
    this.sent = new Promise((resolve) => {
      this.#tell = resolve;
    });
  }
  override async post(...message: Parameters<Outgoing['post']>): Promise<Posted> {
    await this.through.post(...message);
    this.#tell();
    return new Promise<never>(() => undefined);
  }
}

it('one that was killed after sending has it sent again by another, under the same name', async () => {
  const outgoing = new KilledAfterSending(receiver.outgoing);
  const killed = await beside(outgoing);
  const operation = await anOperation();
  const hook = await webhook(operation, receiver.url('/killed'));
  await corrections(operation, 1);
  void delivered(killed);
  await outgoing.sent;
  expect(receiver.idsAt('/killed')).toHaveLength(1);
  // As long as it may still be at it, nobody else tries.
  await world.application.get(Jobs).tidy();
  await delivered(world);
  expect(receiver.idsAt('/killed')).toHaveLength(1);
  await passed(world, { minutes: 3 });
  await world.application.get(Jobs).tidy();
  await passed(world, { minutes: 3 });
  await delivered(world);
  const ids = receiver.idsAt('/killed');
  expect([ids.length, new Set(ids).size]).toEqual([2, 1]);
  const { rows } = await world.ownerPool.query(
    `SELECT a.number, a.status, a.problem FROM webhook_attempt a JOIN webhook_delivery d ON d.id = a.webhook_delivery_id
      WHERE d.webhook_id = $1 ORDER BY a.number`,
    [hook.id],
  );
  expect(rows).toEqual([
    {
      number: 1,
      status: null,
      problem: 'The server ended before it was noted what came of it; it may have arrived.',
    },
    { number: 2, status: 204, problem: null },
  ]);
  await killed.close();
});

it('one whose clock is behind does not lose what is not due yet by it', async () => {
  const operation = await anOperation();
  await webhook(operation, receiver.url('/behind'));
  await passed(world, { minutes: 5 });
  const behind = await openWorld({
    beside: world,
    outgoing: receiver.outgoing,
    now: new Date(world.clock.now().getTime() - 120_000).toISOString(),
  });
  await corrections(operation, 1);
  await delivered(behind);
  expect(receiver.idsAt('/behind')).toEqual([]);
  behind.clock.advance({ minutes: 2 });
  await passed(world, { minutes: 2 });
  await delivered(behind);
  expect(receiver.idsAt('/behind')).toHaveLength(1);
  await behind.close();
});

it('a receiver that says nothing keeps nobody waiting, nor the rest of its own operation', async () => {
  const silent = await anOperation();
  const brisk = await anOperation();
  let release: () => void = () => undefined;
  const released = new Promise<void>((resolve) => {
    release = resolve;
  });
  receiver.answers = async ({ path }) => {
    if (path === '/silent') await released;
    return { status: 204 };
  };
  for (let more = 0; more < 4; more += 1) await webhook(silent, receiver.url('/silent'));
  await webhook(brisk, receiver.url('/brisk'));
  await corrections(silent, 3);
  const all = arrived(3, '/brisk');
  await corrections(brisk, 3);
  const other = await beside();
  try {
    other.application.get(Jobs).start();
    await all;
    // Of its own operation two at most are under way at a time; what is sent for others meanwhile is not held up.
    expect(receiver.idsAt('/silent').length).toBeLessThanOrEqual(2);
    release();
  } finally {
    await other.close();
  }
});

it('one that is stopped ends what it has begun and leaves the rest to others', async () => {
  const operation = await anOperation();
  const hook = await webhook(operation, receiver.url('/stopped'));
  await corrections(operation, 3);
  let answer: () => void = () => undefined;
  const mayAnswer = new Promise<void>((resolve) => {
    answer = resolve;
  });
  receiver.answers = async () => {
    await mayAnswer;
    return { status: 204 };
  };
  const first = arrived(1, '/stopped');
  const stopped = await beside();
  stopped.application.get(Jobs).start();
  await first;
  const closed = stopped.close();
  answer();
  await closed;
  const left = await standing(operation, hook);
  expect([receiver.idsAt('/stopped').length, left.waiting]).toEqual([1, 2]);
  await delivered(world);
  const ids = receiver.idsAt('/stopped');
  expect([ids.length, new Set(ids).size, (await standing(operation, hook)).waiting]).toEqual([3, 3, 0]);
});

it('the receiver that the README shows takes a message, by the real time', async () => {
  const readme = readFileSync(path.resolve(__dirname, '../../README.md'), 'utf8');
  const program = /^```js\n(import .*?)^```$/ms.exec(readme)?.[1] ?? '';
  const hosts: string[] = [];
  // What the receiver is called is known once it listens.
  const outgoing = new (class extends Outgoing {
    override receiver(text: string): ReturnType<Outgoing['receiver']> {
      return new Outgoing({ innerHosts: hosts }).receiver(text);
    }
    override post(...message: Parameters<Outgoing['post']>): Promise<Posted> {
      return new Outgoing({ innerHosts: hosts }).post(...message);
    }
  })();
  const now = await openWorld({ beside: world, outgoing, now: new Date().toISOString() });
  const operation = await operationWith(now, { roles: ['accountant'] });
  hosts.push('127.0.0.1:1');
  const hook = await webhook(operation, 'http://127.0.0.1:1/', ['books.closed']);
  const child = spawn(process.execPath, ['--input-type=module', '--eval', program], {
    cwd: path.resolve(__dirname, '../..'),
    env: { PATH: process.env['PATH'], PORT: '0', WEBHOOK_SECRET: hook.secret },
    stdio: ['ignore', 'pipe', 'inherit'],
  });
  let said = '';
  const saying = (words: RegExp): Promise<string> =>
    new Promise((resolve, reject) => {
      child.once('close', () => reject(new Error(`It ended: ${said}`)));
      const look = (): void => {
        const found = words.exec(said);
        if (found !== null) resolve(found[1] ?? found[0]);
      };
      child.stdout.on('data', (piece: Buffer) => {
        said += piece.toString('utf8');
        look();
      });
      look();
    });
  try {
    const host = `127.0.0.1:${await saying(/listening (\d+)/)}`;
    hosts.push(host);
    const address = operation.at(`/webhooks/${hook.id}`);
    const { headers } = await operation.as.owner.get(address, { expect: 200 });
    await operation.as.owner.patch(
      address,
      { url: `http://${host}/` },
      { ifMatch: headers['etag'] ?? '', expect: 200 },
    );
    await operation.as.accountant.post(`${address}/tests`, undefined, { expect: 201 });
    await delivered(now);
    await saying(new RegExp(`webhook.tested ${operation.id} null`));
    expect(await standing(operation, hook)).toMatchObject({ waiting: 0, failingSince: null });
  } finally {
    child.removeAllListeners('close');
    child.kill();
    await now.close();
  }
});
