import { createPrivateKey, createPublicKey, type KeyObject, sign, verify } from 'node:crypto';
import type { SecretBox } from '../../platform/secrets/secret-box.js';

/** The last line of an operation's audit at a moment. Its hash stands for every line up to it. */
export interface AuditHead {
  operationId: string;
  sequence: number;
  chainHash: string;
  signedAt: string;
}

const LINE = new RegExp(
  '^(rickyard-audit-head ([0-9a-f-]{36}) (\\d{1,15}) ([0-9a-f]{64}) (\\d{4}-\\d{2}-\\d{2}T[\\d:.]+Z) ' +
    '([A-Za-z0-9_-]{43})) ([A-Za-z0-9_-]{86})$',
);
/** What precedes the 32 bytes of a private key in PKCS #8 (RFC 8410, 7). */
const PKCS8 = Buffer.from('302e020100300506032b657004220420', 'hex');

/**
 * Signs heads with Ed25519 (RFC 8032) under a key made from the server's secret key, which is not in the database: who
 * can rewrite the chain there cannot sign what they made. The line holds the public key, so that it can be checked
 * without this program.
 */
export class HeadSigner {
  readonly #key: KeyObject;
  readonly #publicKey: string;

  constructor(secrets: SecretBox) {
    const seed = secrets.derivedKey('audit heads');
    this.#key = createPrivateKey({ key: Buffer.concat([PKCS8, seed]), format: 'der', type: 'pkcs8' });
    this.#publicKey = createPublicKey(this.#key).export({ format: 'jwk' }).x ?? '';
  }

  /** One line of text, to be kept where the database is not. */
  signed({ operationId, sequence, chainHash, signedAt }: AuditHead): string {
    const text = `rickyard-audit-head ${operationId} ${sequence} ${chainHash} ${signedAt} ${this.#publicKey}`;
    return `${text} ${sign(null, Buffer.from(text), this.#key).toString('base64url')}`;
  }

  /** The head of a line that this server signed; undefined for any other text. */
  opened(line: string): AuditHead | undefined {
    const [, text = '', operationId = '', sequence, chainHash = '', signedAt = '', key, signature = ''] =
      LINE.exec(line.trim()) ?? [];
    if (key !== this.#publicKey) return undefined;
    if (!verify(null, Buffer.from(text), this.#key, Buffer.from(signature, 'base64url'))) return undefined;
    return { operationId, sequence: Number(sequence), chainHash, signedAt };
  }
}
