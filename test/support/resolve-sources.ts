import Module from 'node:module';
import path from 'node:path';

type Resolve = (request: string, parent: { filename?: string | null } | undefined, ...rest: unknown[]) => string;

/** Makes `require('./x.js')` in this checkout's sources find `x.ts`. Answers what puts the old way back. */
export function resolveSourcesFromHere(): () => void {
  const checkout = path.resolve(__dirname, '..', '..');
  const loader = Module as unknown as { _resolveFilename: Resolve };
  const before = loader._resolveFilename;
  loader._resolveFilename = (request, parent, ...rest) => {
    const from = parent?.filename ?? '';
    const ours =
      request.startsWith('.') && request.endsWith('.js') && from.startsWith(checkout) && !from.includes('node_modules');
    return before(ours ? `${request.slice(0, -3)}.ts` : request, parent, ...rest);
  };
  return () => {
    loader._resolveFilename = before;
  };
}
