import { createPublicKey, type JsonWebKey } from 'node:crypto';

/** Labels of a COSE key (RFC 9052, 7.1) and of its parts (RFC 9053, 7.1 and 7.2; RFC 8230, 4). */
const [KEY_TYPE, ALGORITHM, CURVE_OR_N, X_OR_E, Y] = [1, 3, -1, -2, -3];
/** Shorter RSA keys are not to be used for signatures (NIST SP 800-131A Rev. 2, table 2). */
const RSA_BITS_LEAST = 2048;

/**
 * Can anything be signed by the key that was registered? The library reads its labels and stores the rest: a key of
 * another kind than its algorithm, or a point beside its curve, would be a passkey that never works and yet makes the
 * passphrase alone too little.
 */
export function isUsableKey(coseKey: ReadonlyMap<number, unknown>): boolean {
  const jwk = jwkOf(coseKey);
  if (jwk === undefined) return false;
  try {
    // Reading it checks that the point is on the curve.
    const { asymmetricKeyDetails } = createPublicKey({ key: jwk, format: 'jwk' });
    return jwk.kty !== 'RSA' || (asymmetricKeyDetails?.modulusLength ?? 0) >= RSA_BITS_LEAST;
  } catch {
    return false;
  }
}

/** ES256 on P-256, Ed25519 or RS256, each with its own kind of key; undefined for any other pair. */
function jwkOf(coseKey: ReadonlyMap<number, unknown>): JsonWebKey | undefined {
  const text = (label: number): string => {
    const part = coseKey.get(label);
    return part instanceof Uint8Array ? Buffer.from(part).toString('base64url') : '';
  };
  const kind = [coseKey.get(ALGORITHM), coseKey.get(KEY_TYPE)].join();
  if (kind === '-7,2' && coseKey.get(CURVE_OR_N) === 1) return { kty: 'EC', crv: 'P-256', x: text(X_OR_E), y: text(Y) };
  if (kind === '-8,1' && coseKey.get(CURVE_OR_N) === 6) return { kty: 'OKP', crv: 'Ed25519', x: text(X_OR_E) };
  if (kind === '-257,3') return { kty: 'RSA', n: text(CURVE_OR_N), e: text(X_OR_E) };
  return undefined;
}
