import { randomBytes } from 'node:crypto';
import { linkSync, mkdirSync, readFileSync, rmSync, statSync, writeFileSync } from 'node:fs';
import path from 'node:path';
import { SecretBox } from './secret-box.js';

const KEY_BYTES = 32;
const KEY_FILE = 'secret.key';
const OTHERS = 0o077;

/** The key cannot be used; explained for the person at the terminal. */
class SecretKeyProblem extends Error {
  override name = 'SecretKeyProblem';
}

/** The bytes of a key in base64 or base64url; undefined unless they are 32. */
export function readSecretKey(text: string): Buffer | undefined {
  const plain = text.trim();
  if (!/^[A-Za-z0-9+/_-]{43}=?$/.test(plain)) return undefined;
  const bytes = Buffer.from(plain, 'base64');
  return bytes.length === KEY_BYTES ? bytes : undefined;
}

export interface SecretKeySource {
  /** RICKYARD_SECRET_KEY, parsed. */
  given: Buffer | undefined;
  /** Folder of the server's own key, made at first use. */
  folder: string;
  /** Whether other machines may serve the same database. */
  shared: boolean;
}

export interface OpenedSecrets {
  box: SecretBox;
  notes: string[];
  /** The key's file where it was made just now; undefined where there was a key. */
  madeFile: string | undefined;
}

/** For books that were here before their key was made: what the former one sealed stays closed. */
export function warningOfNewKey(file: string): string {
  return (
    `WARNING: there are books here, and ${file}, the key of their secrets, was gone; a new one was made. One-time ` +
    'codes and secrets of webhooks that were sealed under the former key cannot be opened, and kept lines of the ' +
    'audit cannot be checked. If you have the former key, stop, put it in the place of this file, and start again; ' +
    'else people sign in with a recovery code and set up their codes again, and owners rotate the secrets of webhooks'
  );
}

/**
 * The key that seals secrets: the one given, else the one in the data folder, made at the first start.
 * @throws SecretKeyProblem
 */
export function openSecretBox({ given, folder, shared }: SecretKeySource): OpenedSecrets {
  if (given !== undefined) return { box: new SecretBox(given), notes: [], madeFile: undefined };
  const file = path.join(folder, KEY_FILE);
  const notes: string[] = [];
  let isMade = false;
  try {
    mkdirSync(folder, { recursive: true });
    isMade = makeOnce(file);
    if (isMade) notes.push(`made a key for one-time-code secrets, ${file}: keep a copy apart from the database's`);
  } catch (error) {
    throw new SecretKeyProblem(
      `The key file ${file} cannot be written (${(error as NodeJS.ErrnoException).code ?? String(error)}). Make ` +
        'its folder writable, or give a key in RICKYARD_SECRET_KEY (base64, 32 bytes).',
    );
  }
  const key = readKeyFile(file);
  if (shared)
    notes.push(
      `one-time-code secrets are kept under the key in ${file}: several servers of one database must share it, ` +
        'or be given it in RICKYARD_SECRET_KEY',
    );
  if (process.platform !== 'win32' && (statSync(file).mode & OTHERS) !== 0)
    notes.push(`the key file ${file} can be read by others: chmod 600 it`);
  return { box: new SecretBox(key), notes, madeFile: isMade ? file : undefined };
}

/** Written aside and linked into place: of two servers that start at once one makes it and neither reads half of it. */
function makeOnce(file: string): boolean {
  if (statSync(file, { throwIfNoEntry: false }) !== undefined) return false;
  const aside = `${file}.${randomBytes(6).toString('hex')}`;
  writeFileSync(aside, `${randomBytes(KEY_BYTES).toString('base64')}\n`, { mode: 0o600, flag: 'wx' });
  try {
    linkSync(aside, file);
    return true;
  } catch (error) {
    if ((error as NodeJS.ErrnoException).code === 'EEXIST') return false;
    throw error;
  } finally {
    rmSync(aside);
  }
}

function readKeyFile(file: string): Buffer {
  let text: string;
  try {
    text = readFileSync(file, 'utf8');
  } catch (error) {
    throw new SecretKeyProblem(
      `The key file ${file} cannot be read (${(error as NodeJS.ErrnoException).code ?? String(error)}).`,
    );
  }
  const key = readSecretKey(text);
  if (key === undefined)
    throw new SecretKeyProblem(
      `The key file ${file} does not hold a key (base64, 32 bytes). Bring the right one back; without it, move ` +
        'the file away: people then sign in with a recovery code and set up their one-time codes again.',
    );
  return key;
}
