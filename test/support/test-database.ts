import type { EmbeddedServer } from '../../src/platform/embedded/embedded-server.js';

/**
 * The run's one PostgreSQL, as a test sees it: the owner's connection (catalogue tests and set-up), the connection of
 * the server's own role, and the migrated database that every test file gets a copy of. Passed to the workers in the
 * environment.
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
