import { differencesOf } from '../../answers/differences.js';
import { Labels } from '../../answers/labels.js';
import type { Entry } from '../../answers/recording.js';

const entry = (body: unknown, more: Partial<Entry> = {}): Entry => ({
  ask: 'owner: GET /v1/herds',
  person: 'owner',
  role: 'owner',
  method: 'GET',
  path: '/v1/herds',
  status: 200,
  headers: {},
  body,
  statements: 1,
  ...more,
});
const places = (before: Entry, after: Entry): [place: string, words: boolean][] =>
  differencesOf(before, after, new Labels()).map(({ place, words }) => [place, words]);

describe('differences between two recorded answers', () => {
  it('are figures, codes, fields, their order, the status and the headers', () => {
    const before = entry({ code: 'not-found', mass: { value: '10.00', unit: 'lb' }, head: 5 });
    expect(places(before, entry({ code: 'not-found', mass: { value: '10.00', unit: 'lb' }, head: 5 }))).toEqual([]);
    expect(
      places(
        before,
        entry({ code: 'gone', mass: { unit: 'lb', value: '10.0' } }, { status: 404, headers: { etag: 'x' } }),
      ),
    ).toEqual([
      ['status', false],
      ['header etag', false],
      ['body/code', false],
      ['body/mass order of fields', false],
      ['body/mass/value', false],
      ['body/head', false],
    ]);
  });

  it('are told as words where prose says the same figures', () => {
    const before = entry({ detail: 'One belongs to this operation already, since 2026.' });
    expect(places(before, entry({ detail: 'This operation has one since 2026.' }))).toEqual([['body/detail', true]]);
    expect(places(before, entry({ detail: 'This operation has one since 2025.' }))).toEqual([['body/detail', false]]);
  });

  it('are none where ids are numbered otherwise, and one where an id is that of another thing', () => {
    const before = entry({ herdId: '<id 1>', lotId: '<id 2>', again: '<id 1>' });
    expect(places(before, entry({ herdId: '<id 8>', lotId: '<id 9>', again: '<id 8>' }))).toEqual([]);
    expect(places(before, entry({ herdId: '<id 8>', lotId: '<id 9>', again: '<id 9>' }))).toEqual([
      ['body/again', false],
    ]);
  });

  it('are none where the attributes of a cookie stand in another order', () => {
    const cookie = (text: string): Entry => entry(null, { headers: { 'set-cookie': text } });
    const before = cookie('page=<token 1>; Path=/yard; Max-Age=60; HttpOnly');
    expect(places(before, cookie('page=<token 1>; Max-Age=60; Path=/yard; HttpOnly'))).toEqual([]);
    expect(places(before, cookie('page=<token 1>; Max-Age=60; Path=/yard'))).toEqual([['header set-cookie', false]]);
  });

  it('are none where a page is laid out and escaped otherwise', () => {
    const page = (text: string): Entry => entry(text);
    expect(
      places(
        page('<!doctype html><p>\n  a &lt;b&gt; &#39;c&#39; </p>'),
        page("<!doctype html><p>a &#x3c;b&#62; 'c'</p>"),
      ),
    ).toEqual([]);
    expect(places(page('<!doctype html><p>24.50</p>'), page('<!doctype html><p>24.5</p>'))).toEqual([['body', false]]);
  });
});
