import { createHash, timingSafeEqual } from 'node:crypto';
import type { FastifyInstance } from 'fastify';
import type { Database } from '../database/database.js';
import type { Replica, ReplicaNow } from '../database/replica.js';
import { sendProblem } from '../http/problem.filter.js';
import { Problem } from '../http/problem.js';
import type { HeavyWork } from '../workers/heavy-work.js';

/** What is measured, beside the process itself. */
interface Measured {
  database: Pick<Database, 'connections' | 'replica'>;
  heavyWork: Pick<HeavyWork, 'load'>;
}

/** In seconds; from a light read to the longest that a statement may take. */
const BUCKETS = [0.005, 0.01, 0.025, 0.05, 0.1, 0.25, 0.5, 1, 2.5, 10, 60];

/**
 * Serves /metrics in the open text format that monitoring reads, to whoever has its key. Nothing in it names an
 * operation, a person or a record: an address stands for itself by its pattern.
 */
export async function serveMetrics(server: FastifyInstance, key: string, measured: Measured): Promise<void> {
  // Loaded only where somebody wants it.
  const { collectDefaultMetrics, Histogram, Registry } = await import('prom-client');
  const registry = new Registry();
  // Processor, memory, garbage collection and how late the event loop is.
  collectDefaultMetrics({ register: registry });
  const durations = new Histogram({
    name: 'rickyard_request_duration_seconds',
    help: 'From the first byte of a request to the last of its answer',
    labelNames: ['method', 'address', 'status'],
    buckets: BUCKETS,
    registers: [registry],
  });
  server.addHook('onResponse', (request, reply, done) => {
    const address = request.routeOptions.url ?? 'none';
    durations.observe({ method: request.method, address, status: reply.statusCode }, reply.elapsedTime / 1000);
    done();
  });
  await measureQueues(registry, measured);
  if (measured.database.replica !== undefined) await measureReplica(registry, measured.database.replica);
  server.get('/metrics', { compress: false, logLevel: 'warn' }, async (request, reply) => {
    void reply.header('Cache-Control', 'no-store');
    if (!isKey(request.headers.authorization, key)) return sendProblem(new Problem('not-signed-in'), request, reply);
    return reply.type(registry.contentType).send(await registry.metrics());
  });
}

async function measureQueues(
  registry: InstanceType<typeof import('prom-client').Registry>,
  { database, heavyWork }: Measured,
): Promise<void> {
  const { Gauge } = await import('prom-client');
  const gauge = (name: string, help: string, now: () => Readonly<Record<string, number>>): void => {
    const made = new Gauge({
      name,
      help,
      labelNames: ['state'],
      registers: [registry],
      collect: () => Object.entries(now()).forEach(([state, count]) => made.set({ state }, count)),
    });
  };
  gauge('rickyard_database_connections', 'Connections in use and idle, and requests waiting for one', () =>
    database.connections(),
  );
  gauge('rickyard_heavy_work', 'Jobs for the worker threads: running, and waiting for a thread or a share', () =>
    heavyWork.load(),
  );
}

async function measureReplica(
  registry: InstanceType<typeof import('prom-client').Registry>,
  replica: Replica,
): Promise<void> {
  const { Counter, Gauge } = await import('prom-client');
  const registers = [registry];
  const reads = new Counter({
    name: 'rickyard_reads_total',
    help: 'Reads answered by the replica, and by the primary because the replica was behind, away, unfit or failed',
    labelNames: ['by', 'because'],
    registers,
    collect: () => {
      reads.reset();
      for (const [who, count] of Object.entries(replica.counts.now()))
        reads.inc(who === 'replica' ? { by: 'replica', because: 'current' } : { by: 'primary', because: who }, count);
    },
  });
  const gauge = (name: string, help: string, now: (replica: ReplicaNow) => number | undefined): void => {
    const made: InstanceType<typeof Gauge> = new Gauge({
      name,
      help,
      registers,
      collect: async () => {
        made.set(now(await replica.now()) ?? Number.NaN);
      },
    });
  };
  gauge(
    'rickyard_replica_lag_bytes',
    "How much of the primary's log the replica has still to replay; not a number while it is away",
    ({ behindBytes }) => behindBytes,
  );
  gauge(
    'rickyard_replica_lag_seconds',
    'Age of the last change that the replica has replayed, 0 if it has them all; not a number while it is away',
    ({ behindSeconds }) => behindSeconds,
  );
}

/** Compared in constant time, whatever the lengths. */
function isKey(authorization: string | undefined, key: string): boolean {
  const digest = (text: string): Buffer => createHash('sha256').update(text).digest();
  return timingSafeEqual(digest(authorization ?? ''), digest(`Bearer ${key}`));
}
