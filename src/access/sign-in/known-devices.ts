import { createHmac, randomBytes, timingSafeEqual } from 'node:crypto';
import { Injectable } from '@nestjs/common';
import { SecretBox } from '../../platform/secrets/secret-box.js';
import { DEVICE_PREFIX } from './tokens.js';

const PERSON_BYTES = 16;
const MOMENT_BYTES = 6;
const RANDOM_BYTES = 16;
const MAC_BYTES = 32;
/** Longer than a session, so that whoever signs in again shows the mark of the last time. */
export const DEVICE_DAYS = 120;

/**
 * Marks that a device gets when somebody signs in on it, and shows when they sign in again: whose it was and when,
 * under a code of this server (HMAC, RFC 2104; the device cookies of OWASP's page on slow guessing). A mark opens
 * nothing. It says that guesses made elsewhere are not this person's, so nothing is kept of it and nothing need be
 * taken back.
 */
@Injectable()
export class KnownDevices {
  readonly #key: Buffer;

  constructor(secrets: SecretBox) {
    this.#key = secrets.derivedKey('known devices');
  }

  mark(personId: string, moment: Date): string {
    const issued = Buffer.alloc(MOMENT_BYTES);
    issued.writeUIntBE(moment.getTime(), 0, MOMENT_BYTES);
    const person = Buffer.from(personId.replaceAll('-', ''), 'hex');
    const content = Buffer.concat([person, issued, randomBytes(RANDOM_BYTES)]);
    return DEVICE_PREFIX + Buffer.concat([content, this.#codeOf(content)]).toString('base64url');
  }

  /** Who signed in where this mark was given; undefined if it is none of this server's, or too old. */
  personOf(mark: string, moment: Date): string | undefined {
    const text = mark.slice(DEVICE_PREFIX.length);
    const bytes = Buffer.from(text, 'base64url');
    // One spelling each: another one would be counted as another device.
    if (DEVICE_PREFIX + bytes.toString('base64url') !== mark) return undefined;
    if (bytes.length !== PERSON_BYTES + MOMENT_BYTES + RANDOM_BYTES + MAC_BYTES) return undefined;
    const content = bytes.subarray(0, -MAC_BYTES);
    if (!timingSafeEqual(bytes.subarray(-MAC_BYTES), this.#codeOf(content))) return undefined;
    const age = moment.getTime() - content.readUIntBE(PERSON_BYTES, MOMENT_BYTES);
    if (age < 0 || age > DEVICE_DAYS * 86_400_000) return undefined;
    return content.toString('hex', 0, PERSON_BYTES).replace(/^(.{8})(.{4})(.{4})(.{4})(.{12})$/, '$1-$2-$3-$4-$5');
  }

  #codeOf(content: Buffer): Buffer {
    return createHmac('sha256', this.#key).update(content).digest();
  }
}
