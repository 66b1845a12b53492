import type { AnyEndpoint } from './endpoint.js';

type Address = Pick<AnyEndpoint, 'method' | 'path'>;

/** What anybody may read besides the endpoints. */
export const OPEN_PAGES: readonly Address[] = ['/', '/openapi.json', '/problems', '/reference'].map((path) => ({
  method: 'GET',
  path,
}));

/** The methods that an address offers, for the Allow header of a 405. */
export function offeredMethods(endpoints: readonly Address[], path: string): string[] {
  const matches = endpoints.filter((one) => new RegExp(`^${one.path.replaceAll(/:[A-Za-z]+/g, '[^/]+')}$`).test(path));
  const methods = new Set<string>(matches.map((one) => one.method));
  // Whatever allows GET allows HEAD.
  if (methods.has('GET')) methods.add('HEAD');
  return [...methods].sort();
}
