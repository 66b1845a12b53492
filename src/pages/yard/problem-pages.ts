import type { FastifyInstance, FastifyReply, FastifyRequest } from 'fastify';
import { PAGES_AT } from '../../access/page-sign-in/page-cookie.js';
import { html } from '../html.js';
import { page } from '../layout.js';
import type { ReceivedRequest } from '../../platform/http/endpoint.js';
import { ProblemOnForm } from './entry/problem-on-form.js';
import { signInHtml } from './sign-in.page.js';

const SIGN_INS = [`${PAGES_AT}/sign-in`, `${PAGES_AT}/sign-in/passkey`];

interface Logged {
  title: string;
  status: number;
  detail?: string;
  requestId?: string;
  errors?: { message: string }[];
}

/**
 * A person with a browser reads text, not JSON: on the pages a problem is shown as a page, and a visitor who is not
 * signed in is sent to the sign-in form.
 */
export function tellProblemsAsPages(server: FastifyInstance, passkeysAt: () => string | undefined): void {
  server.addHook('onSend', (request, reply, payload, done) => {
    const path = request.url.split('?')[0] ?? '';
    if (path !== PAGES_AT && !path.startsWith(`${PAGES_AT}/`)) return done(null, payload);
    // A form sent from here must name this server as its origin, which no-referrer would hide.
    void reply.header('Referrer-Policy', 'same-origin');
    if (
      !String(reply.getHeader('content-type')).startsWith('application/problem+json') ||
      !wantsPage(request) ||
      typeof payload !== 'string'
    )
      return done(null, payload);
    void reply.type('text/html; charset=utf-8');
    const { problem: thrown } = request as FastifyRequest & ReceivedRequest;
    if (thrown instanceof ProblemOnForm) return done(null, thrown.page);
    const problem = JSON.parse(payload) as Logged;
    done(null, signInAgain(request, path, problem, passkeysAt()) ?? problemPage(request, reply, problem));
  });
}

/** The form once more, after a sign-in that was refused; undefined if it was none. */
function signInAgain(
  { method, body }: FastifyRequest,
  path: string,
  problem: Logged,
  passkeysAt: string | undefined,
): string | undefined {
  if (method !== 'POST' || !SIGN_INS.includes(path)) return undefined;
  const { email, next } = (body ?? {}) as { email?: unknown; next?: unknown };
  return signInHtml({
    next: typeof next === 'string' && next !== '' ? next : null,
    email: typeof email === 'string' ? email.slice(0, 254) : '',
    problem: wordsOf(problem),
    passkeysAt: passkeysAt ?? null,
  });
}

function problemPage(request: FastifyRequest, reply: FastifyReply, problem: Logged): string {
  // What was typed must not be lost on the way to the sign-in form: whoever sent it comes back to it.
  const isEntry = (request as FastifyRequest & ReceivedRequest).endpoint?.onlyOnce === true;
  if (problem.status === 401 && isEntry)
    return page(
      'You are not signed in any more',
      html`<p>Nothing was saved. Sign in, go back to this form in your browser and send it again.</p>`,
      [{ href: `${PAGES_AT}/sign-in`, words: 'Sign in' }],
    );
  if (problem.status === 401) {
    const next = request.method === 'GET' && request.url !== PAGES_AT ? `?next=${encodeURIComponent(request.url)}` : '';
    void reply
      .status(303)
      .header('Location', `${PAGES_AT}/sign-in${next}`)
      .removeHeader('content-type')
      .removeHeader('www-authenticate');
    return '';
  }
  const number = problem.requestId === undefined ? null : ` · ${problem.requestId}`;
  return page(problem.title, html`<p>${wordsOf(problem)}</p><p class="code">${problem.status}${number}</p>`, [
    { href: PAGES_AT, words: 'Home' },
  ]);
}

function wordsOf({ title, detail, errors = [] }: Logged): string {
  return [
    `${title}.`,
    ...(detail === undefined || detail === title ? [] : [detail]),
    ...errors.map((one) => one.message).filter((message) => detail?.includes(message) !== true),
  ].join(' ');
}

function wantsPage(request: FastifyRequest): boolean {
  return (request.headers.accept ?? '').includes('text/html');
}
