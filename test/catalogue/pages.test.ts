/*
 * Pages, printed sheets and pictures as a whole: each promised form has a writer and each writer a promise; what a
 * person typed stays text on every page; nothing of it is lost on the way.
 */
import fastify from 'fastify';
import '../../src/application.js';
import { serveFront } from '../../src/pages/front.page.js';
import { serveProblems } from '../../src/pages/problems.page.js';
import { serveReference } from '../../src/pages/reference.page.js';
import { tellProblemsAsPages } from '../../src/pages/yard/problem-pages.js';
import { type AnyEndpoint, ENDPOINTS, PAGES } from '../../src/platform/http/endpoint.js';
import { registeredWriters, writerOf } from '../../src/platform/http/writers.js';
import { barriersOf } from '../support/page-structure.js';
import { sampleOf } from '../support/sample-answers.js';

const ALL: AnyEndpoint[] = [...ENDPOINTS, ...PAGES];
/** Every sign that HTML gives a meaning (WHATWG HTML, 13.1.2 and 13.1.4). */
/** The scripts of the pages, by their address; what they are handed stands in attributes. */
const OUR_SCRIPTS = /<script src="\/yard\/(?:passkeys|yard)\.js" defer><\/script>/g;
const NAME = `<script>alert(1)</script>"&'`;
const ESCAPED = '&lt;script&gt;alert(1)&lt;/script&gt;&quot;&amp;&#39;';

/** One page from its schema alone, in several fillings, so that each part of it is walked. */
async function pagesOf(one: AnyEndpoint, text: string): Promise<string[]> {
  const { answer } = one;
  if (answer === undefined) throw new Error(`${one.operationId} has a page and no answer`);
  const pages: string[] = [];
  for (const fill of ['full', 'bare'] as const)
    for (const choice of [0, 1, 2])
      pages.push(String(await writerOf(one, 'html')(answer.parse(sampleOf(answer, { text, fill, choice })))));
  return pages;
}

/** The tags of a page in their order, without what stands between them; drawings are counted as one. */
function tagsOf(page: string): string[] {
  return page
    .replaceAll(/<svg [\s\S]*?<\/svg>/g, '<svg>')
    .replaceAll(/<style>[\s\S]*?<\/style>/g, '<style>')
    .match(/<[^>]*>/g)!
    .map((tag) => tag.replaceAll(/"[^"]*"/g, '""'));
}

describe('what is written from an answer', () => {
  it('has a writer for each promised form, and a promise for each writer', () => {
    const promised = ALL.flatMap((one) => (one.alsoAs ?? []).map((form) => `${one.operationId} ${form}`));
    const written = registeredWriters().map(([operationId, form]) => `${operationId} ${form}`);
    expect(promised.length).toBeGreaterThan(20);
    expect(written.toSorted()).toEqual(promised.toSorted());
  });

  it.each(ALL.filter((one) => one.alsoAs?.includes('html') === true).map((one) => [one.operationId, one] as const))(
    'keeps a name of signs a text on the page %s',
    async (_, one) => {
      const hostile = await pagesOf(one, NAME);
      const plain = await pagesOf(one, 'Name');
      expect(hostile.join('')).toContain(ESCAPED);
      expect(hostile.some((page) => page.replaceAll(OUR_SCRIPTS, '').includes('<script'))).toBe(false);
      // Not a tag, an attribute or an entity more than with a plain name.
      expect(hostile.map(tagsOf)).toEqual(plain.map(tagsOf));
    },
  );

  it.each(ALL.filter((one) => one.alsoAs?.includes('html') === true).map((one) => [one.operationId, one] as const))(
    'has one main part with one title, and tables whose heads say what they are heads of, on the page %s',
    async (_, one) => {
      for (const page of await pagesOf(one, 'Name')) {
        const [before, main, after] = page.split(/<main>|<\/main>/);
        expect(page.match(/<\/?main>/g)).toEqual(['<main>', '</main>']);
        expect((before ?? '') + (after ?? '')).not.toMatch(/<(h\d|table|p|form)[ >]/);
        expect(main?.match(/<h1[ >]/g)).toHaveLength(1);
        expect(page.match(/<th(?![^>]* scope="(?:col|row)")[ >]/g)).toBeNull();
        expect(page.match(/<table/g)?.length).toBe(page.match(/<thead/g)?.length);
        expect(page).toMatch(/<html lang="en">/);
      }
    },
  );

  it.each(ALL.filter((one) => one.alsoAs?.includes('html') === true).map((one) => [one.operationId, one] as const))(
    'keeps nobody with a keyboard or a screen reader from the page %s',
    async (_, one) => {
      for (const page of await pagesOf(one, 'Name')) expect(barriersOf(page)).toEqual([]);
    },
  );

  it('keeps it a text on the form after a refused sign-in, and on the page of a problem', async () => {
    const server = fastify();
    tellProblemsAsPages(server, () => 'https://books.ranch.example');
    server.addContentTypeParser('application/x-www-form-urlencoded', { parseAs: 'string' }, (_request, body, done) => {
      done(null, Object.fromEntries(new URLSearchParams(String(body))));
    });
    const refuse = { title: NAME, status: 400, detail: NAME, requestId: NAME, errors: [{ message: `${NAME}!` }] };
    server.all('/yard/*', (_request, reply) =>
      reply.status(400).type('application/problem+json').send(JSON.stringify(refuse)),
    );
    const headers = { accept: 'text/html', 'content-type': 'application/x-www-form-urlencoded' };
    const payload = new URLSearchParams({ email: NAME, next: NAME }).toString();
    const form = await server.inject({ method: 'POST', url: '/yard/sign-in', headers, payload });
    const problem = await server.inject({ url: '/yard/nowhere', headers: { accept: 'text/html' } });
    for (const page of [form.payload, problem.payload]) {
      expect(page).toContain(ESCAPED);
      expect(page.replaceAll(OUR_SCRIPTS, '')).not.toContain('<script');
    }
    expect(form.payload).toContain(`name="next" value="${ESCAPED}"`);
    expect(form.payload).toContain(`value="${ESCAPED}"`);
    await server.close();
  });

  it('opens the pages that ask nobody who they are', async () => {
    const server = fastify();
    serveFront(server);
    serveProblems(server);
    serveReference(server);
    for (const path of ['/', '/problems', '/problems/not-found', '/reference']) {
      const { statusCode, payload } = await server.inject(path);
      expect([path, statusCode, payload.startsWith('<!doctype html>\n<html lang="en">')]).toEqual([path, 200, true]);
      expect(payload).not.toMatch(/\[object |undefined|NaN/);
      expect([path, barriersOf(payload)]).toEqual([path, []]);
    }
    await server.close();
  });
});
