import { resolveSourcesFromHere } from './resolve-sources';

export default async function stop(): Promise<void> {
  const restore = resolveSourcesFromHere();
  try {
    const { stopTestServer } = await import('./test-server.js');
    await stopTestServer();
  } finally {
    restore();
  }
}
