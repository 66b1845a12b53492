import { unzipSync } from 'fflate';
import { OwnersArchive } from '../../src/access/data-rights/owners-archive.js';
import { ENDPOINTS, formsOf, PAGES, transactionOf } from '../../src/platform/http/endpoint.js';
import { answerInThread, type ThreadRequest } from '../../src/platform/http/thread-request.js';
import { CostWriting } from '../../src/records/hay/costing/cost-writing.js';
import work from '../../src/worker.js';
import type { Job } from '../../src/platform/workers/job.js';
import { type Operation, operationWith } from '../support/people.js';
import { aWinterIn, type Winter } from '../support/winter.js';
import { inThisThread, openWorld, type World } from '../support/world.js';

/** Reads that a thread answers: the same answers, letter for letter, as the server gives by itself. */
const IN_THREAD = [...ENDPOINTS, ...PAGES].filter((one) => one.inThread !== undefined);
const LONG = 500;

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
    const [lot] = winter.lots;
    await world.ownerPool.query(
      `INSERT INTO stock_movement (operation_id, id, hay_lot_id, kind, kilograms, typed_value, typed_unit, effective_on,
         effective_at, ranch_id, herd_id, source_kind, source_id, recorded_by)
       SELECT $1, gen_random_uuid(), $2, 'feed', -0.1, '-0.1', 'kg', '2027-01-14', '2027-01-14 20:00Z', $3, $4,
         'feeding', $5, $6 FROM generate_series(0, $7::int)`,
      [operation.id, lot?.lotId, winter.ranchId, winter.herdId, winter.feedingId, operation.people.owner.id, LONG],
    );
  });
  afterAll(() => world.close());

  const told = async (
    path: string,
    posted?: object,
  ): Promise<{ status: number; headers: object; body: string | object }> => {
    const url = `${world.address}${path}`;
    const headers = { authorization: `Bearer ${operation.as.owner.token ?? ''}`, 'x-request-id': 'the-same' };
    const answer = await (posted === undefined
      ? fetch(url, { headers })
      : fetch(url, {
          method: 'POST',
          headers: { ...headers, 'content-type': 'application/json' },
          body: JSON.stringify(posted),
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
  const bothWays = async (path: string, posted?: object): Promise<Awaited<ReturnType<typeof told>>> => {
    threads = false;
    const here = await told(path, posted);
    threads = true;
    const there = await told(path, posted);
    threads = false;
    expect(there).toEqual(here);
    return here;
  };

  it('is a whole read: one transaction, or its own, and no version', () => {
    for (const one of IN_THREAD) {
      expect([one.operationId, transactionOf(one)]).toEqual([
        one.operationId,
        one.operationId in POSTED ? 'own' : 'read',
      ]);
      expect([one.versioned, one.creates]).toEqual([undefined, undefined]);
    }
  });

  /** What asks with a body, and writes nothing all the same. */
  const POSTED: Record<string, object> = { solveLeastCostRation: { on: '2027-01-14', days: 30 } };
  const QUERIES: Record<string, string> = {
    solveLeastCostRation: '',
    getSeasonRationPlan: 'from=2027-01&until=2027-02',
    portfolioPage: '',
    rationReportPage: 'on=2027-01-14',
    hayBudgetPage: '',
    hayPositionPage: 'on=2027-01-14',
    getHayBalances: 'on=2027-01-14',
    getHayPosition: 'on=2027-01-14',
    getHayBudget: 'from=2027-01-15&until=2027-02-15',
    getTrialBalance: 'until=2027-01-14',
    getBudgetAgainstActual: 'from=2026-11&until=2027-01',
  };
  /** Every address in its first form; one of each sort in all of them. */
  const IN_ALL_FORMS = ['getHayPosition', 'hayPositionPage'];
  const forms = IN_THREAD.flatMap((one) =>
    formsOf(one)
      .slice(0, IN_ALL_FORMS.includes(one.operationId) ? undefined : 1)
      .map((form) => [one.operationId, form, one] as const),
  );
  it.each(forms)('%s as %s', async (operationId, form, one) => {
    const query = QUERIES[operationId] ?? 'from=2026-11-01&until=2027-01-14';
    asked = [];
    const path = one.path.replace(':operationId', operation.id).replace(':herdId', winter.herdId);
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
});
