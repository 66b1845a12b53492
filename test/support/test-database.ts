import type { EmbeddedServer } from '../../src/platform/embedded/embedded-server.js';

/**
 * What the run's one PostgreSQL is to a test: where the owner connects (catalogue tests and arranging), where the
 * server's own role connects, and the migrated database that every test file gets a copy of. Travels to the workers in
 * the environment.
 */
export interface TestServer {
  ownerUrl: string;
  appUrl: string;
  template: string;
  from: 'TEST_DATABASE_URL' | 'container' | 'embedded';
}

export const TEST_SERVER = 'RICKYARD_TEST_SERVER';

export function testServer(): TestServer {
  const told = process.env[TEST_SERVER];
  if (told === undefined)
    throw new Error('No database was started for this jest project: give it `withDatabase` in jest.config.cjs.');
  return JSON.parse(told) as TestServer;
}

/** The same server and login, another database. */
export function inDatabase(url: string, database: string): string {
  const other = new URL(url);
  other.pathname = `/${database}`;
  return other.toString();
}

/** What must be stopped when the run ends; only the process that started it knows. */
export interface Started {
  server: TestServer;
  stop: () => Promise<void>;
  embedded?: EmbeddedServer;
}
