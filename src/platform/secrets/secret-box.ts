import { createCipheriv, createDecipheriv, createHash, hkdfSync, randomBytes } from 'node:crypto';

const KEY_BYTES = 32;
const NONCE_BYTES = 12;
const TAG_BYTES = 16;
const SEALED = /^sealed1\.([0-9a-f]{16})\.([A-Za-z0-9_-]{16})\.([A-Za-z0-9_-]{23,})$/;

/** What cannot be opened here: sealed under another key, or changed since. */
export class SealProblem extends Error {
  override name = 'SealProblem';
}

/**
 * Keeps what the program must be able to read again but the database must not: AES-256-GCM (NIST SP 800-38D) with a
 * fresh 96-bit nonce each time. The owner of a secret is authenticated with it, so that a row copied to somebody else
 * does not open.
 */
export class SecretBox {
  /** Identifies the key without revealing anything about it. */
  readonly keyId: string;
  readonly #key: Buffer;

  /** @throws RangeError where the key is not 32 bytes long. */
  constructor(key: Buffer) {
    if (key.length !== KEY_BYTES) throw new RangeError(`The key has ${key.length} bytes instead of ${KEY_BYTES}`);
    this.#key = key;
    this.keyId = createHash('sha256').update('rickyard key id').update(key).digest('hex').slice(0, 16);
  }

  /** 32 bytes for another purpose, from which the key itself cannot be found (HKDF, RFC 5869). */
  derivedKey(purpose: string): Buffer {
    return Buffer.from(hkdfSync('sha256', this.#key, '', `rickyard ${purpose}`, KEY_BYTES));
  }

  /** `sealed1.<key id>.<nonce>.<ciphertext and tag>`, the last two in base64url. */
  seal(plain: string, belongsTo: string): string {
    const nonce = randomBytes(NONCE_BYTES);
    const cipher = createCipheriv('aes-256-gcm', this.#key, nonce, { authTagLength: TAG_BYTES }).setAAD(
      Buffer.from(belongsTo, 'utf8'),
    );
    const sealed = Buffer.concat([cipher.update(plain, 'utf8'), cipher.final(), cipher.getAuthTag()]);
    return `sealed1.${this.keyId}.${nonce.toString('base64url')}.${sealed.toString('base64url')}`;
  }

  /** @throws SealProblem */
  open(sealed: string, belongsTo: string): string {
    const [, keyId, nonce = '', content = ''] = SEALED.exec(sealed) ?? [];
    if (keyId === undefined) throw new SealProblem('This is not a sealed secret.');
    if (keyId !== this.keyId)
      throw new SealProblem(`It was sealed under the key ${keyId}; this server holds ${this.keyId}.`);
    const bytes = Buffer.from(content, 'base64url');
    try {
      const decipher = createDecipheriv('aes-256-gcm', this.#key, Buffer.from(nonce, 'base64url'), {
        authTagLength: TAG_BYTES,
      })
        .setAAD(Buffer.from(belongsTo, 'utf8'))
        .setAuthTag(bytes.subarray(-TAG_BYTES));
      return Buffer.concat([decipher.update(bytes.subarray(0, -TAG_BYTES)), decipher.final()]).toString('utf8');
    } catch {
      throw new SealProblem('It was changed, or belongs to somebody else.');
    }
  }
}

export function isSealed(text: string): boolean {
  return SEALED.test(text);
}
