import { JOB_QUEUE_NAMES, JOB_QUEUES, JOBS_SCHEMA } from './job-queues.data.js';

/**
 * As the schema's owner: brings the tables of the job library to its release, by its own migrations, and its queues to
 * our terms. Each queue is a table, so a server with its own login only could not make one.
 */
export async function installJobs(ownerUrl: string): Promise<void> {
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
