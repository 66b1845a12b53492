import type { FastifyRequest } from 'fastify';
import { PAGE_PREFIX } from '../sign-in/tokens.js';

/** Where the pages that a browser opens lie. The cookie is sent here and never to an address of the API. */
export const PAGES_AT = '/yard';
export const PAGE_COOKIE = 'rickyard_pages';
/** Behind https the name itself says that the cookie came by https: a browser takes it by no other road. */
const SECURE_PAGE_COOKIE = `__Secure-${PAGE_COOKIE}`;
/** A working day: signed in before the morning feeding, out after the evening one. */
export const PAGE_HOURS = 12;

const TOKEN = new RegExp(`^${PAGE_PREFIX}[A-Za-z0-9_-]{20,100}$`);

/**
 * The token in the cookie of the pages; none where the cookie is not ours, or comes twice, as one planted beside the
 * real one would. The one that came by https goes first.
 */
export function pageTokenOf(request: Pick<FastifyRequest, 'headers'>): string | undefined {
  const named = (name: string): string[] =>
    (request.headers.cookie ?? '')
      .split(';')
      .map((pair) => pair.trim())
      .filter((pair) => pair.startsWith(`${name}=`))
      .map((pair) => pair.slice(name.length + 1));
  const secure = named(SECURE_PAGE_COOKIE);
  const values = secure.length > 0 ? secure : named(PAGE_COOKIE);
  const [value] = values;
  return values.length === 1 && value !== undefined && TOKEN.test(value) ? value : undefined;
}

/**
 * HttpOnly: no script reads it. SameSite=Lax and not Strict: a hand opens the sheet by a link in a message, which
 * Strict would answer with a sign-in; Lax sends it with such a reading and with no form of another site, and nothing
 * that is read here changes anything.
 */
export function pageCookie(token: string, overHttps: boolean): string {
  return written(token, PAGE_HOURS * 3600, overHttps);
}

export function endedPageCookie(overHttps: boolean): string {
  return written('', 0, overHttps);
}

function written(value: string, seconds: number, overHttps: boolean): string {
  return (
    `${overHttps ? SECURE_PAGE_COOKIE : PAGE_COOKIE}=${value}; Path=${PAGES_AT}; Max-Age=${seconds}; HttpOnly; ` +
    `SameSite=Lax${overHttps ? '; Secure' : ''}`
  );
}

/**
 * Whether the browser came by https, here or up to a proxy in front. Whoever lies about it only spoils their own
 * cookie.
 */
export function cameOverHttps(request: Pick<FastifyRequest, 'headers' | 'protocol'>): boolean {
  const forwarded = first(request.headers['x-forwarded-proto'])?.split(',')[0]?.trim().toLowerCase();
  return (
    request.protocol === 'https' || forwarded === 'https' || request.headers.origin?.startsWith('https://') === true
  );
}

/**
 * Was this form sent by a page of this server? Told by Sec-Fetch-Site where the browser sends it, else by Origin
 * against Host. A request that says neither is not believed.
 */
export function sentByOwnPage(request: Pick<FastifyRequest, 'headers'>): boolean {
  const site = first(request.headers['sec-fetch-site']);
  if (site !== undefined) return site === 'same-origin';
  const { origin, host } = request.headers;
  if (origin === undefined || !URL.canParse(origin)) return false;
  const from = new URL(origin).host;
  return from !== '' && (from === host || from === first(request.headers['x-forwarded-host']));
}

function first(header: string | string[] | undefined): string | undefined {
  return Array.isArray(header) ? header[0] : header;
}
