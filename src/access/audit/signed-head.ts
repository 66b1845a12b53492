import type { SecretBox } from '../../platform/secrets/secret-box.js';
import { LineSigner, wordsSigned } from './line-signer.js';

/** The last line of an operation's audit at a moment. Its hash stands for every line up to it. */
export interface AuditHead {
  operationId: string;
  sequence: number;
  chainHash: string;
  signedAt: string;
}

const WORDS = /^rickyard-audit-head ([0-9a-f-]{36}) (\d{1,15}) ([0-9a-f]{64}) (\d{4}-\d{2}-\d{2}T[\d:.]+Z)$/;

/** Signs how far an audit goes: one line of text, to be kept where the database is not. */
export class HeadSigner {
  readonly #signer: LineSigner;

  constructor(secrets: SecretBox) {
    this.#signer = new LineSigner(secrets);
  }

  get publicKey(): string {
    return this.#signer.publicKey;
  }

  signed({ operationId, sequence, chainHash, signedAt }: AuditHead): string {
    return this.#signer.signed(`rickyard-audit-head ${operationId} ${sequence} ${chainHash} ${signedAt}`);
  }

  /** The head of a line that this server signed; undefined for any other text. */
  opened(line: string): AuditHead | undefined {
    return headSigned(line, this.#signer.publicKey);
  }
}

/** The head of a line that was signed under this key; undefined for any other text. */
export function headSigned(line: string, publicKey: string): AuditHead | undefined {
  const [, operationId, sequence, chainHash = '', signedAt = ''] =
    WORDS.exec(wordsSigned(line, publicKey)?.join(' ') ?? '') ?? [];
  return operationId === undefined ? undefined : { operationId, sequence: Number(sequence), chainHash, signedAt };
}
