import { type AnyEndpoint, HANDLERS, type ReceivedCall } from '../../src/platform/http/endpoint.js';
import type { Asker } from '../../src/platform/http/asker.js';
import { registerPieces } from '../../src/platform/http/register.js';
import type { World } from './world.js';

interface Pull {
  params: Record<string, string>;
  query?: Record<string, string>;
  itemsAtOnce?: number;
  /** Told before each turn. */
  onTurn?: () => void;
}

/** A register as the server sends it, without HTTP: piece by piece, as they are taken. */
export function pullRegister(
  world: World,
  asker: Asker,
  endpoint: AnyEndpoint,
  { params, query: given = {}, itemsAtOnce, onTurn }: Pull,
): Promise<AsyncIterable<string>> {
  const handler = HANDLERS.get(endpoint.operationId);
  if (handler === undefined) throw new Error(`nothing answers ${endpoint.operationId}`);
  const handlers = world.application.get<Record<string, (call: ReceivedCall) => Promise<unknown>>>(handler.controller, {
    strict: false,
  });
  const query = endpoint.query?.parse(given) as object;
  return world.database.pull(asker, params['operationId'] ?? '', (tenant) =>
    registerPieces(endpoint, tenant, {
      read: async (page) => {
        onTurn?.();
        const input = { params, query: { ...query, ...page }, body: undefined, expectedVersion: 0 };
        return handlers[handler.method]?.({ tenant, input });
      },
      query,
      address: '/here?head=no',
      form: 'csv',
      itemsAtOnce,
    }),
  );
}
