import { existsSync, rmSync } from 'node:fs';
import path from 'node:path';
import { bin, checkout, fail, filesBelow, once, run } from './ensure-installed.mjs';

/** Plain JavaScript with nothing but Node: makes `dist` from the sources, unless exactly that is there. */

export const dist = path.join(checkout, 'dist');

export function ensureBuilt() {
  const sources = [
    ...filesBelow(path.join(checkout, 'src')),
    ...filesBelow(path.join(checkout, 'seed')),
    ...['tsconfig.json', 'tsconfig.build.json', 'package-lock.json'].map((name) => path.join(checkout, name)),
  ];
  return once(
    path.join(dist, '.built-from'),
    sources,
    'Building … (about a minute, two or three on a slow machine)',
    () => {
      if (existsSync(dist)) rmSync(dist, { recursive: true, force: true });
      const { status, output } = run(process.execPath, [bin('tsc', 'typescript'), '-p', 'tsconfig.build.json'], {
        quiet: true,
      });
      if (status !== 0) fail(`The build failed:\n${output}`);
      const describe = path.join(dist, 'src', 'commands', 'write-openapi.js');
      const described = run(process.execPath, [describe, path.join(dist, 'openapi.json')], { quiet: true });
      if (described.status !== 0) fail(`The API description cannot be written:\n${described.output}`);
    },
  );
}
