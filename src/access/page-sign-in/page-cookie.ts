import type { CookieSerializeOptions } from '@fastify/cookie';
import type { FastifyReply, FastifyRequest } from 'fastify';
import { Problem } from '../../platform/http/problem.js';
import { DEVICE_DAYS } from '../sign-in/known-devices.js';
import { PAGE_PREFIX } from '../sign-in/tokens.js';

/** Path of the pages for a browser. The cookie is sent here and never to an API address. */
export const PAGES_AT = '/yard';
const PAGE_COOKIE = 'rickyard_pages';
/**
 * Behind https the name itself proves that the cookie was set over https: a browser accepts the prefix no other way.
 */
const SECURE_PAGE_COOKIE = `__Secure-${PAGE_COOKIE}`;
const DEVICE_COOKIE = 'rickyard_device';
/** A working day: signed in before the morning feeding, out after the evening one. */
export const PAGE_HOURS = 12;

const TOKEN = new RegExp(`^${PAGE_PREFIX}[A-Za-z0-9_-]{20,100}$`);

/**
 * The token in the pages' cookie; none if the cookie is not ours or comes twice, as it would if another site had
 * planted one. The https cookie is tried first.
 */
export function pageTokenOf(request: Pick<FastifyRequest, 'headers' | 'cookies'>): string | undefined {
  const name = timesSent(request, SECURE_PAGE_COOKIE) > 0 ? SECURE_PAGE_COOKIE : PAGE_COOKIE;
  const value = request.cookies[name];
  return timesSent(request, name) === 1 && value !== undefined && TOKEN.test(value) ? value : undefined;
}

/**
 * How many times a cookie was sent: of two with the same name the parser keeps the first and drops the other silently.
 */
function timesSent({ headers }: Pick<FastifyRequest, 'headers'>, name: string): number {
  return (headers.cookie ?? '').split(';').filter((pair) => pair.split('=', 1)[0]?.trim() === name).length;
}

/** Gives the browser its cookie, for a working day. */
export function setPageCookie(reply: FastifyReply, token: string, overHttps: boolean): void {
  void reply.setCookie(overHttps ? SECURE_PAGE_COOKIE : PAGE_COOKIE, token, attributes(PAGE_HOURS * 3600, overHttps));
}

/** Marks the browser as one on which somebody has signed in; it stays when they sign out. */
export function setDeviceCookie(reply: FastifyReply, device: string, overHttps: boolean): void {
  void reply.setCookie(DEVICE_COOKIE, device, attributes(DEVICE_DAYS * 86_400, overHttps));
}

export function deviceOf(request: Pick<FastifyRequest, 'headers' | 'cookies'>): string | undefined {
  return timesSent(request, DEVICE_COOKIE) === 1 ? request.cookies[DEVICE_COOKIE] : undefined;
}

/** Makes the browser drop its cookie. */
export function endPageCookie(reply: FastifyReply, overHttps: boolean): void {
  void reply.setCookie(overHttps ? SECURE_PAGE_COOKIE : PAGE_COOKIE, '', attributes(0, overHttps));
}

/**
 * HttpOnly: no script reads it. SameSite=Lax and not Strict: a hand opens the sheet by a link in a message, which
 * Strict would answer with a sign-in. Lax sends the cookie when a link is followed but not with a form from another
 * site, and no GET here changes anything.
 */
function attributes(maxAge: number, secure: boolean): CookieSerializeOptions {
  return { path: PAGES_AT, maxAge, httpOnly: true, sameSite: 'lax', secure };
}

/**
 * Whether the browser came by https, here or up to a proxy in front. A false claim only spoils the sender's own cookie.
 */
export function cameOverHttps(request: Pick<FastifyRequest, 'headers' | 'protocol'>): boolean {
  const forwarded = first(request.headers['x-forwarded-proto'])?.split(',')[0]?.trim().toLowerCase();
  return (
    request.protocol === 'https' || forwarded === 'https' || request.headers.origin?.startsWith('https://') === true
  );
}

/**
 * Accepts a form only from a page of this server. Judged by Sec-Fetch-Site where the browser sends it, else by Origin:
 * scheme and host must be those the request came to, here or at a proxy in front. A request with neither is refused.
 * @throws Problem that says what was sent and what was expected.
 */
export function refuseForeignForm(request: Pick<FastifyRequest, 'headers' | 'host' | 'protocol'>): void {
  const site = first(request.headers['sec-fetch-site']);
  const { origin } = request.headers;
  if (site === 'same-origin') return;
  const own = ownOrigins(request);
  if (site === undefined && origin !== undefined && URL.canParse(origin) && own.includes(new URL(origin).origin))
    return;
  throw new Problem(
    'not-permitted',
    'This form was not sent by a page of this server: ' +
      (site !== undefined
        ? `the browser says that it comes from elsewhere (Sec-Fetch-Site: ${site}).`
        : `its Origin is ${origin ?? 'not given'}, and the server was called at ${own.join(' or ')}.`),
  );
}

/**
 * Where the request was sent: by its Host header, and by the address that a proxy in front was called at, where that
 * proxy is one of TRUSTED_PROXIES; what anybody else writes into X-Forwarded-Host counts for nothing.
 */
function ownOrigins(request: Pick<FastifyRequest, 'headers' | 'host' | 'protocol'>): string[] {
  const { headers } = request;
  const forwarded = first(headers['x-forwarded-proto'])?.split(',')[0]?.trim().toLowerCase();
  // A proxy that ends https does not have to say so.
  const schemes = forwarded === undefined ? [...new Set([request.protocol, 'https'])] : [forwarded];
  return [...new Set([headers.host ?? '', request.host])]
    .flatMap((host) => (host === '' ? [] : schemes.map((scheme) => `${scheme}://${host}`)))
    .flatMap((origin) => (URL.canParse(origin) ? [new URL(origin).origin] : []));
}

function first(header: string | string[] | undefined): string | undefined {
  return Array.isArray(header) ? header[0] : header;
}
