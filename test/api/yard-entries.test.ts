/*
 * What is entered in the yard, by forms of a browser without script: sheets confirmed in one tap or otherwise, tickets,
 * weights, counts. The books afterward are asked by the API. Everything here is invented.
 */
import { type Operation, operationWith } from '../support/people.js';
import { balance, type WithId } from '../support/things.js';
import { aWinterIn, type Winter } from '../support/winter.js';
import { openWorld, type World } from '../support/world.js';
import { formsOn, wordsIn, type YardBrowser, yardBrowserOf, type YardForm } from '../support/yard-forms.js';

interface Confirmation extends WithId {
  asOnTheSheet: boolean;
  fedOn: string;
  lots: { hayLotId: string; hayLot: string; fed: { value: string; unit: string } }[];
}

let world: World;
let operation: Operation;
let winter: Winter;
let manager: YardBrowser;
let hand: YardBrowser;

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
  manager = await yardBrowserOf(world, operation.people.manager.id);
  hand = await yardBrowserOf(world, operation.people.hand.id);
});
afterAll(async () => {
  await world.close();
});

const at = (path: string): string => `/yard/operations/${operation.id}${path}`;
const listed = async <T>(path: string): Promise<T[]> =>
  (await operation.as.manager.get<{ items: T[] }>(operation.at(path), { expect: 200 })).body.items;
const confirmations = async (day: string): Promise<Confirmation[]> =>
  (await listed<Confirmation>(`/feed-sheet-confirmations?herdId=${winter.herdId}`)).filter((one) => one.fedOn === day);
async function formAt(who: YardBrowser, path: string): Promise<YardForm> {
  const { status, page } = await who.get(at(path));
  expect([path, status]).toEqual([path, 200]);
  const [form] = formsOn(page);
  if (form === undefined) throw new Error(`no form at ${path}`);
  return form;
}
const changed = (form: YardForm, label: RegExp): string => {
  const [name] = Object.entries(form.labels).find(([, words]) => label.test(words)) ?? [];
  if (name === undefined) throw new Error(`no field ${String(label)} among ${Object.values(form.labels).join(', ')}`);
  return name;
};
/** Sends a form with these fields, by the words of their labels. */
function send(who: YardBrowser, form: YardForm, typed: readonly (readonly [RegExp, string])[], confirm = '') {
  const fields = {
    ...form.fields,
    ...Object.fromEntries(typed.map(([label, value]) => [changed(form, label), value])),
  };
  return who.post(form.action + confirm, fields);
}

describe("today's sheets", () => {
  it('are fed as shown in one tap after the page is open, once however often it is sent', async () => {
    const { page } = await hand.get(at('/today?on=2027-01-12'));
    const [form] = formsOn(page);
    const before = await balance(operation, winter.lots[0]?.lotId ?? '');
    const first = await hand.post(form?.action ?? '', form?.fields ?? {});
    expect([first.status, first.page]).toEqual([303, '']);
    // A second tap, and the same once more when the answer was lost: the same answer, and nothing more in the books.
    const again = await Promise.all([1, 2].map(() => hand.post(form?.action ?? '', form?.fields ?? {})));
    expect(again.map(({ status, location }) => [status, location])).toEqual([
      [303, first.location],
      [303, first.location],
    ]);
    const made = await confirmations('2027-01-12');
    expect(made.map((one) => one.asOnTheSheet)).toEqual([true]);
    // What left the lot is what the page said to lay.
    const [line] = made[0]?.lots ?? [];
    const after = await balance(operation, winter.lots[0]?.lotId ?? '');
    expect(Math.round((Number(before) - Number(after)) * 2000)).toBe(Math.round(Number(line?.fed.value)));
    const then = await hand.get(first.location);
    expect(wordsIn(then.page, '.entered').join(' ')).toContain('Weaned calves: fed as on the sheet, and in the books.');
    expect(wordsIn(then.page, '.herd .done').join(' ')).toMatch(/^Fed.*entered by hand\.$/);
    // Nobody is offered a second tap for what is fed.
    expect(formsOn(then.page)).toEqual([]);
  });

  it('tell the second phone who has fed already, and enter nothing twice', async () => {
    const [mine, other] = [await hand.get(at('/today?on=2027-01-13')), await manager.get(at('/today?on=2027-01-13'))];
    const [one] = formsOn(mine.page);
    const [two] = formsOn(other.page);
    expect((await hand.post(one?.action ?? '', one?.fields ?? {})).status).toBe(303);
    const refused = await manager.post(two?.action ?? '', two?.fields ?? {});
    expect(refused.status).toBe(409);
    expect(wordsIn(refused.page, '.refused, .wrong').join(' ')).toMatch(
      /confirmed before: .* from the sheet, entered by hand/,
    );
    expect(await confirmations('2027-01-13')).toHaveLength(1);
    // Said to be a second feeding, on the form that came back, it is taken.
    const [again] = formsOn(refused.page);
    const taken = await manager.post(again?.action ?? '', { ...again?.fields, additional: 'true' });
    expect(taken.status).toBe(303);
    expect(await confirmations('2027-01-13')).toHaveLength(2);
  });

  it('are fed otherwise: weights in the units of the operation, what was left, and why', async () => {
    const form = await formAt(hand, `/herds/${winter.herdId}/fed?on=2027-01-14`);
    const lines = Object.entries(form.labels).filter(([, words]) => /^\d\. /.test(words));
    expect(lines.length).toBeGreaterThanOrEqual(2);
    const coarse = changed(form, /^1\. Coarse meadow/);
    expect(form.fields[coarse.replace('value', 'unit')]).toBe('lb');
    const made = await send(hand, form, [
      [/^1\. Coarse meadow/, '900'],
      [/^Left uneaten/, '40'],
      [/^Why it was otherwise/, 'The last bale was frozen down'],
    ]);
    expect(made.status).toBe(303);
    const [one] = await confirmations('2027-01-14');
    expect(one?.asOnTheSheet).toBe(false);
    expect(one?.lots.find(({ hayLot }) => hayLot === 'Coarse meadow')?.fed).toEqual({ value: '900', unit: 'lb' });
    const feedings = await listed<{ fedOn: string; note: string | null; refused: { value: string } | null }>(
      '/feedings',
    );
    const fed = feedings.find((feeding) => feeding.fedOn === '2027-01-14');
    expect([fed?.note, fed?.refused?.value]).toEqual(['The last bale was frozen down', '40']);
  });

  it('that have changed since a page showed them are not entered unseen', async () => {
    const { page } = await hand.get(at('/today'));
    const [form] = formsOn(page);
    const head = await operation.as.manager.post<WithId>(
      operation.at(`/herds/${winter.herdId}/head-changes`),
      { kind: 'death', head: 10, happenedOn: '2027-01-14' },
      { expect: 201 },
    );
    const refused = await hand.post(form?.action ?? '', form?.fields ?? {});
    expect(refused.status).toBe(409);
    expect(wordsIn(refused.page, '.refused').join(' ')).toMatch(
      /The sheet has changed since this page showed it: it says Coarse meadow: [\d.]+ lb/,
    );
    // The form that came back has what was shown, and so fed, beside what the sheet says now; it is taken as that.
    const [now] = formsOn(refused.page);
    expect(now?.fields['was/0']).not.toBe(form?.fields['was/0']);
    const shown = form?.fields['differences/0/weight/value'];
    expect(now?.fields['differences/0/weight/value']).toBe(shown);
    expect((await hand.post(now?.action ?? '', now?.fields ?? {})).status).toBe(303);
    const [made] = await confirmations('2027-01-15');
    expect([made?.asOnTheSheet, made?.lots[0]?.fed]).toEqual([false, { value: shown, unit: 'lb' }]);
    await operation.as.manager.post(
      operation.at(`/herds/${winter.herdId}/head-changes/${head.body.id}/reversal`),
      { reason: 'For the test alone' },
      { expect: 201 },
    );
  });
});

describe('a form of the yard', () => {
  it('enters a hay ticket of eight fields or fewer, and says what it cost and what there is of hay', async () => {
    const form = await formAt(manager, '/hay-ticket');
    expect(Object.keys(form.labels).filter((name) => !/unit$|as$/.test(name)).length).toBeLessThanOrEqual(8);
    const coarse = winter.lots[0]?.lotId ?? '';
    const made = await send(manager, { ...form, fields: { ...form.fields, 'lot/id': coarse } }, [
      [/^Bought from/, 'A neighbor'],
      [/^Net weight/, '10'],
      [/^Price/, '150'],
      [/^Freight/, '100'],
      [/^Number of the ticket/, 'Y 1'],
    ]);
    expect(made.status).toBe(303);
    const then = await manager.get(made.location);
    // Ten tons at 150.00 and 100.00 of freight: 1,600.00, 160.00 a ton. Arithmetic by hand.
    const said = wordsIn(then.page, '.entered').join(' ');
    expect(said).toContain('10.00 ton from A neighbor into Coarse meadow, 2027-01-15.');
    expect(said).toMatch(/Landed cost: .*1,600\.00.*160\.00/);
    expect(said).toMatch(/Coarse meadow now holds [\d.]+ ton, worth/);
    expect(said).toMatch(/All hay on hand: [\d.]+ ton, worth/);
  });

  it('tells every problem at its field in words, keeps what was typed, and saves nothing', async () => {
    const before = (await listed('/hay-purchases')).length;
    const form = await formAt(manager, '/hay-ticket');
    const refused = await send(
      manager,
      { ...form, fields: { ...form.fields, 'lot/id': winter.lots[0]?.lotId ?? '' } },
      [
        [/^Bought from/, 'A neighbor'],
        [/^Net weight/, 'ten'],
        [/^Price/, '-3'],
      ],
    );
    expect(refused.status).toBe(400);
    const [again] = formsOn(refused.page);
    expect(Object.keys(again?.wrong ?? {}).sort()).toEqual(['price/amount', 'weight/net/value']);
    expect([again?.fields['weight/net/value'], again?.fields['price/amount'], again?.fields['vendor']]).toEqual([
      'ten',
      '-3',
      'A neighbor',
    ]);
    expect(again?.fields['once']).toBe(form.fields['once']);
    expect(await listed('/hay-purchases')).toHaveLength(before);
  });

  it('asks about what is only unlikely, and takes it by the button that says yes', async () => {
    const form = await formAt(manager, `/hay-ticket?hayLotId=${winter.lots[0]?.lotId ?? ''}`);
    // Pounds typed for tons.
    const asked = await send(manager, form, [
      [/^Bought from/, 'A neighbor'],
      [/^Net weight/, '4760'],
      [/^Price/, '150'],
    ]);
    expect([asked.status, wordsIn(asked.page, '.refused h2')]).toEqual([409, ['Is this right?']]);
    expect(wordsIn(asked.page, 'button')).toContain('Yes, I mean it');
    const [again] = formsOn(asked.page);
    expect([again?.fields['weight/net/value'], again?.fields['once']]).toEqual(['4760', form.fields['once']]);
    const confirm = /formaction="[^"]*(\?confirm=[^"]+)"/.exec(asked.page)?.[1] ?? '';
    const before = (await listed('/hay-purchases')).length;
    const taken = await manager.post(`${again?.action ?? ''}${confirm}`, again?.fields ?? {});
    expect(taken.status).toBe(303);
    expect(await listed('/hay-purchases')).toHaveLength(before + 1);
  });

  it('takes the weight of a group', async () => {
    const sent = await send(manager, await formAt(manager, `/weigh-in?herdId=${winter.herdId}`), [
      [/^Head weighed/, '10'],
      [/^Weight/, '6000'],
      [/^That is/, 'total'],
      [/^Weighed/, 'full'],
    ]);
    expect(sent.status).toBe(303);
    // 6,000 lb of ten head are 600 lb each: arithmetic by hand.
    expect(wordsIn((await manager.get(sent.location)).page, '.entered').join(' ')).toContain(
      '10 head at 600.0 lb each',
    );
  });

  it('takes a ticket of a new lot and its count in bales, a death, water and weather', async () => {
    const bought = await send(manager, await formAt(manager, '/hay-ticket-new-lot'), [
      [/^Name of the new lot/, 'Round bales, east'],
      [/^Kind of hay/, 'meadow'],
      [/^Baled as/, 'round'],
      [/^Kept/, 'tarp'],
      [/^Bought from/, 'A neighbor'],
      [/^Net weight/, '6'],
      [/^Price/, '150'],
      [/^Bales on it/, '10'],
    ]);
    expect([bought.status, wordsIn(bought.page, '.refused, .wrong')]).toEqual([303, []]);
    const lots = await listed<WithId & { name: string }>('/hay-lots');
    const made = lots.find(({ name }) => name === 'Round bales, east')?.id ?? '';
    for (const [path, typed, says] of [
      [`/count?hayLotId=${made}`, [[/^Bales that lie there/, '9']], '9 bales counted'],
      [`/head?herdId=${winter.herdId}`, [[/^What was seen/, 'Bloat, by the trough']], 'death, 1 head'],
      [
        '/water',
        [
          [/^Place/, winter.desk.placeId],
          [/^Trough/, 'Trough'],
          [/^The water is/, 'partly-frozen'],
        ],
        'Trough at Desk bunk',
      ],
      [
        '/weather',
        [
          [/^Mean temperature/, '-12'],
          [/^Mean wind/, '15'],
        ],
        '-12 F',
      ],
    ] as const) {
      const sent = await send(manager, await formAt(manager, path), typed);
      expect([path, sent.status]).toEqual([path, 303]);
      expect(wordsIn((await manager.get(sent.location)).page, '.entered').join(' ')).toContain(says);
    }
  });

  it('offers the words and the bounds that its API address describes, and no others', async () => {
    interface Schema {
      $ref?: string;
      properties?: Record<string, Schema>;
      oneOf?: Schema[];
      anyOf?: Schema[];
      enum?: string[];
    }
    const described = await world.application.inject('/openapi.json');
    const { paths, components } = described.json<{
      paths: Record<string, { post?: { requestBody: { content: { 'application/json': { schema: Schema } } } } }>;
      components: { schemas: Record<string, Schema> };
    }>();
    const plain = (one: Schema | undefined): Schema =>
      one?.$ref === undefined ? (one ?? {}) : plain(components.schemas[one.$ref.split('/').at(-1) ?? '']);
    const bodyOf = (path: string): Schema =>
      plain(paths[`/v1/operations/{operationId}${path}`]?.post?.requestBody.content['application/json'].schema);
    const field = (schema: Schema, name: string): Schema =>
      plain(schema.properties?.[name] ?? schema.oneOf?.map((one) => plain(one).properties?.[name]).find(Boolean));
    for (const [path, api, name] of [
      ['/water', '/water-checks', 'state'],
      ['/weigh-in', '/weigh-ins', 'fill'],
    ] as const) {
      const allowed = field(bodyOf(api), name).enum;
      expect(allowed?.length).toBeGreaterThan(1);
      const { options } = await formAt(manager, path);
      expect([name, options[name]?.filter((one) => one !== '').toSorted()]).toEqual([name, allowed?.toSorted()]);
    }
    expect((await manager.get(at('/weigh-in'))).page).toMatch(/name="head" type="number"[^>]* min="1"/);
  });
});

describe('who may not enter', () => {
  it('finds no form and no button, and a form sent all the same is refused as by the API', async () => {
    const reader = await yardBrowserOf(world, operation.people.accountant.id);
    const { status, page } = await reader.get(at('/today'));
    expect([status, formsOn(page), wordsIn(page, 'ul.tasks')]).toEqual([200, [], []]);
    const before = await listed('/feedings');
    for (const path of ['/fed', '/weigh-in', '/water', '/weather', '/hay-ticket', '/count', '/head']) {
      const answer = await reader.post(at(path), { once: `no-${path}`, herdId: winter.herdId });
      expect([path, answer.status]).toEqual([path, path === '/hay-ticket' ? answer.status : 403]);
    }
    // A hand feeds and weighs; what changes the books is not theirs.
    expect((await hand.get(at('/hay-ticket'))).status).toBe(403);
    expect(wordsIn((await hand.get(at('/today'))).page, 'ul.tasks').join(' ')).not.toContain('Hay ticket');
    expect(await listed('/feedings')).toEqual(before);
  });

  it('is sent from no other site, and not by somebody else on the same phone', async () => {
    const form = await formAt(manager, '/water');
    const typed = { ...form.fields, placeId: winter.desk.placeId, source: 'Creek', state: 'open' };
    const before = (await listed('/water-checks')).length;
    const foreign: Record<string, string>[] = [
      { 'sec-fetch-site': 'cross-site' },
      { 'sec-fetch-site': 'same-site' },
      { origin: 'https://elsewhere.test' },
      {},
    ];
    for (const headers of foreign) expect((await manager.post(form.action, typed, headers)).status).toBe(403);
    const other = await hand.post(form.action, typed);
    expect([other.status, other.page]).toEqual([403, expect.stringContaining('somebody else was signed in')]);
    expect((await manager.post(form.action, { ...typed, once: '' })).status).toBe(400);
    expect(await listed('/water-checks')).toHaveLength(before);
  });
});
