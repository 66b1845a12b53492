import { isIP } from 'node:net';

/** What the address of the server may be. */
export const PUBLIC_URL_WORDS =
  'the address at which people reach the server, without a path: https://books.ranch.example, or ' +
  'http://localhost:4180 on your own machine. Browsers take passkeys over https or at localhost alone, and no link ' +
  'in a mail goes without';

/** The origin (RFC 6454) that the text names; undefined unless it is https, or http at localhost. */
export function readPublicAddress(text: string): string | undefined {
  if (!URL.canParse(text.trim())) return undefined;
  const url = new URL(text.trim());
  const isBare = url.pathname === '/' && url.search === '' && url.hash === '' && url.username + url.password === '';
  const isSafe = url.protocol === 'https:' || (url.protocol === 'http:' && isLocalhost(url.hostname));
  return isBare && isSafe ? url.origin : undefined;
}

/**
 * The name that passkeys are made for (the RP ID of WebAuthn Level 2, 5.1.3, must be a domain); undefined where the
 * address is a number or there is none.
 */
export function domainOf(publicAddress: string | undefined): string | undefined {
  if (publicAddress === undefined) return undefined;
  const { hostname } = new URL(publicAddress);
  return isIP(hostname.replaceAll(/[[\]]/g, '')) === 0 ? hostname : undefined;
}

function isLocalhost(hostname: string): boolean {
  return hostname === 'localhost' || hostname.endsWith('.localhost');
}
