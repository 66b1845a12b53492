import pg from 'pg';
import { hashPassphrase } from '../../../src/access/sign-in/passphrase.js';
import { newId } from '../../../src/platform/identifiers.js';

const PASSPHRASE = 'every ton that was told is kept';
const A_DAY_MS = 86_400_000;
/** One key may ask fifty times a second. */
const KEYS = 6;

/** An operation of an invented ranch, with keys to write to it. */
export interface YardOfFaults {
  readonly operationId: string;
  readonly ranchId: string;
  /** The lot that every sale draws from. */
  readonly bigLotId: string;
  /** A day on which hay came and went. */
  readonly day: string;
  readonly keys: readonly string[];
}

/** Opened over the API; only the first person is put there by the schema's owner, as `enroll-person` does. */
export async function openYardOfFaults(url: string, ownerUrl: string): Promise<YardOfFaults> {
  const email = `owner.${newId().slice(-8)}@example.test`;
  const owner = new pg.Client({ connectionString: ownerUrl });
  await owner.connect();
  try {
    await owner.query('INSERT INTO person (id, email, name, passphrase_hash) VALUES ($1, $2, $3, $4)', [
      newId(),
      email,
      'An invented owner',
      await hashPassphrase(PASSPHRASE),
    ]);
  } finally {
    await owner.end();
  }
  const { accessToken } = await post<{ accessToken: string }>(url, '/v1/sign-in', undefined, {
    email,
    passphrase: PASSPHRASE,
  });
  const create = <T>(at: string, body: object): Promise<T> => post<T>(url, at, accessToken, body);
  const { id: operationId } = await create<{ id: string }>('/v1/operations', {
    name: `Ranch of faults ${newId().slice(-6)} (invented)`,
    unitPreference: 'us',
    currency: 'USD',
    timeZone: 'America/Denver',
  });
  const books = `/v1/operations/${operationId}`;
  const { id: ranchId } = await create<{ id: string }>(`${books}/ranches`, { name: 'Home ranch' });
  const day = new Date(Date.now() - 20 * A_DAY_MS).toISOString().slice(0, 10);
  const before = new Date(Date.now() - 30 * A_DAY_MS).toISOString().slice(0, 10);
  const { hayLotId: bigLotId } = await create<{ hayLotId: string }>(`${books}/hay-purchases`, {
    vendor: 'A neighbor (invented)',
    purchasedOn: before,
    lot: { name: 'Big stack', ranchId, hayKind: 'meadow', baleForm: 'round', storageMethod: 'tarp' },
    weight: { basis: 'net', net: { value: '900', unit: 'ton' } },
    price: { basis: 'per-mass', amount: '120', per: 'ton' },
  });
  const keys: string[] = [];
  for (let n = 1; n <= KEYS; n += 1)
    keys.push(
      (
        await create<{ secret: string }>(`${books}/api-keys`, {
          name: `Phone ${n}`,
          scopes: ['read', 'prices', 'records', 'daily'],
          expiresAt: new Date(Date.now() + 200 * A_DAY_MS).toISOString(),
        })
      ).secret,
    );
  return { operationId, ranchId, bigLotId, day, keys };
}

async function post<T>(url: string, at: string, token: string | undefined, body: object): Promise<T> {
  const answer = await fetch(url + at, {
    method: 'POST',
    headers: {
      'Content-Type': 'application/json',
      'Idempotency-Key': `"${newId()}"`,
      ...(token === undefined ? {} : { Authorization: `Bearer ${token}` }),
    },
    body: JSON.stringify(body),
  });
  const text = await answer.text();
  if (!answer.ok) throw new Error(`${at} answered ${answer.status}: ${text}`);
  return JSON.parse(text) as T;
}
