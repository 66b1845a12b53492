import { generateSecret, generateSync, verifySync } from 'otplib';

/** RFC 6238 with the settings that every generator supports: SHA-1, six digits, thirty seconds. */
const STEP_SECONDS = 30;
/** A code from the step before or after is accepted too, since clocks differ. */
const TOLERANCE_SECONDS = STEP_SECONDS;

const secondsOf = (moment: Date): number => Math.floor(moment.getTime() / 1000);

export function newSecret(): string {
  return generateSecret({ length: 20 });
}

/** The code that a generator shows at this moment. */
export function codeAt(secret: string, moment: Date): string {
  return generateSync({ secret, epoch: secondsOf(moment), period: STEP_SECONDS });
}

/** The time step that this code belongs to, if it is near this moment; otherwise undefined. */
export function stepOfCode(code: string, secret: string, moment: Date): number | undefined {
  if (!/^\d{6}$/.test(code)) return undefined;
  const epoch = secondsOf(moment);
  const found = verifySync({
    token: code,
    secret,
    epoch,
    period: STEP_SECONDS,
    epochTolerance: TOLERANCE_SECONDS,
  });
  return found.valid ? Math.floor(epoch / STEP_SECONDS) + found.delta : undefined;
}

/**
 * What a generator reads from a QR code or takes as text; the settings are spelled out, though they are the defaults.
 */
export function keyUri(email: string, secret: string): string {
  const settings = `secret=${secret}&period=${STEP_SECONDS}&digits=6&algorithm=SHA1&issuer=Rickyard`;
  return `otpauth://totp/Rickyard:${encodeURIComponent(email)}?${settings}`;
}
