import { existsSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import path from 'node:path';
import { beganAt, commandLineOf, isAlive } from './processes.js';

/**
 * The Rickyard that uses a data folder, as it marked itself there: only one may, since two would stop the database
 * under each other. The mark of a killed server is overwritten. Returns the process that uses it, if it still runs.
 */
export function markedBy(dataFolder: string): number | undefined {
  const mark = path.join(dataFolder, 'server-process');
  const [first = '', began = ''] = existsSync(mark) ? readFileSync(mark, 'utf8').split('\n') : [];
  const other = Number(first.trim());
  if (!Number.isInteger(other) || other <= 1 || other === process.pid || !isAlive(other)) return undefined;
  // The system reuses process numbers. Earlier releases kept the number alone.
  const isTheSame = began === '' ? commandLineOf(other).includes('node') : beganAt(other) === began;
  return isTheSame ? other : undefined;
}

export function leaveMark(dataFolder: string): void {
  writeFileSync(path.join(dataFolder, 'server-process'), `${process.pid}\n${beganAt(process.pid)}`);
}

/** A server that has stopped uses the folder no longer, though its process may go on. */
export function removeMark(dataFolder: string): void {
  const mark = path.join(dataFolder, 'server-process');
  if (existsSync(mark) && readFileSync(mark, 'utf8').split('\n')[0] === String(process.pid)) rmSync(mark);
}
