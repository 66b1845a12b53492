import { type Labels, unlabeled } from './labels.js';
import type { Entry } from './recording.js';

export interface Difference {
  /** Where in the answer: `status`, `header etag`, or the way into the body. */
  place: string;
  before: string;
  after: string;
  /** Whether it is a matter of words: prose whose figures are the same. */
  words: boolean;
}

const MOST_OF_ONE_ANSWER = 12;
const SHOWN = 200;

/** What differs between two answers to the same question. */
export function differencesOf(before: Entry, after: Entry, labels: Labels): Difference[] {
  const found: Difference[] = [];
  const tell = (place: string, one: unknown, other: unknown): void => {
    found.push({ place, ...shown(one, other), words: areWords(place, one, other) });
  };
  if (before.status !== after.status) tell('status', before.status, after.status);
  const names = new Set([...Object.keys(before.headers), ...Object.keys(after.headers)]);
  for (const name of names) {
    const [one, other] = [header(before, name), header(after, name)];
    if (one === undefined || other === undefined || !labels.alike(one, other)) tell(`header ${name}`, one, other);
  }
  walk(inOrder(before.body), inOrder(after.body), 'body', labels, tell);
  const left = found.length - MOST_OF_ONE_ANSWER;
  if (left <= 0) return found;
  const told = {
    place: 'body',
    before: '',
    after: `and ${left} differences more`,
    words: found.every((one) => one.words),
  };
  return [...found.slice(0, MOST_OF_ONE_ANSWER), told];
}

/** A cookie means the same in whatever order its attributes stand (RFC 6265, 5.3). */
function header({ headers }: Entry, name: string): string | undefined {
  if (name !== 'set-cookie') return headers[name];
  const [cookie, ...attributes] = (headers[name] ?? '').split('; ');
  return cookie === '' ? undefined : [cookie, ...attributes.sort()].join('; ');
}

/** The lines of an archive stand by ids, which are drawn by chance: here they stand by what they say. */
function inOrder(body: unknown): unknown {
  if (!isRecord(body) || !Array.isArray(body['lines'])) return body;
  const lines = body['lines'].map((line: unknown) => ({ line, says: unlabeled(JSON.stringify(line)) }));
  return {
    ...body,
    lines: lines
      .sort((one, other) => (one.says < other.says ? -1 : one.says > other.says ? 1 : 0))
      .map(({ line }) => line),
  };
}

type Tell = (place: string, before: unknown, after: unknown) => void;

function walk(before: unknown, after: unknown, place: string, labels: Labels, tell: Tell): void {
  if (typeof before === 'string' && typeof after === 'string') {
    const [one, other] = [plain(before), plain(after)];
    if (!labels.alike(one, other)) tell(place, one, other);
  } else if (Array.isArray(before) && Array.isArray(after)) {
    if (before.length !== after.length) tell(`${place} length`, before.length, after.length);
    for (let at = 0; at < Math.min(before.length, after.length); at += 1)
      walk(before[at], after[at], `${place}/${at}`, labels, tell);
  } else if (isRecord(before) && isRecord(after)) {
    const [names, others] = [Object.keys(before), Object.keys(after)];
    const common = names.filter((name) => name in after);
    if (common.join() !== others.filter((name) => name in before).join())
      tell(`${place} order of fields`, names.join(', '), others.join(', '));
    for (const name of new Set([...names, ...others]))
      walk(before[name], after[name], `${place}/${name}`, labels, tell);
  } else if (before !== after) tell(place, before, after);
}

function isRecord(given: unknown): given is Record<string, unknown> {
  return typeof given === 'object' && given !== null && !Array.isArray(given);
}

const ENTITIES: Readonly<Record<string, string>> = { lt: '<', gt: '>', quot: '"', apos: "'", nbsp: ' ', amp: '&' };
const ENTITY = /&(?:#(\d+)|#x([0-9a-f]+)|(lt|gt|quot|apos|nbsp|amp));/gi;

/** A page says the same however its source is laid out and its signs are escaped. */
function plain(text: string): string {
  if (!/^\s*<(!doctype|html|svg|\?xml)/i.test(text)) return text;
  return text
    .replaceAll(/\s*(<[^>]*>)\s*/g, '$1')
    .replaceAll(/\s+/g, ' ')
    .replaceAll(ENTITY, (_whole, decimal, hex, name) =>
      name !== undefined
        ? (ENTITIES[String(name).toLowerCase()] ?? '')
        : String.fromCodePoint(decimal !== undefined ? Number(decimal) : parseInt(String(hex), 16)),
    );
}

/** Both texts from a little before their first difference. */
function shown(before: unknown, after: unknown): { before: string; after: string } {
  const [one, other] = [asText(before), asText(after)];
  let at = 0;
  while (at < one.length && one[at] === other[at]) at += 1;
  const from = Math.max(0, at - 60);
  const part = (text: string): string =>
    `${from > 0 ? '…' : ''}${text.slice(from, from + SHOWN)}${text.length > from + SHOWN ? '…' : ''}`;
  return { before: part(one), after: part(other) };
}

function asText(given: unknown): string {
  return given === undefined ? '(nothing)' : typeof given === 'string' ? given : JSON.stringify(given);
}

/** Prose with the same figures in it; codes, units and other single words are no prose. */
function areWords(place: string, before: unknown, after: unknown): boolean {
  if (/^status|^header|order of fields$/.test(place)) return false;
  if (typeof before !== 'string' || typeof after !== 'string') return false;
  const figures = (text: string): string => (text.match(/\d+(?:[.,]\d+)*/g) ?? []).join(' ');
  return /\S \S/.test(before) && /\S \S/.test(after) && figures(before) === figures(after);
}
