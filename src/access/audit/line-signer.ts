import { createPrivateKey, createPublicKey, type KeyObject, sign, verify } from 'node:crypto';
import type { SecretBox } from '../../platform/secrets/secret-box.js';

/** What precedes the 32 bytes of a private key in PKCS #8 (RFC 8410, 7). */
const PKCS8 = Buffer.from('302e020100300506032b657004220420', 'hex');
const SIGNED = /^(.+ ([A-Za-z0-9_-]{43})) ([A-Za-z0-9_-]{86})$/;

/**
 * Signs lines of text with Ed25519 (RFC 8032) under a key made from the server's secret key, which is not in the
 * database: who can rewrite what is there cannot sign what they made. A line ends with the public key and the
 * signature, so that it can be checked without this program. Each kind of line begins with a word of its own.
 */
export class LineSigner {
  readonly publicKey: string;
  readonly #key: KeyObject;

  constructor(secrets: SecretBox) {
    const seed = secrets.derivedKey('audit heads');
    this.#key = createPrivateKey({ key: Buffer.concat([PKCS8, seed]), format: 'der', type: 'pkcs8' });
    this.publicKey = createPublicKey(this.#key).export({ format: 'jwk' }).x ?? '';
  }

  /** `<text> <public key> <signature>`, the last two in base64url. */
  signed(text: string): string {
    const all = `${text} ${this.publicKey}`;
    return `${all} ${sign(null, Buffer.from(all), this.#key).toString('base64url')}`;
  }
}

/** The public key that a line names, whether or not it signed it; undefined where it names none. */
export function keyNamedIn(line: string): string | undefined {
  return SIGNED.exec(line.trim())?.[2];
}

/** The words of a line that was signed under this key, without key and signature; undefined for any other text. */
export function wordsSigned(line: string, publicKey: string): string[] | undefined {
  const [, text = '', key, signature = ''] = SIGNED.exec(line.trim()) ?? [];
  if (key !== publicKey) return undefined;
  const given = createPublicKey({ key: { kty: 'OKP', crv: 'Ed25519', x: publicKey }, format: 'jwk' });
  if (!verify(null, Buffer.from(text), given, Buffer.from(signature, 'base64url'))) return undefined;
  return text.split(' ').slice(0, -1);
}
