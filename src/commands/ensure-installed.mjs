import { spawn, spawnSync } from 'node:child_process';
import { createHash } from 'node:crypto';
import { existsSync, readdirSync, readFileSync, statSync, writeFileSync } from 'node:fs';
import path from 'node:path';
import { fileURLToPath } from 'node:url';

/** Plain JavaScript with nothing but Node: this runs before anything is installed. */

export const checkout = path.resolve(path.dirname(fileURLToPath(import.meta.url)), '..', '..');
const NODE_LEAST = [20, 19];

export function say(words) {
  process.stdout.write(`${words}\n`);
}

export function fail(words) {
  process.stderr.write(`${words}\n`);
  process.exit(1);
}

export function refuseOldNode() {
  const [major, minor] = process.versions.node.split('.').map(Number);
  if (major < NODE_LEAST[0] || (major === NODE_LEAST[0] && minor < NODE_LEAST[1])) {
    fail(`Rickyard needs Node ${NODE_LEAST.join('.')} or later; this is Node ${process.versions.node}.`);
  }
}

/** The script behind a program from an installed package. */
export function bin(program, name = program) {
  const folder = path.join(checkout, 'node_modules', name);
  const { bin: scripts } = JSON.parse(readFileSync(path.join(folder, 'package.json'), 'utf8'));
  return path.join(folder, typeof scripts === 'string' ? scripts : scripts[program]);
}

/** Runs a program in the checkout and shows its output unless `quiet`. */
export function run(program, args, { quiet = false, env = process.env } = {}) {
  const shell = process.platform === 'win32';
  const result = spawnSync(program, args, {
    cwd: checkout,
    stdio: quiet ? ['ignore', 'pipe', 'pipe'] : 'inherit',
    encoding: 'utf8',
    env,
    shell,
  });
  return {
    status: result.status ?? 1,
    output: `${result.stdout ?? ''}${result.stderr ?? ''}${result.error?.message ?? ''}`,
  };
}

/** The same, in parallel with other work; its output is returned at the end, or shown as it comes with `show`. */
export function runAside(program, args, { show = false } = {}) {
  return new Promise((resolve) => {
    const stdio = show ? 'inherit' : ['ignore', 'pipe', 'pipe'];
    const child = spawn(program, args, { cwd: checkout, stdio });
    const said = [];
    child.stdout?.on('data', (chunk) => said.push(chunk));
    child.stderr?.on('data', (chunk) => said.push(chunk));
    child.on('error', (error) => resolve({ status: 1, output: error.message }));
    child.on('close', (status) => resolve({ status: status ?? 1, output: Buffer.concat(said).toString('utf8') }));
  });
}

function digestOf(files) {
  const hash = createHash('sha256');
  for (const file of files)
    hash.update(path.relative(checkout, file)).update('\0').update(readFileSync(file)).update('\0');
  return hash.digest('hex');
}

export function filesBelow(folder) {
  return readdirSync(folder)
    .sort()
    .flatMap((name) => {
      const file = path.join(folder, name);
      return statSync(file).isDirectory() ? filesBelow(file) : [file];
    });
}

/** Whether what is there was made from exactly this input. The mark is written only after the work is done. */
export function once(mark, inputs, words, work) {
  const digest = digestOf(inputs);
  if (existsSync(mark) && readFileSync(mark, 'utf8') === digest) return false;
  say(words);
  const began = Date.now();
  work();
  try {
    writeFileSync(mark, digest);
  } catch (error) {
    fail(`${path.dirname(mark)} cannot be written (${error.code}). Run from a checkout that you may write to.`);
  }
  say(`  done in ${((Date.now() - began) / 1000).toFixed(1)} s`);
  return true;
}

/** Installs what package-lock.json lists, unless exactly that is installed. */
export function ensureInstalled() {
  refuseOldNode();
  const mark = path.join(checkout, 'node_modules', '.rickyard-installed');
  const inputs = ['package.json', 'package-lock.json'].map((name) => path.join(checkout, name));
  return once(mark, inputs, 'Installing packages (once, about a minute) …', () => {
    const { status, output } = run('npm', ['ci', '--no-audit', '--no-fund', '--loglevel=error'], { quiet: true });
    if (status !== 0) fail(`npm ci failed:\n${output}`);
  });
}
