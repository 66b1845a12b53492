import { createHash } from 'node:crypto';
import type { FastifyInstance, FastifyReply, FastifyRequest, onSendHookHandler } from 'fastify';
import type { AnyEndpoint } from './endpoint.js';

const DIGEST_LETTERS = 22;

/** A report has no version: its tag is made from its text, so that asking again for the same figures costs no bytes. */
export function isReport({ method, path }: { method: unknown; path: string }): boolean {
  return method === 'GET' && path.startsWith('/v1/') && path.includes('/reports/');
}

/** Whether an answer may be 304: nothing changed since what If-None-Match names. */
export function isRevalidated(one: AnyEndpoint): boolean {
  return (one.versioned === true && one.method === 'GET') || isReport(one);
}

/** What all encodings of one text have in common in their strong tags. */
export function digestOf(text: string | Buffer): string {
  return createHash('sha256').update(text).digest('base64url').slice(0, DIGEST_LETTERS);
}

/** A strong tag names these very bytes (RFC 9110, 8.8.1), so each encoding has its own. */
export function strongTag(digest: string, encoding?: unknown): string {
  return typeof encoding === 'string' ? `"${digest}-${encoding}"` : `"${digest}"`;
}

/** Whether If-None-Match names the text in any of its encodings. */
export function isUnchanged({ headers }: FastifyRequest, digest: string): boolean {
  const tags = headers['if-none-match']?.split(',').map((tag) => tag.trim().replace(/^W\//, '')) ?? [];
  return tags.some((tag) => tag === strongTag(digest) || tag.startsWith(`"${digest}-`));
}

/** Gives reports their tags, before and after they are compressed: to be called after `compressAnswers`. */
export function tagReports(server: FastifyInstance): void {
  server.addHook('onRoute', (route) => {
    if (!isReport({ method: route.method, path: route.url })) return;
    route.onSend = [tagOrLeaveOut, ...(route.onSend === undefined ? [] : [route.onSend].flat()), tagOfEncoded];
  });
}

const DIGEST = Symbol('digest');
type Tagged = FastifyReply & { [DIGEST]?: string };

const tagOrLeaveOut: onSendHookHandler = (request, reply: Tagged, payload, done) => {
  if (reply.statusCode !== 200 || !(typeof payload === 'string' || Buffer.isBuffer(payload)))
    return done(null, payload);
  const digest = digestOf(payload);
  reply[DIGEST] = digest;
  void reply.header('ETag', strongTag(digest)).header('Cache-Control', 'private, no-cache');
  if (!isUnchanged(request, digest)) return done(null, payload);
  void reply.status(304).removeHeader('content-type').removeHeader('content-length');
  return done(null, null);
};

const tagOfEncoded: onSendHookHandler = (_request, reply: Tagged, payload, done) => {
  const digest = reply[DIGEST];
  if (digest !== undefined) void reply.header('ETag', strongTag(digest, reply.getHeader('content-encoding')));
  done(null, payload);
};
