import { authenticator } from 'otplib';

const STEP_SECONDS = 30;
/** A code of the step before or after is taken too: clocks differ. */
const WINDOW = 1;

/** RFC 6238 with the settings that every generator knows: SHA-1, six digits, thirty seconds. */
function generatorAt(moment: Date): typeof authenticator {
  return authenticator.clone({ epoch: moment.getTime(), step: STEP_SECONDS, window: WINDOW, digits: 6 });
}

export function newSecret(): string {
  return authenticator.generateSecret(20);
}

/** The code that a generator shows at this moment. */
export function codeAt(secret: string, moment: Date): string {
  return generatorAt(moment).generate(secret);
}

/** The step whose code this is, if it is near this moment; undefined if it is no such code. */
export function stepOfCode(code: string, secret: string, moment: Date): number | undefined {
  if (!/^\d{6}$/.test(code)) return undefined;
  const delta = generatorAt(moment).checkDelta(code, secret);
  return delta === null ? undefined : Math.floor(moment.getTime() / 1000 / STEP_SECONDS) + delta;
}

/** What a generator reads from a picture or takes as text. */
export function keyUri(email: string, secret: string): string {
  return authenticator.keyuri(email, 'Rickyard', secret);
}
