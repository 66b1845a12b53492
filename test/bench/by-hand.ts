import { Agent, request } from 'node:http';
import type { AddressInfo } from 'node:net';
import Fastify from 'fastify';
import pg from 'pg';
import { hashToken } from '../../src/access/sign-in/tokens.js';

/**
 * The other side of a bench: fastify and pg by hand, which check the same token and enter by the same functions, so
 * that the same rows are read under row-level security, with one statement prepared by name.
 */

const ENTER = `SELECT entered.name FROM rickyard.session_of_token($1, $2::timestamptz) AS session,
  LATERAL rickyard.enter_operation(session.person_id, NULL, $2::timestamptz, $3::uuid,
    'person:' || session.person_id, false, session.proven_at) AS entered`;
const ENTER_ALL = `SELECT session.person_id, entered.*
  FROM rickyard.session_of_token($1, $2::timestamptz) AS session,
  LATERAL rickyard.enter(session.person_id, NULL, $2::timestamptz, NULL, session.proven_at) AS entered`;

export interface ByHand {
  /** Whose operation, unless it is a question across all that the person belongs to. */
  operationId?: string;
  text: string;
  values: readonly unknown[];
  answer: (rows: readonly Record<string, unknown>[]) => unknown;
}

export interface HandServer {
  url: string;
  close(): Promise<void>;
}

/** Serves each of these under its name. @param now the moment at which everybody asks */
export async function serveByHand(
  appUrl: string,
  now: string,
  questions: Readonly<Record<string, ByHand>>,
): Promise<HandServer> {
  const pool = new pg.Pool({ connectionString: appUrl, max: 20 });
  const app = Fastify();
  for (const [name, { operationId, text, values, answer }] of Object.entries(questions))
    app.get(`/${name}`, async ({ headers }, reply) => {
      const client = await pool.connect();
      try {
        await client.query('START TRANSACTION READ ONLY');
        const token = hashToken((headers.authorization ?? '').slice(7));
        const entered = await client.query(
          operationId === undefined
            ? { name: 'enter-all', text: ENTER_ALL, values: [token, now] }
            : { name: 'enter', text: ENTER, values: [token, now, operationId] },
        );
        if (entered.rows.length === 0) return reply.status(404).send();
        const { rows } = await client.query<Record<string, unknown>>({ name, text, values: [...values] });
        await client.query('COMMIT');
        return answer(rows);
      } finally {
        client.release();
      }
    });
  await app.listen({ port: 0, host: '127.0.0.1' });
  const { port } = app.server.address() as AddressInfo;
  return {
    url: `http://127.0.0.1:${port}`,
    close: async () => {
      await app.close();
      await pool.end();
    },
  };
}

const agent = new Agent({ keepAlive: true });

/** Asks over a connection that is kept. @throws Error where the answer is not 200 */
export function asked(url: string, token: string | undefined): Promise<string> {
  return new Promise((resolve, reject) => {
    request(url, { agent, headers: { authorization: `Bearer ${token ?? ''}` } }, (answer) => {
      const pieces: Buffer[] = [];
      answer
        .on('data', (piece: Buffer) => pieces.push(piece))
        .on('end', () => {
          const text = Buffer.concat(pieces).toString('utf8');
          if (answer.statusCode === 200) resolve(text);
          else reject(new Error(`${url}: ${answer.statusCode} ${text.slice(0, 500)}`));
        });
    })
      .on('error', reject)
      .end();
  });
}

/** Lets the kept connections go. */
export function hangUp(): void {
  agent.destroy();
}
