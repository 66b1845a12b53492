import { sql } from 'kysely';
import type { Database } from '../../platform/database/database.js';

/** Requests of one caller: by the hash of who it is, with the end of the window in which they count. */
export interface TakenRequests {
  readonly subjectHash: string;
  readonly endsAt: Date;
  readonly requests: number;
}

/** Callers whose window has ended are gone from the table with the next that is told. */
const PRUNED_AT_ONCE = 1_000;

/** What all servers have counted. */
export class RequestCountStore {
  constructor(private readonly database: Pick<Database, 'withProof'>) {}

  /**
   * Adds what this server has counted since it last told, and learns what all have.
   * @returns of each caller all requests within its window, and when that ends; a window that has ended begins anew.
   */
  async add(taken: readonly TakenRequests[], moment: Date): Promise<TakenRequests[]> {
    // In one order, so that two servers do not wait for each other.
    const rows = [...taken].sort((one, other) => (one.subjectHash < other.subjectHash ? -1 : 1));
    const at = moment.toISOString();
    const subjects = rows.map((row) => row.subjectHash);
    return this.database.withProof({ subjects: subjects.join(','), moment: at }, async (db) => {
      const found = await sql<{ subject_hash: string; ends_at: string; requests: number }>`
        INSERT INTO request_count AS known (subject_hash, ends_at, requests)
        SELECT * FROM unnest(${subjects}::text[], ${rows.map((row) => row.endsAt.toISOString())}::timestamptz[],
          ${rows.map((row) => row.requests)}::integer[])
        ON CONFLICT (subject_hash) DO UPDATE SET
          requests = excluded.requests + CASE WHEN known.ends_at > ${at}::timestamptz THEN known.requests ELSE 0 END,
          ends_at = CASE WHEN known.ends_at > ${at}::timestamptz THEN known.ends_at ELSE excluded.ends_at END
        RETURNING subject_hash, ends_at, requests`.execute(db);
      const ended = sql`SELECT subject_hash FROM request_count
        WHERE ends_at < ${at}::timestamptz - interval '1 minute' LIMIT ${PRUNED_AT_ONCE} FOR UPDATE SKIP LOCKED`;
      await sql`DELETE FROM request_count WHERE subject_hash IN (${ended})`.execute(db);
      return found.rows.map((row) => ({
        subjectHash: row.subject_hash,
        endsAt: new Date(row.ends_at),
        requests: row.requests,
      }));
    });
  }
}
