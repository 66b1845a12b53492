import { Session } from 'node:inspector/promises';
import path from 'node:path';

/**
 * Where the processor's time of some work goes, as one JSON line a row: `PROFILE=<n>` asks for it, with the n dearest
 * functions. Time in which nothing runs here, since the database works, is `waiting`.
 */
const FUNCTIONS = Number(process.env['PROFILE'] ?? '0');

interface Node {
  id: number;
  callFrame: { functionName: string; url: string; lineNumber: number };
}

const CHECKOUT = path.resolve(__dirname, '..', '..');

export async function profiled(bench: string, work: () => Promise<unknown>): Promise<void> {
  if (FUNCTIONS === 0) return;
  const session = new Session();
  session.connect();
  await session.post('Profiler.enable');
  await session.post('Profiler.setSamplingInterval', { interval: 200 });
  await session.post('Profiler.start');
  await work();
  const { profile } = await session.post('Profiler.stop');
  session.disconnect();
  const nodes = new Map((profile.nodes as Node[]).map((node) => [node.id, node]));
  const [areas, functions] = [new Map<string, number>(), new Map<string, number>()];
  const samples = profile.samples ?? [];
  for (const [at, id] of samples.entries()) {
    const spent = profile.timeDeltas?.[at] ?? 0;
    const node = nodes.get(id);
    if (node === undefined) continue;
    const { functionName, url, lineNumber } = node.callFrame;
    // The profiler at its own work.
    if (functionName === 'dispatch' && url === '') continue;
    add(areas, areaOf(node), spent);
    add(functions, `${functionName} ${path.relative(CHECKOUT, url.replace('file://', ''))}:${lineNumber + 1}`, spent);
  }
  const all = [...areas.values()].reduce((sum, one) => sum + one, 0);
  const shares = (of: ReadonlyMap<string, number>, most: number): Record<string, number> =>
    Object.fromEntries(
      [...of]
        .sort(([, one], [, other]) => other - one)
        .slice(0, most)
        .map(([name, spent]) => [name, Number(((100 * spent) / all).toFixed(1))]),
    );
  process.stdout.write(`${JSON.stringify({ profile: bench, unit: '% of time', areas: shares(areas, 14) })}\n`);
  if (FUNCTIONS > 1)
    process.stdout.write(`${JSON.stringify({ profile: bench, functions: shares(functions, FUNCTIONS) })}\n`);
}

function areaOf({ callFrame: { functionName, url } }: Node): string {
  if (functionName === '(idle)') return 'waiting';
  if (functionName === '(garbage collector)') return 'garbage';
  const file = url.replace('file://', '');
  const within = /node_modules\/((?:@[^/]+\/)?[^/]+)/.exec(file)?.[1];
  if (within !== undefined) return within;
  if (file.startsWith(CHECKOUT)) {
    const [source = '', room = '', part = ''] = path.relative(CHECKOUT, file).split(path.sep);
    return source === 'src' ? [source, room, part].join('/') : source;
  }
  return file.startsWith('node:') ? 'node' : 'V8 and native';
}

function add(to: Map<string, number>, name: string, spent: number): void {
  to.set(name, (to.get(name) ?? 0) + spent);
}
