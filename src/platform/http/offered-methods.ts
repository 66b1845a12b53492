import type { AnyEndpoint } from './endpoint.js';

/** The methods that an address offers, for the Allow header of a 405. */
export function offeredMethods(endpoints: readonly AnyEndpoint[], path: string): string[] {
  const matches = endpoints.filter((one) => new RegExp(`^${one.path.replaceAll(/:[A-Za-z]+/g, '[^/]+')}$`).test(path));
  const methods = new Set<string>(matches.map((one) => one.method));
  // Whatever can be read can be asked for its headers alone.
  if (methods.has('GET')) methods.add('HEAD');
  return [...methods].sort();
}
