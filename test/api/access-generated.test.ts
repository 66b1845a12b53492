/*
 * Requests generated from the API description, as every role: no 5xx, no answer outside the description, no id of
 * another operation in any body. Here a small seeded run; `node test/bench/generated-requests.mjs` makes the long one
 * of 10,000 by the same code.
 */
import pino from 'pino';
import { createLogger } from '../../src/platform/logs.js';
import { clientOf, join, type Operation, operationWith, person, type Role, ROLES } from '../support/people.js';
import { aWinterIn, operationTables } from '../support/winter.js';
import { openWorld, type World } from '../support/world.js';
import { RequestMaker, runGenerated, seeded } from './access/generated-requests.js';

const REQUESTS = Number(process.env['GENERATED_REQUESTS'] ?? '300');
const SEED = Number(process.env['GENERATED_SEED'] ?? '20261125');

let world: World;
/** What the log says of requests that failed: where a fault comes from. */
const failures: string[] = [];
beforeAll(async () => {
  const logger = createLogger('error');
  (logger as unknown as Record<symbol, unknown>)[pino.symbols.streamSym] = {
    write: (line: string) => failures.push(line),
  };
  world = await openWorld({ logger });
});
afterAll(async () => {
  await world.close();
});

/** Every id in the tables of an operation, by the name of the field that would hold it. */
async function idsOf(operation: Operation): Promise<Map<string, string[]>> {
  const ids = new Map<string, string[]>();
  for (const table of await operationTables(world)) {
    const { rows: columns } = await world.ownerPool.query(
      "SELECT 1 FROM information_schema.columns WHERE table_schema = 'public' " +
        "AND table_name = $1 AND column_name = 'id'",
      [table],
    );
    // The places of the people who ask are left alone: the run would end them.
    if (columns.length === 0 || ['membership', 'membership_change'].includes(table)) continue;
    const { rows } = await world.ownerPool.query<{ id: string }>(`SELECT id FROM ${table} WHERE operation_id = $1`, [
      operation.id,
    ]);
    if (rows.length > 0)
      ids.set(
        `${table.replaceAll(/_([a-z])/g, (_whole, letter: string) => letter.toUpperCase())}Id`,
        rows.map((row) => row.id),
      );
  }
  return ids;
}

it(
  `${REQUESTS} requests from the description are answered as it ` + "says, without a fault and without another's id",
  async () => {
    const ours = await operationWith(world);
    const theirs = await operationWith(world);
    await aWinterIn(ours);
    await aWinterIn(theirs);
    const own = await idsOf(ours);
    const foreign = [...(await idsOf(theirs)).values()]
      .flat()
      .concat(Object.values(theirs.people).map((one) => one.id));
    const random = seeded(SEED);
    const ids = { own, foreign, operationId: ours.id, foreignOperationId: theirs.id };
    const maker = new RequestMaker(world.description.document, ids, random);
    const key = (
      await ours.as.owner.post<{ secret: string }>(
        ours.at('/api-keys'),
        { name: 'Generated', scopes: ['read', 'prices'], expiresAt: '2027-12-31T00:00:00Z' },
        { expect: 201 },
      )
    ).body.secret;
    const left = await person(world, 'left');
    await join(world, left, ours.id, 'manager', { from: '2026-01-01T00:00:00Z', until: '2027-01-01T00:00:00Z' });
    // An owner of the other operation may see its ids; all others here may not. One who belongs nowhere asks too, and
    // nobody.
    // Owner and manager may do most; they ask most.
    const roles: readonly Role[] = [...ROLES, 'owner', 'owner', 'owner', 'manager', 'manager'];
    const askers = [
      ...roles.map((role) => [role, ours.as[role]] as const),
      ['key', world.anyone.as(key)] as const,
      ['ended', await clientOf(world, left)] as const,
      ['nobody', world.anyone] as const,
    ];
    const result = await runGenerated(maker, askers, REQUESTS, ids, random);
    process.stdout.write(
      `Generated requests: ${result.requests} over ${maker.operationCount} operations, seed ` +
        `${SEED}; by status ${JSON.stringify(result.byStatus)}; served ` +
        `${JSON.stringify(result.served)}; faults ${result.faults.length}\n`,
    );
    if (process.env['GENERATED_FAULTS'] !== undefined)
      (await import('node:fs')).writeFileSync(
        process.env['GENERATED_FAULTS'],
        [...result.faults, '', ...failures].join('\n'),
      );
    expect(result.faults.slice(0, 20)).toEqual([]);
    expect(result.requests).toBe(REQUESTS);
    // The run must have asked something: answers below 400 for every role, and refusals too.
    for (const role of ROLES) expect([role, (result.served[role] ?? 0) > 0]).toEqual([role, true]);
    expect(Object.keys(result.byStatus)).toEqual(expect.arrayContaining(['200', '400', '401', '403', '404']));
  },
);
