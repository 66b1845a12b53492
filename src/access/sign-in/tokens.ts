import { createHash, randomBytes } from 'node:crypto';

export const ACCESS_PREFIX = 'rya_';
export const REFRESH_PREFIX = 'ryr_';
/** Issued by a sign-in to the pages: valid in their cookie and nowhere else. */
export const PAGE_PREFIX = 'ryp_';
export const KEY_PREFIX = 'ryk_';
/** Given to a device on which somebody has signed in; opens nothing. */
export const DEVICE_PREFIX = 'ryd_';
export const INVITATION_PREFIX = 'ryi_';
export const RECOVERY_PREFIX = 'ryx_';
/** In a link that was mailed. */
export const LINK_PREFIX = 'rym_';

/** However often its tokens are renewed, a session ends so long after signing in. */
export const SESSION_DAYS = 90;

export function newToken(prefix: string): string {
  return prefix + randomBytes(32).toString('base64url');
}

/**
 * A code that people hand over and type: 112 random bits, enough to keep under one fast hash (OWASP ASVS 5.0, 6.5.2),
 * in groups of five.
 */
export function newCode(): string {
  return randomBytes(14)
    .toString('hex')
    .replace(/(.{5})(?!$)/g, '$1-');
}

/** Capitals, spaces and hyphens do not matter. */
export function hashCode(code: string): string {
  return hashToken(code.toLowerCase().replaceAll(/[^0-9a-f]/g, ''));
}

/** Tokens carry 256 random bits, so one fast hash is enough to store them: they cannot be guessed. */
export function hashToken(token: string): string {
  return createHash('sha256').update(token).digest('hex');
}
