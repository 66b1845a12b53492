/*
 * The pages that a browser opens: sign-in by a form, a cookie that reads pages and changes nothing, what each role
 * finds. Everything here is invented.
 */
import { parseHTML } from 'linkedom';
import { generateSync } from 'otplib';
import { PAGES } from '../../src/platform/http/endpoint.js';
import {
  clientOf,
  type Operation,
  operationWith,
  PASSPHRASE,
  type Person,
  person,
  type Role,
} from '../support/people.js';
import { transfer } from '../support/books.js';
import { printedWords } from '../support/printed-words.js';
import { type WithId } from '../support/things.js';
import { aWinterIn, type Winter } from '../support/winter.js';
import { openWorld, type World } from '../support/world.js';
import { SignInStore } from '../../src/access/sign-in/sign-in.store.js';
import { aRunningTrial } from './trials/support.js';

const HOST = 'yard.test:4180';
const HTML = { accept: 'text/html,application/xhtml+xml,*/*;q=0.8', host: HOST };
/** The cookie of somebody who has signed in to the pages. */
async function pageCookieOf(world: World, personId: string): Promise<string> {
  const sessions = world.application.get(SignInStore);
  return `rickyard_pages=${await sessions.openPageSession(personId, 'test', world.clock.now(), '10.0.0.9', 12)}`;
}

const OWN_FORM = { ...HTML, 'content-type': 'application/x-www-form-urlencoded', 'sec-fetch-site': 'same-origin' };

/** What a browser sends where somebody presses the button of the page's plain form, nothing having been changed. */
function fieldsToAskWith(page: string): URLSearchParams {
  const { document } = parseHTML(page) as unknown as { document: Searched };
  const form = [...document.querySelectorAll('form')].find(
    (one) => (one.getAttribute('method') ?? 'get') === 'get' && one.getAttribute('action') === null,
  );
  const fields = new URLSearchParams();
  for (const input of form?.querySelectorAll('input') ?? []) {
    // A cleared day would be sent as nothing, which is no day.
    if (input.getAttribute('type') === 'date') expect(input.getAttribute('required')).not.toBeNull();
    fields.set(input.getAttribute('name') ?? '', input.getAttribute('value') ?? '');
  }
  for (const select of form?.querySelectorAll('select') ?? []) {
    const options = [...select.querySelectorAll('option')];
    const chosen = options.find((one) => one.getAttribute('selected') !== null) ?? options[0];
    fields.set(select.getAttribute('name') ?? '', chosen?.getAttribute('value') ?? '');
  }
  return fields;
}
interface Report {
  generatedAt?: string;
  betweenWeighings?: unknown;
}
interface Searched {
  getAttribute(name: string): string | null;
  querySelectorAll(selector: string): Iterable<Searched>;
}

describe('the pages of a browser', () => {
  let world: World;
  let operation: Operation;
  let winter: Winter;
  let addresses = 0;

  beforeAll(async () => {
    world = await openWorld();
    operation = await operationWith(world);
    winter = await aWinterIn(operation);
    const herdAt = operation.at(`/herds/${winter.herdId}`);
    const { headers } = await operation.as.manager.get(herdAt, { expect: 200 });
    await operation.as.manager.patch(
      herdAt,
      { placeId: winter.desk.placeId },
      { ifMatch: headers['etag'] ?? '', expect: 200 },
    );
  });
  afterAll(async () => {
    await world.close();
  });

  type Answer = Awaited<ReturnType<typeof world.application.inject>>;
  const send = (
    method: 'GET' | 'HEAD' | 'POST',
    url: string,
    headers: Record<string, string>,
    payload?: string,
  ): Promise<Answer> => {
    addresses += 1;
    return world.application.inject({
      method,
      url,
      headers,
      remoteAddress: `10.77.${addresses >> 8}.${addresses & 255}`,
      ...(payload === undefined ? {} : { payload }),
    });
  };
  const form = (fields: Record<string, string>): string => new URLSearchParams(fields).toString();
  const signIn = (
    who: Person,
    more: Record<string, string> = {},
    headers: Record<string, string> = OWN_FORM,
  ): Promise<Answer> =>
    send('POST', '/yard/sign-in', headers, form({ email: who.email, passphrase: PASSPHRASE, ...more }));
  const cookieOf = (answer: Answer): string => String(answer.headers['set-cookie'] ?? '').split(';')[0] ?? '';
  /** Their order says nothing (RFC 6265, 4.1.2). */
  const attributesOf = (answer: Answer): string[] =>
    String([answer.headers['set-cookie']].flat()[0] ?? '')
      .split('; ')
      .slice(1)
      .toSorted();
  /** A page as one of the roles sees it, by the cookie of a session opened behind the passphrase. */
  const cookies = new Map<Role, string>();
  const opened = async (role: Role, url: string, accept = HTML.accept): Promise<Answer> => {
    const cookie = cookies.get(role) ?? (await pageCookieOf(world, operation.people[role].id));
    cookies.set(role, cookie);
    return send('GET', url, { ...HTML, accept, cookie });
  };
  const at = (path: string): string => `/yard/operations/${operation.id}${path}`;

  describe('signing in', () => {
    it('leads whoever is not signed in to the form, and from there to where they wanted to go', async () => {
      const wanted = at(`/places/${winter.desk.placeId}/feed-sheet?on=2027-01-11`);
      const sent = await send('GET', wanted, HTML);
      expect([sent.statusCode, sent.headers['location'], sent.payload]).toEqual([
        303,
        `/yard/sign-in?next=${encodeURIComponent(wanted)}`,
        '',
      ]);
      const page = await send('GET', String(sent.headers['location']), HTML);
      expect(page.statusCode).toBe(200);
      expect(page.headers['content-type']).toBe('text/html; charset=utf-8');
      expect(page.payload).toContain(`name="next" value="${wanted}"`);
      const answer = await signIn(operation.people.hand, { next: wanted });
      expect([answer.statusCode, answer.headers['location']]).toEqual([303, wanted]);
      const sheet = await send('GET', wanted, { ...HTML, cookie: cookieOf(answer) });
      expect(sheet.statusCode).toBe(200);
      expect(sheet.payload).toContain('Desk bunk');
    });

    it(
      'gives a cookie that no script reads, that goes to the pages alone and lasts a working day; Secure behind ' +
        'https',
      async () => {
        const answer = await signIn(operation.people.manager);
        expect(cookieOf(answer)).toMatch(/^rickyard_pages=ryp_[A-Za-z0-9_-]{43}$/);
        expect(attributesOf(answer)).toEqual(['HttpOnly', 'Max-Age=43200', 'Path=/yard', 'SameSite=Lax']);
        const proxied = await signIn(operation.people.manager, {}, { ...OWN_FORM, 'x-forwarded-proto': 'https' });
        expect(cookieOf(proxied)).toMatch(/^__Secure-rickyard_pages=ryp_[A-Za-z0-9_-]{43}$/);
        expect(attributesOf(proxied)).toEqual(['HttpOnly', 'Max-Age=43200', 'Path=/yard', 'SameSite=Lax', 'Secure']);
        expect((await send('GET', '/yard', { ...HTML, cookie: cookieOf(proxied) })).statusCode).toBe(200);
        // What came by https goes before what anybody on the way could have planted.
        expect(
          (
            await send('GET', '/yard', {
              ...HTML,
              cookie: `rickyard_pages=ryp_${'x'.repeat(43)}; ${cookieOf(proxied)}`,
            })
          ).statusCode,
        ).toBe(200);
        expect(
          (
            await send('GET', '/yard', {
              ...HTML,
              cookie: `${cookieOf(answer)}; __Secure-rickyard_pages=ryp_${'x'.repeat(43)}`,
            })
          ).statusCode,
        ).toBe(303);
        // One that comes twice is none: of two equal names nobody can say which was planted.
        for (const twice of [
          `${cookieOf(answer)}; ${cookieOf(answer)}`,
          `${cookieOf(answer)};rickyard_pages = x`,
          `rickyard_pages=; ${cookieOf(answer)}`,
        ])
          expect((await send('GET', '/yard', { ...HTML, cookie: twice })).statusCode).toBe(303);
        world.clock.advance({ hours: 11 });
        expect((await send('GET', '/yard', { ...HTML, cookie: cookieOf(answer) })).statusCode).toBe(200);
        world.clock.advance({ hours: 2 });
        const over = await send('GET', '/yard', { ...HTML, cookie: cookieOf(answer) });
        expect([over.statusCode, over.headers['location']]).toEqual([303, '/yard/sign-in']);
        world.clock.advance({ hours: -13 });
      },
    );

    it(
      'tells a wrong passphrase on the form, keeps the email and not the ' + 'passphrase, and is limited like the API',
      async () => {
        const who = await person(world, 'clumsy');
        const wrong = await signIn(who, { passphrase: 'not this one' });
        expect(wrong.statusCode).toBe(401);
        expect(wrong.headers['set-cookie']).toBeUndefined();
        expect(wrong.payload).toContain('Email and passphrase do not match');
        expect(wrong.payload).toContain(`value="${who.email}"`);
        expect(wrong.payload).not.toContain('not this one');
        const statuses: number[] = [];
        for (let guess = 0; guess < 10; guess += 1)
          statuses.push(
            (
              await world.application.inject({
                method: 'POST',
                url: '/yard/sign-in',
                headers: OWN_FORM,
                remoteAddress: '10.78.0.1',
                payload: form({ email: who.email, passphrase: `guess ${guess}` }),
              })
            ).statusCode,
          );
        expect(statuses.slice(-2)).toEqual([429, 429]);
        const unknown = await signIn({ ...who, email: '"><script>alert(1)</script>@x' });
        expect(unknown.statusCode).toBe(400);
        expect(unknown.payload).not.toContain('<script>');
      },
    );

    it('asks for the one-time code where one is set up, and takes it', async () => {
      const who = await person(world, 'careful');
      const client = await clientOf(world, who);
      const begun = await client.post<{ secret: string }>(
        '/v1/me/second-factor',
        { presentPassphrase: PASSPHRASE },
        { key: null },
      );
      expect(begun.status).toBeLessThan(300);
      const codeNow = (secret: string) => generateSync({ secret, epoch: world.clock.now().getTime() / 1000 });
      await client.post(
        '/v1/me/second-factor/confirmation',
        { oneTimeCode: codeNow(begun.body.secret) },
        { key: null },
      );
      const without = await signIn(who);
      expect([without.statusCode, without.headers['set-cookie']]).toEqual([401, undefined]);
      expect(without.payload).toContain('A one-time code is needed');
      world.clock.advance({ minutes: 2 });
      const withCode = await signIn(who, { code: codeNow(begun.body.secret) });
      expect(withCode.statusCode).toBe(303);
    });

    it('goes nowhere but to pages of this server afterward', async () => {
      for (const next of [
        'https://elsewhere.test/',
        '//elsewhere.test/yard',
        '/yardstick',
        '/v1/me',
        '/yard\\@elsewhere.test',
        'javascript:alert(1)',
        '/yard/\r\nX: y',
      ]) {
        const answer = await signIn(operation.people.hand, { next });
        expect([next, answer.statusCode, answer.headers['location'], answer.headers['set-cookie']]).toEqual([
          next,
          400,
          undefined,
          undefined,
        ]);
      }
    });

    it("ends by its own button, by that for every device, and by the API's sign-out everywhere", async () => {
      const [one, other] = [
        cookieOf(await signIn(operation.people.accountant)),
        cookieOf(await signIn(operation.people.accountant)),
      ];
      const out = await send('POST', '/yard/sign-out', { ...OWN_FORM, cookie: one }, '');
      expect([out.statusCode, out.headers['location']]).toEqual([303, '/yard/sign-in']);
      expect(cookieOf(out)).toBe('rickyard_pages=');
      expect(attributesOf(out)).toEqual(['HttpOnly', 'Max-Age=0', 'Path=/yard', 'SameSite=Lax']);
      const status = async (cookie: string): Promise<number> =>
        (await send('GET', '/yard', { ...HTML, cookie })).statusCode;
      expect([await status(one), await status(other)]).toEqual([303, 200]);
      const third = cookieOf(await signIn(operation.people.accountant));
      await send('POST', '/yard/sign-out', { ...OWN_FORM, cookie: third }, 'everywhere=yes');
      expect([await status(other), await status(third)]).toEqual([303, 303]);
      const again = cookieOf(await signIn(operation.people.accountant));
      await (
        await clientOf(world, operation.people.accountant)
      ).post('/v1/sign-out', { everywhere: true }, { key: null, expect: 204 });
      expect(await status(again)).toBe(303);
      operation.as.accountant = await clientOf(world, operation.people.accountant);
    });
  });

  describe('the cookie', () => {
    it('opens no address of the API, to read or to write, and is no bearer token', async () => {
      const cookie = cookieOf(await signIn(operation.people.owner));
      const token = cookie.replace('rickyard_pages=', '');
      for (const headers of [{ cookie }, { authorization: `Bearer ${token}` }]) {
        expect((await send('GET', '/v1/operations', { ...HTML, ...headers })).statusCode).toBe(401);
        expect(
          (
            await send('GET', `/v1/operations/${operation.id}/places/${winter.desk.placeId}/feed-sheet`, {
              ...HTML,
              ...headers,
            })
          ).statusCode,
        ).toBe(401);
        expect(
          (
            await send(
              'POST',
              '/v1/operations',
              {
                'content-type': 'application/json',
                'idempotency-key': '"a"',
                'sec-fetch-site': 'same-origin',
                ...headers,
              },
              JSON.stringify({ name: 'Mine', unitPreference: 'us', currency: 'USD', timeZone: 'America/Denver' }),
            )
          ).statusCode,
        ).toBe(401);
      }
      expect((await send('GET', '/yard', { ...HTML, authorization: `Bearer ${token}` })).statusCode).toBe(303);
    });

    it('is believed only if it is one, and ours', async () => {
      const cookie = cookieOf(await signIn(operation.people.hand));
      const session = await world.application
        .get(SignInStore)
        .openSession(operation.people.hand.id, 'test', world.clock.now());
      for (const wrong of [
        `${cookie}; ${cookie}`,
        `rickyard_pages=; ${cookie}`,
        `rickyard_pages=${session.accessToken}`,
        `${cookie}x`,
        cookie.replace('rickyard_pages', 'other'),
      ]) {
        expect([wrong.slice(0, 30), (await send('GET', '/yard', { ...HTML, cookie: wrong })).statusCode]).toEqual([
          wrong.slice(0, 30),
          303,
        ]);
      }
      expect((await send('GET', '/yard', { ...HTML, cookie: `a=b; ${cookie}; c=d` })).statusCode).toBe(200);
      expect((await send('HEAD', '/yard', { ...HTML, cookie })).statusCode).toBe(200);
    });

    it('lists the devices that are signed in, and signs one out that is not at hand', async () => {
      const one = await operationWith(world, { roles: ['owner', 'hand'] });
      const [lost, here] = [cookieOf(await signIn(one.people.hand)), cookieOf(await signIn(one.people.hand))];
      const shown = (await send('GET', '/yard/account', { ...HTML, cookie: here })).body;
      expect(shown).toContain('This device');
      const type = { 'content-type': 'application/x-www-form-urlencoded', 'sec-fetch-site': 'same-origin' };
      for (const [, sessionId] of shown.matchAll(/name="sessionId" value="([^"]+)"/g)) {
        const sent = await send(
          'POST',
          '/yard/account/sessions/end',
          { ...HTML, ...type, cookie: here },
          `sessionId=${sessionId}`,
        );
        expect([sent.statusCode, sent.headers['location']]).toEqual([303, '/yard/account']);
      }
      expect((await send('GET', '/yard', { ...HTML, cookie: lost })).statusCode).toBe(303);
      expect((await send('GET', '/yard', { ...HTML, cookie: here })).statusCode).toBe(200);
    });

    it('changes its own end, its person, yard entries, rations and closings: no other page takes a form', () => {
      expect(
        PAGES.filter((one) => one.method !== 'GET')
          .map((one) => one.operationId)
          .sort(),
      ).toEqual([
        'acceptRationByForm',
        'addPasskeyByForm',
        'askEmailLinkByForm',
        'closeBooksByForm',
        'countByForm',
        'endPasskeyByForm',
        'endRationByForm',
        'endSessionByForm',
        'fedByForm',
        'hayTicketByForm',
        'hayTicketOfNewLotByForm',
        'headByForm',
        'keepRationByForm',
        'proposeRationByForm',
        'proveEmailByForm',
        'returnRationByForm',
        'secondLookByForm',
        'signInByForm',
        'signInByPasskeyForm',
        'signOutByForm',
        'useRationByForm',
        'waterByForm',
        'weatherByForm',
        'weighInByForm',
        'withdrawRationByForm',
      ]);
      expect(PAGES.length).toBeGreaterThan(10);
      for (const one of PAGES) expect(one.path).toMatch(/^\/yard(\/|$)/);
    });

    it('does not carry a form from elsewhere: not to sign out, not to sign in as somebody else', async () => {
      const cookie = cookieOf(await signIn(operation.people.hand));
      const plain = { ...HTML, 'content-type': 'application/x-www-form-urlencoded' };
      for (const from of [
        { 'sec-fetch-site': 'cross-site' },
        { 'sec-fetch-site': 'same-site' },
        { 'sec-fetch-site': 'none' },
        { origin: 'https://elsewhere.test' },
        { origin: 'null' },
        {},
        { 'sec-fetch-site': 'cross-site', origin: `http://${HOST}` },
      ] as Record<string, string>[]) {
        expect([from, (await send('POST', '/yard/sign-out', { ...plain, ...from, cookie }, '')).statusCode]).toEqual([
          from,
          403,
        ]);
        const signedIn = await signIn(operation.people.owner, {}, { ...plain, ...from });
        expect([from, signedIn.statusCode, signedIn.headers['set-cookie']]).toEqual([from, 403, undefined]);
      }
      expect((await send('GET', '/yard', { ...HTML, cookie })).statusCode).toBe(200);
      // Without Sec-Fetch-Site, as over plain http in a house net, Origin says it.
      expect((await signIn(operation.people.owner, {}, { ...plain, origin: `http://${HOST}` })).statusCode).toBe(303);
    });

    it('takes its own form at whatever address it was called by, and says what is wrong with another', async () => {
      const type = { ...HTML, 'content-type': 'application/x-www-form-urlencoded' };
      for (const [host, origin, more] of [
        ['localhost:4181', 'http://localhost:4181'],
        ['127.0.0.1:4181', 'http://127.0.0.1:4181'],
        ['192.168.1.20', 'http://192.168.1.20'],
        ['192.168.1.20:80', 'http://192.168.1.20'],
        ['Yard.Test', 'http://yard.test'],
        ['yard.test', 'https://yard.test'],
      ] as [string, string, Record<string, string>?][])
        expect([
          host,
          (await signIn(operation.people.hand, {}, { ...type, host, origin, ...more })).statusCode,
        ]).toEqual([host, 303]);
      for (const [host, origin, more] of [
        ['localhost:4181', 'http://localhost:4182'],
        ['localhost:4181', 'http://localhost'],
        ['yard.test', 'ftp://yard.test'],
        ['yard.test', 'http://yard.test', { 'x-forwarded-proto': 'https' }],
        // No proxy is trusted here, so nobody's word for another host counts.
        ['10.0.0.1:4180', 'https://yard.test', { 'x-forwarded-host': 'yard.test', 'x-forwarded-proto': 'https' }],
      ] as [string, string, Record<string, string>?][]) {
        const refused = await signIn(operation.people.hand, {}, { ...type, host, origin, ...more });
        expect([host, refused.statusCode]).toEqual([host, 403]);
        expect(refused.payload).toContain(origin);
        expect(refused.payload).toContain(host);
      }
    });

    it('takes no letters of a form that are not UTF-8', async () => {
      for (const email of ['caf%E9', 'caf%ED%A0%80', '%'])
        expect([
          email,
          (await send('POST', '/yard/sign-in', OWN_FORM, `email=${email}&passphrase=x`)).statusCode,
        ]).toEqual([email, 400]);
      const foreign = { ...OWN_FORM, 'content-type': 'application/x-www-form-urlencoded; charset=iso-8859-1' };
      expect((await signIn(operation.people.hand, {}, foreign)).statusCode).toBe(415);
    });

    it('leaves forms unread everywhere else, and doubled fields everywhere', async () => {
      const api = await send(
        'POST',
        '/v1/sign-in',
        OWN_FORM,
        form({ email: operation.people.hand.email, passphrase: PASSPHRASE }),
      );
      expect(api.statusCode).toBe(415);
      expect(
        (
          await send(
            'POST',
            '/yard/sign-in',
            { ...OWN_FORM, 'content-type': 'application/json' },
            JSON.stringify({ email: operation.people.hand.email, passphrase: PASSPHRASE }),
          )
        ).statusCode,
      ).toBe(415);
      expect(
        (
          await send(
            'POST',
            '/yard/sign-in',
            OWN_FORM,
            `${form({ email: operation.people.hand.email, passphrase: PASSPHRASE })}&email=b@example.test`,
          )
        ).statusCode,
      ).toBe(400);
    });
  });

  describe('what is found there', () => {
    it("the start page: one's operations and today's sheets, the same addresses for every role", async () => {
      for (const role of ['hand', 'manager', 'owner', 'nutritionist', 'accountant'] as const) {
        const page = await opened(role, '/yard');
        expect([role, page.statusCode]).toEqual([role, 200]);
        expect(page.payload).toContain(at(`/places/${winter.desk.placeId}/feed-sheet`));
        expect(page.payload.includes('/yard/portfolio')).toBe(role === 'nutritionist' || role === 'owner');
        expect(page.payload).not.toMatch(/<script|https?:\/\//);
        expect(page.headers['content-security-policy']).toMatch(/default-src 'self'.*frame-ancestors 'none'/);
        expect(page.headers['cache-control']).toBe('no-store');
      }
      const lonely = await person(world, 'lonely');
      const cookie = await pageCookieOf(world, lonely.id);
      expect((await send('GET', '/yard', { ...HTML, cookie })).payload).toContain('You belong to no operation');
    });

    it("an operation: rations in use with their layers, and money's page only for who sees prices", async () => {
      const hand = await opened('hand', at(''));
      expect(hand.statusCode).toBe(200);
      expect(hand.payload).toContain('Coarse meadow');
      expect(hand.payload).toContain('hay-budget');
      expect(hand.payload).not.toContain('hay-position');
      expect((await opened('accountant', at(''))).payload).toContain('hay-position');
      const refused = await opened('hand', at('/hay-position'));
      expect([refused.statusCode, refused.headers['content-type']]).toEqual([403, 'text/html; charset=utf-8']);
      expect(refused.payload).toContain('Your role does not allow this');
      const other = await operationWith(world, { roles: ['owner'] });
      expect((await opened('owner', `/yard/operations/${other.id}`)).statusCode).toBe(404);
    });

    it('the feed sheet, with its PDF a tap away', async () => {
      const path = at(`/places/${winter.desk.placeId}/feed-sheet`);
      const page = await opened('hand', path);
      const pdf = /href="([^"]*format=pdf)"/.exec(page.payload)?.[1]?.replaceAll('&amp;', '&') ?? '';
      const printed = await opened('hand', `${path}${pdf}`);
      expect(printed.headers['content-type']).toBe('application/pdf');
      expect(printedWords(printed.rawPayload)).toContain('Coarse meadow');
      expect(page.payload).toContain('?on=2027-01-14&amp;units=us');
      expect((await opened('hand', path, 'application/json')).json<{ sheet: { place: string } }>().sheet.place).toBe(
        'Desk bunk',
      );
    });

    it('the ration report: bars with numbers, what rests on book values; for one herd too; on paper', async () => {
      const page = await opened('hand', `${at('/ration-report')}?on=2027-01-11`);
      expect(page.statusCode).toBe(200);
      expect(page.payload).toContain('Weaned calves, 100 head');
      expect(page.payload).toContain('Coarse meadow');
      expect(page.payload).toMatch(/<svg[\s\S]*\d+ % \([\d.,]+ of [\d.,]+ Mcal\/d\)/);
      expect(page.payload).toMatch(/On book values, not on a test: /);
      expect(page.payload).not.toContain('USD');
      expect((await opened('accountant', `${at('/ration-report')}?on=2027-01-11`)).payload).toContain('USD');
      const one = await opened('hand', `${at('/ration-report')}?on=2027-01-11&herdId=${winter.herdId}&format=pdf`);
      expect(printedWords(one.rawPayload)).toContain('Ration report: ');
      expect((await opened('hand', at(''))).payload).toContain('ration-report');
    });

    it("a lot's page, found from the operation: which bales to core, how, and what was seen of it", async () => {
      const lotId = winter.lots[0]?.lotId ?? '';
      const look = { hayLotId: lotId, seenOn: '2027-01-09', mold: 'light', balesChecked: 20, balesMoldy: 4 };
      const probe = { temperature: { value: '131', unit: 'F' }, depth: { value: '3', unit: 'ft' } };
      const seen = await operation.as.hand.post<WithId>(
        operation.at('/hay-observations'),
        { ...look, probe, note: 'North end' },
        { expect: 201 },
      );
      const path = at(`/hay-lots/${lotId}`);
      expect((await opened('hand', at(''))).payload).toContain(`href="${path}"`);
      const page = await opened('hand', `${path}?seed=7&bales=60&units=metric`);
      expect(page.statusCode).toBe(200);
      const api = await operation.as.hand.get<{ samples: { bales: { bale: number }[] }[]; steps: { words: string }[] }>(
        operation.at(`/hay-lots/${lotId}/sampling-plan`),
        { query: { seed: '7', bales: '60', units: 'metric' }, expect: 200 },
      );
      expect(page.payload).toContain(api.body.samples[0]?.bales.map(({ bale }) => bale).join('  ·  '));
      for (const { words } of api.body.steps) expect(page.payload).toContain(words);
      expect(page.payload).toContain('mold light in 4 of 20 bales; probe 55 °C at 0.914 m');
      expect(page.payload).toContain('North end');
      expect(page.payload).toContain('seed=8&amp;bales=60&amp;units=metric');
      const printed = printedWords((await opened('accountant', `${path}?format=pdf`)).rawPayload);
      expect(printed).toContain('mold light in 4 of 20 bales; probe 131 °F at 3 ft');
      await operation.as.hand.post(
        operation.at(`/hay-observations/${seen.body.id}/reversal`),
        { reason: 'Looked at the wrong stack' },
        { expect: 201 },
      );
      expect((await opened('hand', path)).payload).toContain('taken back: Looked at the wrong stack');
      await operation.as.hand.post(operation.at('/hay-observations'), look, { expect: 201 });
      const to = { name: 'A part of it', ranchId: winter.ranchId };
      const part = await transfer(operation, lotId, to, { movedOn: '2027-01-10' });
      const ofPart = (await opened('hand', at(`/hay-lots/${String(part['toLotId'])}`))).payload;
      expect(ofPart).toContain('Nobody has written down a look at this lot itself yet.');
      expect(ofPart).toMatch(/In [^:]+: mold light in 4 of 20 bales/);
    });

    it("hay position and hay budget; the hand's budget shows no money", async () => {
      const position = await opened('accountant', at('/hay-position'));
      expect(position.statusCode).toBe(200);
      expect(position.payload).toContain('Coarse meadow');
      expect(position.payload).toMatch(/[\d,]+\.\d\d USD/);
      for (const role of ['hand', 'accountant'] as const) {
        const budget = await opened(role, at('/hay-budget'));
        expect([role, budget.statusCode]).toEqual([role, 200]);
        expect(budget.payload).toMatch(/The hay (lasts|runs out)/);
        expect([role, budget.payload.includes('USD')]).toEqual([
          role,
          role === 'accountant' && budget.payload.includes('runs out'),
        ]);
      }
      expect(printedWords((await opened('owner', `${at('/hay-budget')}?format=pdf`)).rawPayload)).toContain(
        'Hay budget: ',
      );
    });

    it('lets a day and units be chosen by a plain form on each page about a day, and keeps the rest', async () => {
      const lotId = winter.lots[0]?.lotId ?? '';
      const pages: Record<string, Record<string, string>> = {
        [at(`/places/${winter.desk.placeId}/feed-sheet`)]: { on: '2027-01-11' },
        [at(`/ration-report?herdId=${winter.herdId}`)]: { on: '2027-01-11' },
        [at('/hay-position')]: { on: '2027-01-11' },
        [at('/hay-budget')]: { from: '2027-01-15', until: '2027-02-15' },
        [at(`/herds/${winter.herdId}/closeout?interestRatePercent=8`)]: { from: '2026-12-01', until: '2027-01-12' },
        ['/yard/portfolio?show=concerns']: { on: '2027-01-11' },
        [at(`/hay-lots/${lotId}?seed=7&bales=60`)]: {},
        [at('/season-cost?by=month')]: { from: '2026-12-01', until: '2027-01-12' },
        [at('/cost-of-gain')]: { from: '2026-12-01', until: '2027-01-12' },
        [at(`/hay-lots/${lotId}/card`)]: { until: '2027-01-12' },
      };
      for (const [path, days] of Object.entries(pages)) {
        const fields = fieldsToAskWith((await opened('owner', path)).payload);
        const given = new URL(path, 'http://here').searchParams;
        // What was asked before is sent along; days and units are there to be changed.
        expect([path, Object.fromEntries(fields)]).toEqual([path, expect.objectContaining(Object.fromEntries(given))]);
        expect([path, [...fields.keys()]]).toEqual([path, expect.arrayContaining(['units', ...Object.keys(days)])]);
        for (const [name, day] of Object.entries({ ...days, units: 'metric' })) fields.set(name, day);
        const answer = await opened('owner', `${path.split('?')[0] ?? ''}?${fields.toString()}`);
        expect([path, answer.statusCode]).toEqual([path, 200]);
        expect(Object.fromEntries(fieldsToAskWith(answer.payload))).toEqual(Object.fromEntries(fields));
        for (const day of Object.values(days)) expect(answer.payload).toContain(day);
        // The printed page is of the same question.
        const pdf = /href="\?([^"]*format=pdf[^"]*)"/.exec(answer.payload)?.[1]?.replaceAll('&amp;', '&') ?? '';
        expect(Object.fromEntries(new URLSearchParams(pdf))).toEqual({ ...Object.fromEntries(fields), format: 'pdf' });
      }
    });

    it('every page with what it links to by its own name, as the files of the registers', async () => {
      const query = '?on=2027-01-11';
      const named = async (url: string): Promise<string> =>
        /filename="([^"]*)"/.exec(String((await opened('owner', url)).headers['content-disposition'] ?? 'none'))?.[1] ??
        '';
      const name = (await opened('owner', '/yard')).payload.match(/<h2>([^<]*?) <small>/)?.[1] ?? '';
      const whose = name
        .toLowerCase()
        .replaceAll(/[^a-z0-9]+/g, '-')
        .replaceAll(/^-|-$/g, '');
      const closeout = at(`/herds/${winter.herdId}/closeout?from=2026-12-01&until=2027-01-15`);
      const budget = at('/hay-budget?from=2027-01-15&until=2027-03-31');
      const files = {
        [at(`/places/${winter.desk.placeId}/feed-sheet${query}`)]: `${whose}_feed-sheet_desk-bunk_2027-01-11`,
        [at(`/ration-report${query}`)]: `${whose}_ration-report_2027-01-11`,
        [at(`/hay-position${query}`)]: `${whose}_hay-position_2027-01-11`,
        [budget]: `${whose}_hay-budget_2027-01-15_2027-03-31`,
        [closeout]: `${whose}_closeout_weaned-calves_2026-12-01_2027-01-15`,
        [at(`/hay-lots/${winter.lots[0]?.lotId ?? ''}?seed=1`)]: `${whose}_hay-lot_coarse-meadow_2027-01-15`,
        ['/yard/portfolio?on=2027-01-11']: 'herds_2027-01-11',
      };
      for (const [url, file] of Object.entries(files)) {
        expect([url, await named(`${url}&format=pdf`)]).toEqual([url, `${file}.pdf`]);
        expect([url, await named(url)]).toEqual([url, `${file}.html`]);
      }
      const printed = await operation.as.owner.get(operation.at(`/places/${winter.desk.placeId}/feed-sheet`), {
        query: { on: '2027-01-11', format: 'pdf' },
        expect: 200,
      });
      expect(printed.headers['content-disposition']).toContain(`"${whose}_feed-sheet_desk-bunk_2027-01-11.pdf"`);
    });

    it('the portfolio, for whom it is; an empty one says so', async () => {
      expect((await opened('nutritionist', '/yard/portfolio')).payload).toMatch(/Herds to look at first/);
      expect((await opened('hand', '/yard/portfolio')).payload).toContain('No operation has engaged you');
    });

    it('the portfolio shows need against supply as the judge of the ration in use has it', async () => {
      const on = '2027-01-11';
      const rations = await operation.as.nutritionist.get<{ items: { id: string; herdId: string }[] }>(
        operation.at('/rations?state=in-use'),
        { expect: 200 },
      );
      const ration = rations.body.items.find(({ herdId }) => herdId === winter.herdId)?.id ?? '';
      const evaluated = await operation.as.nutritionist.get<{ lines: { nutrient: string; need: number | null }[] }>(
        operation.at(`/rations/${ration}/evaluation`),
        { query: { on }, expect: 200 },
      );
      const listed = await operation.as.nutritionist.get<{ items: { herdId: string; lines: object[] }[] }>(
        '/v1/portfolio/herds',
        { query: { on }, expect: 200 },
      );
      const herd = listed.body.items.find(({ herdId }) => herdId === winter.herdId);
      expect(evaluated.body.lines.length).toBeGreaterThan(5);
      expect(herd?.lines).toEqual(evaluated.body.lines);
      const page = (await opened('nutritionist', `/yard/portfolio?on=${on}`)).payload;
      const need = evaluated.body.lines.find(({ nutrient }) => nutrient === 'dryMatter')?.need ?? 0;
      expect(page).toMatch(/<th scope="col" class="number">Fed<\/th><th scope="col" class="number">Needed<\/th>/);
      expect(page).toContain(`>${need.toFixed(1)} lb/d<`);
    });

    it("a trial's plan, protocol and report, as page, PDF and picture", async () => {
      const mine = await operationWith(world);
      const trial = await aRunningTrial(world, mine);
      const cookie = await pageCookieOf(world, mine.people.hand.id);
      const judged = (
        await mine.as.nutritionist.post<WithId>(mine.at(`/trials/${trial.trialId}/judgements`), {}, { expect: 201 })
      ).body.id;
      const trialAt = `/yard/operations/${mine.id}/trials/${trial.trialId}`;
      const home = await send('GET', `/yard/operations/${mine.id}`, { ...HTML, cookie });
      for (const path of [`${trialAt}/plan`, `${trialAt}/protocol`, `${trialAt}/judgements/${judged}`]) {
        expect(home.payload).toContain(`href="${path}"`);
        const page = await send('GET', path, { ...HTML, cookie });
        expect([path, page.statusCode, page.headers['content-type']]).toEqual([path, 200, 'text/html; charset=utf-8']);
        expect(page.payload).toContain(`href="/yard/operations/${mine.id}"`);
        const pdf = await send('GET', `${path}?format=pdf`, { ...HTML, cookie });
        expect([path, pdf.headers['content-type']]).toEqual([path, 'application/pdf']);
      }
      for (const picture of ['growth', 'difference', 'visible'])
        expect(
          (await send('GET', `${trialAt}/judgements/${judged}/pictures/${picture}`, { ...HTML, cookie })).payload,
        ).toMatch(/^<svg /);
    });

    it("the accountant's reports as the API tells them, with files; the hand's lot card without money", async () => {
      const lotId = winter.lots[0]?.lotId ?? '';
      const days = 'from=2026-12-01&until=2027-01-14';
      const months = 'from=2026-12&until=2027-01';
      const reports = {
        [`/season-cost?by=herd&units=us&${days}`]: `/reports/season-cost?by=herd&units=us&${days}`,
        [`/cost-of-gain?units=us&${days}`]: `/reports/cost-of-gain?units=us&${days}`,
        [`/hay-lots/${lotId}/card?units=us&until=2027-01-14`]: `/hay-lots/${lotId}/card?units=us&until=2027-01-14`,
        [`/journal?${days}`]: `/journal?${days}`,
        [`/roll-forward?by=kind&units=us&${days}`]: `/reports/inventory-roll-forward?by=kind&units=us&${days}`,
        [`/money-budget?units=us&${months}`]: `/reports/budget-against-actual?units=us&${months}`,
      };
      const home = (await opened('accountant', at(''))).payload;
      for (const [path, api] of Object.entries(reports)) {
        if (!path.includes('/card')) expect(home).toContain(`href="${at(path.split('?')[0] ?? '')}"`);
        const page = await opened('accountant', at(path));
        expect([path, page.statusCode, page.headers['content-type']]).toEqual([path, 200, 'text/html; charset=utf-8']);
        const whatever = await opened('accountant', at(path), '*/*');
        expect([path, whatever.headers['content-type']]).toEqual([path, 'text/html; charset=utf-8']);
        const told = await operation.as.accountant.get<object>(operation.at(api), { expect: 200 });
        // The page of the cost of gain has the same report from weighing to weighing beside it.
        const {
          generatedAt: _page,
          betweenWeighings: _stretches,
          ...own
        } = (await opened('accountant', at(path), 'application/json')).json<Report>();
        const { generatedAt: _api, ...same } = told.body as Report;
        expect([path, own]).toEqual([path, same]);
        // Money of the report stands on the page, to the cent.
        const amount = /"amount":"([1-9]\d*\.\d\d)"/.exec(told.text)?.[1];
        if (amount !== undefined)
          expect(page.payload).toContain(`${Number(amount).toLocaleString('en-US', { minimumFractionDigits: 2 })} USD`);
        // The files are those of the API but for the address that they name as their source.
        const csv = await opened('accountant', `${at(path)}&format=csv&head=no`);
        const fromApi = await operation.as.accountant.get(operation.at(`${api}&format=csv&head=no`), { expect: 200 });
        expect([path, csv.payload]).toEqual([path, fromApi.text]);
        expect(csv.payload.split('\n').length).toBeGreaterThan(1);
        expect(String(csv.headers['content-disposition'])).toMatch(
          /^attachment; filename="[a-z0-9-]+_[a-z-]+_[^"]*\.csv"$/,
        );
        expect((await opened('accountant', `${at(path)}&format=pdf`)).headers['content-type']).toBe('application/pdf');
        expect([path, (await opened('hand', at(path))).statusCode]).toEqual([path, path.includes('/card') ? 200 : 403]);
      }
      const card = await opened('hand', at(`/hay-lots/${lotId}/card`));
      expect(card.payload).toContain('Lot card: Coarse meadow');
      expect(card.payload).not.toContain('USD');
      expect((await opened('hand', at(`/hay-lots/${lotId}`))).payload).toContain('/card"');
    });

    it('an address that is not there is a page, too', async () => {
      const page = await opened('hand', '/yard/nowhere');
      expect([page.statusCode, page.headers['content-type']]).toEqual([404, 'text/html; charset=utf-8']);
      const json = await opened('hand', '/yard/nowhere', 'application/json');
      expect(json.headers['content-type']).toMatch(/^application\/problem\+json/);
    });
  });
});
