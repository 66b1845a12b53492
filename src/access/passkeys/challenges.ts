import { createHmac, randomBytes, timingSafeEqual } from 'node:crypto';
import { Injectable } from '@nestjs/common';
import { SecretBox } from '../../platform/secrets/secret-box.js';

/** What an answer to a challenge is good for, and for whom, where that is known. */
export interface ChallengeUse {
  purpose: 'register' | 'sign-in' | 'proof';
  /** Nobody, before somebody has signed in. */
  personId?: string;
}

const RANDOM_BYTES = 16;
const MOMENT_BYTES = 6;
const MAC_BYTES = 32;
const MINUTES = { register: 10, 'sign-in': 5, proof: 5 } as const;

/**
 * Challenges for passkeys: random bytes and a moment, under a code of this server (HMAC, RFC 2104) for one use by one
 * person. Nothing is kept of those that nobody answers, so that asking for them fills no table; one that was answered
 * is spent (`spent-challenge.store.ts`).
 */
@Injectable()
export class Challenges {
  readonly #key: Buffer;

  constructor(secrets: SecretBox) {
    this.#key = secrets.derivedKey('passkey challenges');
  }

  /** In base64url. */
  make(use: ChallengeUse, moment: Date): string {
    const issued = Buffer.alloc(MOMENT_BYTES);
    issued.writeUIntBE(moment.getTime(), 0, MOMENT_BYTES);
    const content = Buffer.concat([randomBytes(RANDOM_BYTES), issued]);
    return Buffer.concat([content, this.#codeOf(content, use)]).toString('base64url');
  }

  /** Until when the challenge is good; undefined if it is none of this server's for this use, or not any more. */
  goodUntil(challenge: string, use: ChallengeUse, moment: Date): Date | undefined {
    const bytes = Buffer.from(challenge, 'base64url');
    // One spelling each: another one would count as another challenge when it is spent.
    if (bytes.length !== RANDOM_BYTES + MOMENT_BYTES + MAC_BYTES || bytes.toString('base64url') !== challenge)
      return undefined;
    const content = bytes.subarray(0, RANDOM_BYTES + MOMENT_BYTES);
    if (!timingSafeEqual(bytes.subarray(content.length), this.#codeOf(content, use))) return undefined;
    const issued = content.readUIntBE(RANDOM_BYTES, MOMENT_BYTES);
    const until = new Date(issued + MINUTES[use.purpose] * 60_000);
    return moment < until && moment.getTime() >= issued ? until : undefined;
  }

  #codeOf(content: Buffer, { purpose, personId = '' }: ChallengeUse): Buffer {
    return createHmac('sha256', this.#key).update(`${purpose} ${personId} `).update(content).digest();
  }
}
