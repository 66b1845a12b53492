import { createHmac, randomBytes } from 'node:crypto';

/** Standard Webhooks 1.0.0, Signature scheme: 24 to 64 random bytes in base64, so marked. */
const SECRET_BYTES = 32;
const PREFIX = 'whsec_';

/** A secret that its receiver is given once. */
export function newSigningSecret(): string {
  return `${PREFIX}${randomBytes(SECRET_BYTES).toString('base64')}`;
}

/**
 * The headers of one attempt by Standard Webhooks 1.0.0 (Webhook headers): which message, when it is sent, and that
 * with the body signed by HMAC-SHA256 under each secret that is good, the newest first.
 */
export function signedHeaders(
  { id, at, body }: { id: string; at: Date; body: string },
  secrets: readonly string[],
): Record<'webhook-id' | 'webhook-timestamp' | 'webhook-signature', string> {
  const timestamp = String(Math.floor(at.getTime() / 1000));
  const signatures = secrets.map((secret) => {
    const key = Buffer.from(secret.slice(PREFIX.length), 'base64');
    return `v1,${createHmac('sha256', key).update(`${id}.${timestamp}.${body}`).digest('base64')}`;
  });
  return { 'webhook-id': id, 'webhook-timestamp': timestamp, 'webhook-signature': signatures.join(' ') };
}
