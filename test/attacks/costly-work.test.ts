/* Work that is made to be long: the absurd is refused by its size, the rest waits its turn and keeps nobody waiting. */
import { readdirSync, readFileSync } from 'node:fs';
import path from 'node:path';
import { closedArchive, unpackArchive } from '../../src/access/data-rights/archive-format.js';
import type { MadeArchive } from '../../src/access/data-rights/owners-archive.js';
import { Mass } from '../../src/core/units/mass.js';
import { HeavyWork } from '../../src/platform/workers/heavy-work.js';
import type { Problem } from '../../src/platform/http/problem.js';
import type { Job } from '../../src/platform/workers/job.js';
import { threadsOf, type Workers } from '../../src/platform/workers/workers.js';
import { asker as askerOf, clientOf, operationWith, person } from '../support/people.js';
import { aWinterIn } from '../support/winter.js';
import { openWorld, type World } from '../support/world.js';

interface Refusal {
  type: string;
  errors: { code: string; given: string; allowed: string }[];
}

/** 50 herds of 20 kinds each and 200 lots over three years, 10 changes: some hundred kilobytes of body. */
const absurdBudget = {
  from: '2026-01-01',
  until: '2029-01-01',
  substituteKinds: true,
  herds: Array.from({ length: 50 }, (_, herd) => ({
    name: `h${herd}`,
    headEvents: [{ day: '2026-01-01', kind: 'in', head: 100 }],
    intake: { dryMatterPerHeadDay: { value: '24', unit: 'lb' } },
    dryMatterPercent: 88,
    kinds: Array.from({ length: 20 }, (_kind, kind) => ({ hayKind: `k${herd}-${kind}`, sharePercent: 5 })),
  })),
  lots: Array.from({ length: 200 }, (_, lot) => ({
    name: `l${lot}`,
    hayKind: `k${lot % 50}-0`,
    balance: { value: '1000', unit: 'ton' },
    storedOn: '2025-07-01',
    countedOn: '2025-12-31',
  })),
  changes: Array.from({ length: 10 }, (_, change) => ({ name: `c${change}`, headTimes: 1.1 })),
};

/** Of every thread of this process. */
function nicenesses(): number[] {
  return readdirSync('/proc/self/task').map((thread) => {
    const stat = readFileSync(`/proc/self/task/${thread}/stat`, 'utf8');
    // The second field, in brackets, may hold anything.
    return Number(stat.slice(stat.lastIndexOf(')') + 2).split(' ')[16]);
  });
}

describe('Costly work', () => {
  let world: World;
  let release: () => void;
  let started: string[];
  /** Threads that begin what they are given and end it when told to. */
  const held: Workers = {
    threads: { reports: 4, files: 4 },
    memoryMb: 512,
    answersRequests: false,
    do: (job, deadline) =>
      new Promise((resolve, reject) => {
        started.push((job as Job).kind);
        const before = release;
        release = () => {
          before();
          resolve({ answer: { source: [] } });
        };
        deadline.addEventListener('abort', () => reject(deadline.reason as Error));
      }),
    close: () => Promise.resolve(),
  };
  beforeAll(async () => {
    world = await openWorld();
  });
  beforeEach(() => {
    started = [];
    release = () => undefined;
  });
  afterAll(async () => {
    await world.close();
  });

  it('a hay budget of 42 million steps and more is refused with the number, before any of them', async () => {
    const hand = await clientOf(world, await person(world, 'hand'));
    const answer = await hand.post<Refusal>('/v1/calculations/hay-budget', absurdBudget, { key: null });
    expect([answer.status, answer.body.type]).toEqual([422, '/problems/rule-broken']);
    const [found] = answer.body.errors;
    expect(found?.code).toBe('too-much-work');
    expect(found?.given).toMatch(/^2,\d{3},\d{3},\d{3} steps$/);
    expect(found?.allowed).toMatch(/^at most 6,000,000 steps/);
  });

  it('one person has half of the threads and a short queue, and others are not kept from theirs', async () => {
    const work = new HeavyWork(held);
    const job: Job = { kind: 'calculation', name: 'hay-budget', body: {} };
    const asked = Array.from({ length: 24 }, () =>
      work.run({ personId: 'hand' }, job).catch((error: unknown) => error),
    );
    const other = work.run({ personId: 'neighbor' }, job);
    await new Promise((resolve) => setImmediate(resolve));
    expect(started).toHaveLength(2 + 1);
    while (started.length < 2 + 8 + 1) {
      release();
      await new Promise((resolve) => setImmediate(resolve));
    }
    release();
    await other;
    const answers = await Promise.all(asked);
    const refused = answers.filter((one) => one instanceof Error);
    expect([answers.length - refused.length, refused.length]).toEqual([10, 14]);
    for (const one of refused)
      expect(one).toMatchObject({ code: 'too-much-at-once', headers: { 'Retry-After': expect.any(String) as string } });
  });

  it('one operation has its share, however many of its people ask', async () => {
    const work = new HeavyWork(held);
    const job: Job = { kind: 'least-cost', question: {} };
    const asked = ['a', 'b', 'c', 'd'].map((personId) => work.run({ personId, operationId: 'one' }, job));
    const other = work.run({ personId: 'e', operationId: 'two' }, job);
    await new Promise((resolve) => setImmediate(resolve));
    expect(started).toHaveLength(2 + 1);
    expect(work.load()).toEqual({ running: 2 + 1, waiting: 2 });
    for (let turn = 0; turn < 4; turn += 1) {
      release();
      await new Promise((resolve) => setImmediate(resolve));
    }
    await Promise.all([...asked, other]);
    expect(work.load()).toEqual({ running: 0, waiting: 0 });
  });

  it('checks of files have threads apart: whose check runs still gets reports, and the other way round', async () => {
    const file: Job = { kind: 'csv-file', text: '', rules: {} };
    const report: Job = { kind: 'least-cost', question: {} };
    const asking = { personId: 'one', operationId: 'one' };
    for (const [kind, first, other] of [
      ['least-cost', file, report],
      ['csv-file', report, file],
    ] as const) {
      started = [];
      // Two at a time in each lane, as on the smallest machine: one of them for an operation.
      const work = new HeavyWork({ ...held, threads: { reports: 2, files: 2 } });
      const asked = [work.run(asking, first), work.run(asking, first), work.run(asking, other)];
      await new Promise((resolve) => setImmediate(resolve));
      expect(started).toEqual([first.kind, kind]);
      // And a neighbor, whose file is not kept waiting by one that runs.
      asked.push(work.run({ personId: 'two', operationId: 'two' }, first));
      await new Promise((resolve) => setImmediate(resolve));
      expect(started).toEqual([first.kind, kind, first.kind]);
      while (work.load().running > 0) {
        release();
        await new Promise((resolve) => setImmediate(resolve));
      }
      expect(await Promise.all(asked)).toHaveLength(4);
    }
  });

  it('a job is timed from when it begins, and one stopped is told in words about what was asked', async () => {
    const work = new HeavyWork({ ...held, threads: { reports: 2, files: 1 } }, 1);
    const file: Job = { kind: 'workbook-file', text: '', rules: {} };
    const told = async (job: Job, personId: string): Promise<string | undefined> =>
      work.run({ personId }, job).then(
        () => undefined,
        (error: unknown) => (error as Problem).detail,
      );
    const [first, second] = await Promise.all([told(file, 'a'), told(file, 'b')]);
    for (const one of [first, second])
      expect(one).toBe('Going through the file was stopped after 0.001 seconds. Cut it into files of fewer rows.');
    // The second was begun once the first had ended.
    expect(started).toHaveLength(2);
    expect(await told({ kind: 'trial-judgement', trial: {} }, 'a')).toMatch(/^Judging the trial was stopped after/);
    for (const words of [first, await told({ kind: 'archive', asker: {} as never, operationId: 'x' }, 'a')])
      expect(words).not.toMatch(/herds|lots|calculat/);
  });

  it('whoever has gone is not worked for: their job ends, and what waits is not begun', async () => {
    const work = new HeavyWork(held);
    const gone = new AbortController();
    const asked = ['a', 'b', 'c', 'd'].map((personId) =>
      work.run({ personId, operationId: 'one' }, { kind: 'least-cost', question: {} }, { gone: gone.signal }),
    );
    await new Promise((resolve) => setImmediate(resolve));
    expect(started).toHaveLength(2);
    gone.abort();
    for (const one of await Promise.allSettled(asked)) expect(one.status).toBe('rejected');
    expect(started).toHaveLength(2);
    expect(work.load()).toEqual({ running: 0, waiting: 0 });
  });

  it('a job past its deadline is ended, and its person is told when to come back', async () => {
    const work = new HeavyWork(held, 1);
    await expect(work.run({ personId: 'hand' }, { kind: 'least-cost', question: {} })).rejects.toMatchObject({
      code: 'took-too-long',
      headers: { 'Retry-After': '60' },
    });
  });

  it('a thread that runs out of memory is told as such, and the next job gets another thread', async () => {
    const worker = path.resolve(__dirname, '..', '..', 'src', 'worker.ts');
    const support = path.resolve(__dirname, '..', 'support', 'run-typescript.cjs');
    const workers = threadsOf(worker, undefined, ['--require', support], 12);
    const work = new HeavyWork(workers);
    const rows = Array.from({ length: 100_000 }, (_, row) => [`lot ${row}`]);
    try {
      for (let turn = 0; turn < 2; turn += 1)
        await expect(
          work.run(
            { personId: 'hand' },
            {
              kind: 'workbook',
              table: { columns: [{ name: 'lot', type: 'text' }], rows },
              sheetName: 'x',
              remarks: [],
            },
          ),
        ).rejects.toMatchObject({
          code: 'took-too-long',
          status: 503,
          headers: { 'Retry-After': '60' },
          detail: expect.stringContaining('12 MB') as string,
        });
    } finally {
      await workers.close();
    }
  });

  it('real threads do it, exactly, and say what they refuse', async () => {
    const support = path.resolve(__dirname, '..', 'support', 'run-typescript.cjs');
    const parts = { appUrl: world.appUrl, logLevel: 'silent', slowStatementMs: 60_000 };
    const workers = threadsOf(path.resolve(__dirname, '..', '..', 'src', 'worker.ts'), parts, ['--require', support]);
    const work = new HeavyWork(workers);
    try {
      const asking = { personId: 'hand' };
      const base = {
        from: '2026-11-01',
        until: '2026-11-11',
        currency: 'USD',
        prices: [],
        lots: [],
        herds: [
          {
            herdId: 'h',
            headEvents: [{ day: '2026-11-01', kind: 'in', head: 1 }],
            dryMatterIntakePerHeadDay: Mass.of('30', 'lb'),
            dryMatter: '1',
            waste: '0',
            wasteConvention: 'divisor',
            kinds: [{ hayKind: 'grass', share: '1' }],
          },
        ],
      };
      // 30 lb a day for 10 days is 300 lb: no formula.
      const answer = (await work.run(asking, { kind: 'what-ifs', question: { base, changes: [] } })) as {
        base: { yard: { needed: Mass } };
      };
      expect(answer.base.yard.needed).toBeInstanceOf(Mass);
      expect(answer.base.yard.needed.in('lb').toFixed()).toBe('300');
      const sheet = (await work.run(asking, {
        kind: 'workbook',
        table: { columns: [{ name: 'lot', type: 'text' }], rows: [['1']] },
        sheetName: 'x',
        remarks: [],
      })) as Uint8Array;
      expect(Buffer.from(sheet).subarray(0, 2).toString()).toBe('PK');
      // A whole request, by the thread's own connections and under the policies: an owner's, and a stranger's.
      const operation = await operationWith(world);
      const request = (
        who: { id: string },
        endpoint = 'getTrialBalance',
        query: Record<string, string> = { until: '2027-01-14' },
      ): Job => ({
        kind: 'request',
        request: {
          endpoint,
          takesFile: false,
          asker: askerOf(world, who),
          operationId: operation.id,
          input: { params: { operationId: operation.id }, query, body: undefined, expectedVersion: 0 },
          url: '/',
          form: 'json',
        },
      });
      const whole = (await work.run(asking, request(operation.people.owner))) as { content: string };
      expect(JSON.parse(whole.content)).toMatchObject({ operationId: operation.id, rows: [] });
      // What is due of its costs is written by the thread: nothing here.
      expect(await work.run(asking, { kind: 'costs', operationId: operation.id })).toBe('all');
      await expect(work.run(asking, request(await person(world, 'stranger')))).rejects.toMatchObject({
        code: 'not-found',
      });
      // A read that asks for heavy work of its own gets it done in the thread it is answered in, figures and all.
      await aWinterIn(operation);
      const days = { from: '2027-01-15', until: '2027-04-15' };
      const query = { ...days, intake: 'equations', substituteKinds: 'true', edition: 'NRC2000', view: 'months' };
      const budget = (await work.run(asking, request(operation.people.owner, 'getHayBudget', query))) as typeof whole;
      const here = await operation.as.owner.get(operation.at('/reports/hay-budget'), { query: days, expect: 200 });
      expect(JSON.parse(budget.content)).toEqual(here.body);
      // An archive of its owner; a stranger learns not even that there is an operation.
      const archive = (who: { id: string }): Job => ({
        kind: 'archive',
        asker: askerOf(world, who),
        operationId: operation.id,
      });
      const made = (await work.run(asking, archive(operation.people.owner))) as MadeArchive;
      // The thread has no key to seal it with: its last line is the server's.
      const closed = closedArchive({ ...made, content: Buffer.from(made.content, 'base64') }, undefined);
      expect(unpackArchive(closed).records).toHaveLength(made.records);
      await expect(work.run(asking, archive(await person(world, 'stranger')))).rejects.toMatchObject({
        code: 'not-found',
      });
      // Where threads have a priority of their own (proc(5), stat: the 19th field), these stand back from the requests.
      if (process.platform === 'linux') expect(nicenesses()).toEqual(expect.arrayContaining([0, 10]));
    } finally {
      await workers.close();
    }
  });
});
