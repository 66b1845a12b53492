import { randomUUID } from 'node:crypto';
import { unzipSync } from 'fflate';
import { OwnersArchive } from '../../src/access/data-rights/owners-archive.js';
import { ENDPOINTS, formsOf, PAGES, transactionOf } from '../../src/platform/http/endpoint.js';
import { answerInThread, type ThreadRequest } from '../../src/platform/http/thread-request.js';
import { CostWriting } from '../../src/records/hay/costing/cost-writing.js';
import work from '../../src/worker.js';
import type { Job } from '../../src/platform/workers/job.js';
import { type Operation, operationWith } from '../support/people.js';
import { herd } from '../support/things.js';
import { aWinterIn, type Winter } from '../support/winter.js';
import { inThisThread, openWorld, type World } from '../support/world.js';

/** Reads that a thread answers: the same answers, letter for letter, as the server gives by itself. */
const ALL_IN_THREAD = [...ENDPOINTS, ...PAGES].filter((one) => one.inThread !== undefined);
const [IN_THREAD, FILES] = [false, true].map((ofFiles) =>
  ALL_IN_THREAD.filter((one) => (one.inThread === 'long-file') === ofFiles),
) as [typeof ALL_IN_THREAD, typeof ALL_IN_THREAD];
const LONG = 500;
const HERDS = 5;

describe('A read answered in a thread', () => {
  let world: World;
  let operation: Operation;
  let winter: Winter;
  let threads = false;
  let asked: string[] = [];
  const pdfOf = async (job: Job): Promise<Buffer> => Buffer.from(((await work(job)) as { answer: Uint8Array }).answer);
  beforeAll(async () => {
    world = await openWorld({
      workers: {
        ...inThisThread,
        get answersRequests() {
          return threads;
        },
        do: async (job, ended) => {
          const { kind } = job as Job;
          if (kind === 'costs') {
            asked.push(kind);
            return { answer: await world.application.get(CostWriting).inTurn(operation.id) };
          }
          if (kind === 'archive') {
            asked.push(kind);
            const { asker, operationId } = structuredClone(job) as Extract<Job, { kind: 'archive' }>;
            return { answer: await world.application.get(OwnersArchive).here(asker, operationId) };
          }
          if (kind !== 'request') return inThisThread.do(job, ended);
          const { request } = structuredClone(job) as { request: ThreadRequest };
          asked.push(request.endpoint);
          return structuredClone({ answer: await answerInThread(world.application, request, pdfOf) });
        },
      },
    });
    operation = await operationWith(world);
    winter = await aWinterIn(operation);
    for (let more = 0; more < HERDS; more += 1) await herd(operation, winter.ranchId, { name: `Herd ${more}` });
    const [lot] = winter.lots;
    await world.ownerPool.query(
      `INSERT INTO stock_movement (operation_id, id, hay_lot_id, kind, kilograms, typed_value, typed_unit, effective_on,
         effective_at, ranch_id, herd_id, source_kind, source_id, recorded_by)
       SELECT $1, gen_random_uuid(), $2, 'feed', -0.1, '-0.1', 'kg', '2027-01-14', '2027-01-14 20:00Z', $3, $4,
         'feeding', $5, $6 FROM generate_series(0, $7::int)`,
      [operation.id, lot?.lotId, winter.ranchId, winter.herdId, winter.feedingId, operation.people.owner.id, LONG],
    );
    await world.ownerPool.query(
      `INSERT INTO audit_entry (operation_id, sequence, person_id, request_id, address, action, subject_kind,
         subject_id, chain_hash)
       SELECT $1, 0, $2, 'seen', '127.0.0.1', 'feeding.create', 'feeding', $3, '' FROM generate_series(0, $4::int)`,
      [operation.id, operation.people.owner.id, winter.feedingId, LONG],
    );
  });
  afterAll(() => world.close());

  const told = async (
    path: string,
    posted?: object | string,
    { key, as = 'owner' }: { key?: string; as?: 'owner' | 'manager' } = {},
  ): Promise<{ status: number; headers: object; body: string | object }> => {
    const url = `${world.address}${path}`;
    const headers = {
      authorization: `Bearer ${operation.as[as].token ?? ''}`,
      'x-request-id': 'the-same',
      ...(key === undefined ? {} : { 'idempotency-key': key }),
    };
    const answer = await (posted === undefined
      ? fetch(url, { headers })
      : fetch(url, {
          method: 'POST',
          headers: { ...headers, 'content-type': typeof posted === 'string' ? 'text/csv' : 'application/json' },
          body: typeof posted === 'string' ? posted : JSON.stringify(posted),
        }));
    const { date: _date, ...rest } = Object.fromEntries(answer.headers);
    const bytes = new Uint8Array(await answer.arrayBuffer());
    // A workbook is a ZIP that names the second it was made in.
    const isZip = bytes[0] === 0x50 && bytes[1] === 0x4b;
    if (isZip) delete rest['etag'];
    return {
      status: answer.status,
      headers: rest,
      body: isZip ? unzipSync(bytes) : Buffer.from(bytes).toString('latin1'),
    };
  };
  const bothWays = async (path: string, posted?: object | string): Promise<Awaited<ReturnType<typeof told>>> => {
    threads = false;
    const here = await told(path, posted);
    threads = true;
    const there = await told(path, posted);
    threads = false;
    expect(there).toEqual(here);
    return here;
  };

  const eachWay = async <T>(ask: (inThread: boolean) => Promise<T>): Promise<[T, T]> => {
    const here = await ask(false);
    threads = true;
    const there = await ask(true).finally(() => {
      threads = false;
    });
    return [here, there];
  };

  it('is a whole read: one transaction, or its own, and no version', () => {
    for (const one of IN_THREAD) {
      expect([one.operationId, transactionOf(one)]).toEqual([
        one.operationId,
        one.operationId in POSTED ? 'own' : 'read',
      ]);
      expect([one.versioned, one.creates]).toEqual([undefined, undefined]);
    }
    // What writes opens its own transactions, so that a thread can do it whole.
    for (const one of FILES)
      expect([one.operationId, transactionOf(one), one.bodyType]).toEqual([one.operationId, 'own', 'text/csv']);
  });

  /** What asks with a body, and writes nothing all the same. */
  const POSTED: Record<string, object> = { solveLeastCostRation: { on: '2027-01-14', days: 30 } };
  const QUERIES: Record<string, string> = {
    solveLeastCostRation: '',
    getSeasonRationPlan: 'from=2027-01&until=2027-02',
    portfolioPage: '',
    rationReportPage: 'on=2027-01-14',
    rationDeskPage: 'on=2027-01-14',
    rationPage: 'on=2027-01-14',
    moneyBudgetPage: 'from=2026-11&until=2027-01',
    hayBudgetPage: '',
    hayPositionPage: 'on=2027-01-14',
    getHayBalances: 'on=2027-01-14',
    getHayPosition: 'on=2027-01-14',
    getYearEndInventory: 'on=2027-01-14',
    getHayBudget: 'from=2027-01-15&until=2027-02-15',
    getTrialBalance: 'until=2027-01-14',
    listRationReviews: 'on=2027-01-14',
    listPortfolioHerds: 'on=2027-01-14',
    getLotCard: 'until=2027-01-14',
    lotCardPage: 'until=2027-01-14',
    exportAudit: '',
    getBudgetAgainstActual: 'from=2026-11&until=2027-01',
  };
  /** Every address in its first form; one of each sort in all of them. */
  const IN_ALL_FORMS = ['getHayPosition', 'hayPositionPage'];
  const forms = IN_THREAD.filter((one) => !one.path.includes(':rationId')).flatMap((one) =>
    formsOf(one)
      .slice(0, IN_ALL_FORMS.includes(one.operationId) ? undefined : 1)
      .map((form) => [one.operationId, form, one] as const),
  );
  it.each(forms)('%s as %s', async (operationId, form, one) => {
    const query = QUERIES[operationId] ?? 'from=2026-11-01&until=2027-01-14';
    asked = [];
    const path = one.path
      .replace(':operationId', operation.id)
      .replace(':herdId', winter.herdId)
      .replace(':hayLotId', winter.lots[0]?.lotId ?? '');
    const posted = POSTED[operationId];
    const url = posted === undefined ? `${path}?${query}${query === '' ? '' : '&'}format=${form}` : path;
    const { status } = await bothWays(url, posted);
    expect([status, asked]).toEqual([200, [operationId]]);
  });

  it('is a page with its link to the next one, and what a cursor of another list is refused with', async () => {
    const path = `${operation.at('/journal')}?until=2027-01-14&limit=3`;
    const { headers, body } = await bothWays(path);
    const next = /<([^>]+)>; rel="next"/.exec((headers as { link: string }).link)?.[1] ?? '';
    const { items, nextCursor } = JSON.parse(body as string) as { items: { entryId: string }[]; nextCursor: string };
    expect([items.length, next.includes(nextCursor)]).toEqual([3, true]);
    const second = JSON.parse((await bothWays(next)).body as string) as { items: { entryId: string }[] };
    expect(second.items.map((one) => one.entryId)).not.toContain(items.at(-1)?.entryId);
    expect((await bothWays(`${path}&cursor=x`)).status).toBe(400);
  });

  it('tells what it refuses in the same words', async () => {
    const plan = operation.at('/season-ration-plan');
    for (const query of ['from=2027-01&until=2029-01', 'herdId=0192e798-be00-7000-8000-000000000001'])
      expect((await bothWays(`${plan}?${query}`)).status).toBeGreaterThanOrEqual(400);
  });

  it('and an archive, whose line in the audit is written here', async () => {
    const lines = async (): Promise<number> =>
      (
        await world.ownerPool.query("SELECT FROM audit_entry WHERE operation_id = $1 AND action = 'operation.export'", [
          operation.id,
        ])
      ).rowCount ?? 0;
    const before = await lines();
    const archive = async (inThread: boolean) => {
      [threads, asked] = [inThread, []];
      const { status, body } = await told(operation.at('/archive'));
      threads = false;
      return { status, asked, ...(JSON.parse(body as string) as { records: number; tables: { table: string }[] }) };
    };
    const [here, there] = [await archive(false), await archive(true)];
    expect([here.status, here.asked, there.status, there.asked]).toEqual([200, [], 200, ['archive']]);
    // The second holds the line of the first.
    expect([there.records, await lines()]).toEqual([here.records + 1, before + 2]);
    expect(there.tables.map(({ table }) => table)).toEqual(here.tables.map(({ table }) => table));
  });

  it('of a short ledger stays where it is', async () => {
    const other = await operationWith(world, { roles: ['owner'] });
    threads = true;
    asked = [];
    await other.as.owner.get(other.at('/reports/season-cost?from=2026-11-01&until=2027-01-14'), { expect: 200 });
    threads = false;
    expect(asked).toEqual([]);
  });

  it('what is due of a long ledger is written there too', async () => {
    const due = async (): Promise<number> =>
      (await world.ownerPool.query('SELECT FROM costing_due WHERE operation_id = $1', [operation.id])).rowCount ?? 0;
    // Beside the server's back, so that nobody has written them.
    expect(await due()).toBeGreaterThan(0);
    [threads, asked] = [true, []];
    await world.application.get(CostWriting).everywhere();
    threads = false;
    expect([await due(), asked]).toEqual([0, ['costs']]);
  });

  describe('a long file', () => {
    const rowsOf = (rows: number, pounds: number): string =>
      [
        'herd,fed_on,method,role,lot,weight_lb',
        ...Array.from(
          { length: rows },
          (_, row) =>
            `Weaned calves,2027-01-${row % 2 === 0 ? 13 : 14},windrow-on-ground,mixed,Coarse meadow,${pounds}`,
        ),
      ].join('\r\n');
    const to = (tail = ''): string => operation.at(`/imports/feedings${tail}`);

    it('is checked there, and refused there in the same words', async () => {
      expect(FILES.length).toBeGreaterThan(10);
      asked = [];
      const checked = await bothWays(to('/check'), rowsOf(100, 0.1));
      const problems = await bothWays(to('/check?format=csv'), rowsOf(100, -1));
      expect([checked.status, problems.status, asked]).toEqual([
        200,
        200,
        ['checkImportOfFeedings', 'checkImportOfFeedings'],
      ]);
      // Two rows are problems; the others look like them, and would be problems too.
      expect([(problems.body as string).split('\r\n').length]).toEqual([1 + 2 + 98 + 98 + 1]);
      const [here, there] = await eachWay(() => told(to('?duplicates=enter'), rowsOf(100, -1), { key: randomUUID() }));
      expect(there).toEqual(here);
      expect([here.status, asked]).toEqual([
        422,
        [...Array<string>(2).fill('checkImportOfFeedings'), 'importFeedings'],
      ]);
    });

    it('is taken in there, once for its key', async () => {
      const records = async (): Promise<number> => (await world.ownerPool.query('SELECT FROM feeding')).rowCount ?? 0;
      const before = await records();
      const keys = [randomUUID(), randomUUID()] as const;
      const [here, there] = await eachWay((inThread) =>
        told(to('?duplicates=enter'), rowsOf(100, inThread ? 0.2 : 0.3), { key: keys[inThread ? 1 : 0] }),
      );
      expect([here.status, there.status, await records()]).toEqual([201, 201, before + 200]);
      const made = JSON.parse(there.body as string) as Record<string, unknown>;
      expect(Object.keys(made)).toEqual(Object.keys(JSON.parse(here.body as string) as object));
      expect([made['state'], made['recordCount']]).toEqual(['done', 100]);
      expect(Object.keys(there.headers).sort()).toEqual(Object.keys(here.headers).sort());
      expect(there.headers).toMatchObject({ location: to(`/../${String(made['id'])}`).replace('/feedings/..', '') });
      threads = true;
      const again = await told(to('?duplicates=enter'), rowsOf(100, 0.2), { key: keys[1] });
      const otherwise = await told(to('?duplicates=enter'), rowsOf(100, 0.4), { key: keys[1] });
      threads = false;
      expect([again.status, again.body]).toEqual([201, there.body]);
      expect([otherwise.status, await records()]).toEqual([422, before + 200]);
    });

    it('whose answer may not be seen again tells where its record is', async () => {
      const once = { key: randomUUID(), as: 'manager' } as const;
      threads = true;
      const first = await told(to('?duplicates=enter'), rowsOf(100, 0.5), once);
      // As if the manager could do more then.
      const more = "UPDATE idempotency_record SET acts = acts || '{own}'::text[] WHERE key = $1";
      await world.ownerPool.query(more, [once.key]);
      const again = await told(to('?duplicates=enter'), rowsOf(100, 0.5), once);
      threads = false;
      const { location } = first.headers as { location: string };
      const withLocation = expect.objectContaining({ location }) as object;
      expect([first.status, again.status, again.headers]).toEqual([201, 403, withLocation]);
    });

    it('of a few rows stays where it is', async () => {
      [threads, asked] = [true, []];
      const { status } = await told(to('/check'), rowsOf(10, 0.1));
      threads = false;
      expect([status, asked.filter((one) => one !== 'costs')]).toEqual([200, []]);
    });
  });
});
