import { resolveSourcesFromHere } from './resolve-sources';

/** jest's global setup: one PostgreSQL for the whole run, whichever projects run in it. */
export default async function start(): Promise<void> {
  // Global setup runs outside jest's module mapping: the `.js` of an import has to be led to the `.ts` that it means.
  const restore = resolveSourcesFromHere();
  try {
    const { startTestServer } = await import('./test-server.js');
    await startTestServer();
  } finally {
    restore();
  }
}
