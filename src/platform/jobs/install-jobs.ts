import { readFileSync } from 'node:fs';
import pg from 'pg';
import { JOB_QUEUE_NAMES, JOB_QUEUES, JOBS_SCHEMA } from './job-queues.data.js';

/**
 * As the schema's owner: brings the tables of the job library to its release, by its own migrations, and its queues to
 * our terms. Each queue is a table, so a server with its own login only could not make one. Where all of it is there,
 * the library is not even loaded.
 */
export async function installJobs(ownerUrl: string): Promise<void> {
  if (await isInstalled(ownerUrl)) return;
  const { default: PgBoss } = await import('pg-boss');
  const boss = new PgBoss({
    connectionString: ownerUrl,
    schema: JOBS_SCHEMA,
    max: 1,
    supervise: false,
    schedule: false,
  });
  let problem: Error | undefined;
  boss.on('error', (error) => {
    problem = error;
  });
  await boss.start();
  try {
    for (const name of JOB_QUEUE_NAMES) {
      const { atOnce: _ours, ...terms } = JOB_QUEUES[name];
      await boss.createQueue(name, { name, ...terms });
      await boss.updateQueue(name, { name, ...terms });
    }
  } finally {
    await boss.stop({ graceful: false, wait: true });
  }
  if (problem !== undefined) throw problem;
}

const NO_SUCH_TABLE = '42P01';

async function isInstalled(ownerUrl: string): Promise<boolean> {
  const client = new pg.Client({ connectionString: ownerUrl });
  await client.connect();
  try {
    const { rows } = await client.query<{ version: number; queues: Record<string, string> | null }>(
      `SELECT v.version, (SELECT jsonb_object_agg(q.name, concat_ws(' ', q.expire_seconds, q.retry_limit, q.retry_delay,
          q.retry_backoff, q.retention_minutes)) FROM ${JOBS_SCHEMA}.queue q) AS queues FROM ${JOBS_SCHEMA}.version v`,
    );
    const [found] = rows;
    return found?.version === schemaOfLibrary() && JOB_QUEUE_NAMES.every((name) => found.queues?.[name] === told(name));
  } catch (error) {
    if ((error as pg.DatabaseError).code === NO_SUCH_TABLE) return false;
    throw error;
  } finally {
    await client.end();
  }
}

function schemaOfLibrary(): number {
  const { schema } = JSON.parse(readFileSync(require.resolve('pg-boss/version.json'), 'utf8')) as { schema: number };
  return schema;
}

/** The terms of a queue as PostgreSQL tells them. */
function told(name: (typeof JOB_QUEUE_NAMES)[number]): string {
  const { expireInSeconds, retryLimit, retryDelay, retryBackoff, retentionMinutes } = JOB_QUEUES[name];
  return [expireInSeconds, retryLimit, retryDelay, retryBackoff ? 't' : 'f', retentionMinutes].join(' ');
}
