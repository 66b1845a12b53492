import { isIP } from 'node:net';

/** What a proxy in front may be named by. */
export const PROXY_WORDS =
  'IP addresses or CIDR ranges with commas between them, such as 10.0.0.5, 10.1.0.0/16, fd00::/8';

/**
 * The proxies whose X-Forwarded-For and X-Forwarded-Proto are believed.
 * @returns undefined if the text names anything else.
 */
export function readTrustedProxies(text: string): string[] | undefined {
  const named = text
    .split(',')
    .map((one) => one.trim())
    .filter((one) => one !== '');
  return named.length > 0 && named.every(isAddressOrRange) ? named : undefined;
}

function isAddressOrRange(text: string): boolean {
  const [address = '', length, ...rest] = text.split('/');
  const family = isIP(address);
  if (family === 0 || rest.length > 0) return false;
  // A range of everything would let anybody choose the address that they are counted by.
  return length === undefined || (/^[1-9]\d{0,2}$/.test(length) && Number(length) <= (family === 4 ? 32 : 128));
}
