import { createHash, createPrivateKey, generateKeyPairSync, type KeyObject, randomBytes, sign } from 'node:crypto';

/** What a browser and the keeper of passkeys behind it would answer, and what may be wrong with it. */
export interface Told {
  /** Where the page is. */
  origin?: string;
  rpId?: string;
  /** Whether the keeper has verified the person, by a finger or a PIN. */
  verified?: boolean;
  present?: boolean;
  counter?: number;
  crossOrigin?: boolean;
  type?: string;
  userHandle?: string;
  challenge?: string;
  /** Parts of the public key that are told instead of its own, by their labels in COSE (RFC 9053, 7.1). */
  key?: readonly (readonly [label: number, part: number | Buffer])[];
}

export interface Made {
  id: string;
  response: { clientDataJSON: string; attestationObject: string; transports: string[] };
}
export interface Shown {
  id: string;
  response: { clientDataJSON: string; authenticatorData: string; signature: string; userHandle: string | null };
}

type Cbor = number | string | Buffer | Map<number | string, Cbor>;

const sha256 = (content: string | Buffer): Buffer => createHash('sha256').update(content).digest();

/**
 * A keeper of one passkey (WebAuthn Level 2, 6) without a person and without hardware: ECDSA with P-256, attestation
 * `none`, a count that rises with every signature unless it is told another.
 */
export class Authenticator {
  readonly #key: KeyObject;
  readonly #publicKey: Map<number, Cbor>;
  readonly id = randomBytes(32).toString('base64url');
  counter = 0;
  userHandle: string | null = null;

  constructor(
    readonly origin: string,
    readonly rpId = new URL(origin).hostname,
  ) {
    const { privateKey, publicKey } = generateKeyPairSync('ec', { namedCurve: 'P-256' });
    this.#key = privateKey;
    const { x = '', y = '' } = publicKey.export({ format: 'jwk' });
    // COSE_Key (RFC 9053, 7.1): an elliptic curve key for ES256 on P-256.
    this.#publicKey = new Map<number, Cbor>([
      [1, 2],
      [3, -7],
      [-1, 1],
      [-2, Buffer.from(x, 'base64url')],
      [-3, Buffer.from(y, 'base64url')],
    ]);
  }

  /** A second keeper with the same passkey at the same count, as a thief of the first would make. */
  copied(): Authenticator {
    const copy = Object.create(this) as Authenticator;
    const key = createPrivateKey(this.#key.export({ format: 'pem', type: 'pkcs8' }));
    copy.counter = this.counter;
    copy.shown = (options, told) => this.#shown(options, { ...told, counter: (copy.counter += 1) }, key);
    return copy;
  }

  /** navigator.credentials.create */
  made(options: { challenge: string; user: { id: string } }, told: Told = {}): Made {
    this.userHandle = options.user.id;
    const id = Buffer.from(this.id, 'base64url');
    const length = Buffer.alloc(2);
    length.writeUInt16BE(id.length);
    const authData = Buffer.concat([
      this.#authData(told, 0x40),
      Buffer.alloc(16),
      length,
      id,
      cbor(new Map([...this.#publicKey, ...(told.key ?? [])])),
    ]);
    const attestation = new Map<string, Cbor>([
      ['fmt', 'none'],
      ['attStmt', new Map()],
      ['authData', authData],
    ]);
    return {
      id: this.id,
      response: {
        clientDataJSON: this.#clientData('webauthn.create', options.challenge, told).toString('base64url'),
        attestationObject: cbor(attestation).toString('base64url'),
        transports: ['internal', 'carrier-pigeon'],
      },
    };
  }

  /** navigator.credentials.get */
  shown(options: { challenge: string }, told: Told = {}): Shown {
    return this.#shown(options, { counter: (this.counter += 1), ...told }, this.#key);
  }

  #shown({ challenge }: { challenge: string }, told: Told, key: KeyObject): Shown {
    const clientData = this.#clientData('webauthn.get', challenge, told);
    const authData = this.#authData(told, 0);
    return {
      id: this.id,
      response: {
        clientDataJSON: clientData.toString('base64url'),
        authenticatorData: authData.toString('base64url'),
        signature: sign('sha256', Buffer.concat([authData, sha256(clientData)]), key).toString('base64url'),
        userHandle: told.userHandle ?? this.userHandle,
      },
    };
  }

  #clientData(type: string, challenge: string, told: Told): Buffer {
    return Buffer.from(
      JSON.stringify({
        type: told.type ?? type,
        challenge: told.challenge ?? challenge,
        origin: told.origin ?? this.origin,
        crossOrigin: told.crossOrigin ?? false,
      }),
    );
  }

  /** WebAuthn Level 2, 6.1: whose domain, what is known of the person, the count. */
  #authData({ rpId = this.rpId, present = true, verified = true, counter = 0 }: Told, more: number): Buffer {
    const count = Buffer.alloc(4);
    count.writeUInt32BE(counter);
    return Buffer.concat([sha256(rpId), Buffer.from([(present ? 1 : 0) | (verified ? 4 : 0) | more]), count]);
  }
}

/** RFC 8949, as far as attestation needs it: whole numbers below 2^16, texts, bytes, maps. */
function cbor(value: Cbor): Buffer {
  if (typeof value === 'number') return value < 0 ? head(1, -1 - value) : head(0, value);
  if (typeof value === 'string') return Buffer.concat([head(3, Buffer.byteLength(value)), Buffer.from(value)]);
  if (Buffer.isBuffer(value)) return Buffer.concat([head(2, value.length), value]);
  return Buffer.concat([head(5, value.size), ...[...value].flatMap(([key, one]) => [cbor(key), cbor(one)])]);
}

function head(major: number, count: number): Buffer {
  const kind = major << 5;
  if (count < 24) return Buffer.from([kind | count]);
  return count < 256 ? Buffer.from([kind | 24, count]) : Buffer.from([kind | 25, count >> 8, count & 255]);
}
