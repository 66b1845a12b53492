/*
 * npm starts a shell, which starts the program: whoever of them ends, however it does, the program ends too. What is
 * above npm, as a terminal is, may end.
 */
import { type ChildProcess, spawn } from 'node:child_process';
import { once } from 'node:events';
import { mkdtempSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import path from 'node:path';
import { setTimeout as sleep } from 'node:timers/promises';

const WATCH = path.resolve(__dirname, '..', '..', 'src', 'commands', 'started-by.mjs');
let folder: string;
const started: ChildProcess[] = [];

beforeAll(() => {
  folder = mkdtempSync(path.join(tmpdir(), 'rickyard-starter-'));
  const write = (name: string, lines: string[]): void => writeFileSync(path.join(folder, name), lines.join('\n'));
  write('program.mjs', [
    `import { whenStarterIsGone } from ${JSON.stringify(WATCH)};`,
    'setInterval(() => undefined, 60_000);',
    'whenStarterIsGone(() => process.exit(0));',
    "console.log(['program', process.pid, process.ppid].join(' '));",
  ]);
  // Like npm: a Node program of that name, which runs the script's line in a shell.
  write('npm-cli.js', [
    "const line = JSON.stringify(process.execPath) + ' program.mjs; true';",
    "require('node:child_process').spawn('sh', ['-c', line], { stdio: 'inherit', cwd: __dirname });",
    "console.log('npm ' + process.pid);",
  ]);
  write('terminal.js', [
    "require('node:child_process').spawn(process.execPath, ['npm-cli.js'], { stdio: 'inherit', cwd: __dirname });",
  ]);
});
afterAll(() => {
  for (const child of started) child.kill('SIGKILL');
  rmSync(folder, { recursive: true, force: true });
});

function isAlive(pid: number): boolean {
  try {
    return process.kill(pid, 0);
  } catch {
    return false;
  }
}

async function start(script: string): Promise<{ top: ChildProcess; npm: number; shell: number; program: number }> {
  const top = spawn(process.execPath, [path.join(folder, script)], { stdio: ['ignore', 'pipe', 'inherit'] });
  started.push(top);
  let said = '';
  const found = (pattern: RegExp): number => Number(pattern.exec(said)?.[1] ?? NaN);
  while (!/npm \d+\n/.test(said) || !/program \d+ \d+\n/.test(said))
    said += ((await once(top.stdout, 'data')) as [Buffer])[0].toString('utf8');
  return { top, npm: found(/npm (\d+)/), shell: found(/program \d+ (\d+)/), program: found(/program (\d+)/) };
}

test.each(['npm', 'shell'] as const)('the program ends where %s is killed', async (which) => {
  const tree = await start('npm-cli.js');
  process.kill(tree[which], 'SIGKILL');
  while (isAlive(tree.program)) await sleep(50);
  expect(isAlive(tree.program)).toBe(false);
});

test('the program stays where what started npm ends', async () => {
  const { top, npm, program } = await start('terminal.js');
  top.kill('SIGKILL');
  while (isAlive(Number(top.pid))) await sleep(50);
  // Two looks of the watch.
  await sleep(2_500);
  expect([isAlive(npm), isAlive(program)]).toEqual([true, true]);
  process.kill(npm, 'SIGKILL');
  while (isAlive(program)) await sleep(50);
  expect(isAlive(program)).toBe(false);
});
