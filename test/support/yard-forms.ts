import { parseHTML } from 'linkedom';
import { SignInStore } from '../../src/access/sign-in/sign-in.store.js';
import type { World } from './world.js';

const HTML = { accept: 'text/html,application/xhtml+xml,*/*;q=0.8', host: 'yard.test:4180' };

interface Node {
  readonly textContent: string | null;
  getAttribute(name: string): string | null;
  querySelector(selector: string): Node | null;
  querySelectorAll(selector: string): Iterable<Node>;
}

export interface YardAnswer {
  status: number;
  location: string;
  page: string;
}

/** A form as a browser would send it, nothing having been changed, and the words on it. */
export interface YardForm {
  action: string;
  fields: Record<string, string>;
  labels: Record<string, string>;
  /** The finding at each field. */
  wrong: Record<string, string>;
  options: Record<string, string[]>;
}

/** A browser without script on the pages of the yard. */
export interface YardBrowser {
  get(at: string): Promise<YardAnswer>;
  post(at: string, fields: Record<string, string>, headers?: Record<string, string>): Promise<YardAnswer>;
}

export async function yardBrowserOf(world: World, personId: string): Promise<YardBrowser> {
  const sessions = world.application.get(SignInStore);
  const token = await sessions.openPageSession(personId, 'test', world.clock.now(), '10.0.0.9', 12);
  const cookie = `rickyard_pages=${token}`;
  const ask = async (method: 'GET' | 'POST', url: string, headers: object, payload?: string): Promise<YardAnswer> => {
    const answer = await world.application.inject({
      method,
      url,
      headers: { ...HTML, cookie, ...headers },
      ...(payload === undefined ? {} : { payload }),
    });
    return {
      status: answer.statusCode,
      location: String(answer.headers['location'] ?? ''),
      page: answer.payload,
    };
  };
  return {
    get: (at) => ask('GET', at, {}),
    post: (at, fields, headers = { 'sec-fetch-site': 'same-origin' }) =>
      ask(
        'POST',
        at,
        { 'content-type': 'application/x-www-form-urlencoded', ...headers },
        new URLSearchParams(fields).toString(),
      ),
  };
}

/** The forms of a page that send something. */
export function formsOn(page: string): YardForm[] {
  const { document } = parseHTML(page) as unknown as { document: Node };
  return [...document.querySelectorAll('form[method=post]')].map((form) => {
    const found: YardForm = {
      action: form.getAttribute('action') ?? '',
      fields: {},
      labels: {},
      wrong: {},
      options: {},
    };
    for (const one of form.querySelectorAll('input, select, textarea')) {
      const name = one.getAttribute('name') ?? '';
      const options = [...one.querySelectorAll('option')];
      const isBox = one.getAttribute('type') === 'checkbox';
      const chosen = options.find((option) => option.getAttribute('selected') !== null) ?? options[0];
      if (!isBox || one.getAttribute('checked') !== null)
        found.fields[name] =
          chosen?.getAttribute('value') ?? one.getAttribute('value') ?? (one.textContent ?? '').trim();
      if (options.length > 0) found.options[name] = options.map((option) => option.getAttribute('value') ?? '');
      const label = form.querySelector(`label[for="${one.getAttribute('id') ?? '-'}"]`);
      if (label !== null) found.labels[name] = (label.textContent ?? '').replaceAll(/\s+/g, ' ').trim();
      const wrong = one.getAttribute('aria-describedby');
      if (wrong !== null) found.wrong[name] = form.querySelector(`#${wrong}`)?.textContent ?? '';
    }
    return found;
  });
}

/** The words of a part of a page. */
export function wordsIn(page: string, selector: string): string[] {
  const { document } = parseHTML(page) as unknown as { document: Node };
  return [...document.querySelectorAll(selector)].map((one) => (one.textContent ?? '').replaceAll(/\s+/g, ' ').trim());
}
