import { readFileSync } from 'node:fs';
import path from 'node:path';
import { feedingBody, labTestBody, purchaseBody } from '../support/things.js';
import type { Asker, Asking } from './asking.js';
import type { OperationOf, Standing } from './standing.js';

type Body = Record<string, unknown>;
interface Made {
  status: number;
  id: string;
  etag: string;
  body: Body;
}

const lb = (value: string): Body => ({ value, unit: 'lb' });
const ton = (value: string): Body => ({ value, unit: 'ton' });
const pounds = (value: string): Body => ({ weight: lb(value) });
const tons = (value: string): Body => ({ weight: ton(value) });
const net = (value: string): Body => ({ basis: 'net', net: ton(value) });

export interface WriteOptions {
  /** What it is called where one address is asked for more than one thing. */
  as?: string;
  key?: string | null;
  ifMatch?: string | undefined;
  expect?: number;
  headers?: Record<string, string>;
}

/**
 * A year's entries in one operation of the demo: each kind is written, repeated, taken back and refused. What was expected to come and
 * did not is told by the caller, so that a recording does not quietly hold refusals alone.
 */
export class Writes {
  readonly surprises: string[] = [];
  #keys = 0;

  constructor(
    private readonly asking: Asking,
    private readonly standing: Standing,
    private readonly operation: OperationOf,
  ) {}

  async all(): Promise<void> {
    const ids = await this.#there();
    await this.#yard(ids);
    const { lotId, purchaseId, feedingId } = await this.#hay(ids);
    await this.#feedings(ids, lotId, feedingId);
    await this.#cattle(ids);
    await this.#desk(ids);
    await this.#trials(ids);
    await this.#imports(ids);
    await this.#books(ids, lotId, purchaseId);
    await this.#people();
    await this.#erasing();
  }

  /** Asks to write something within the operation. */
  async write(
    who: Asker,
    method: string,
    at: string,
    body: Body | string | undefined,
    { as = '', key, ifMatch, expect, headers = {} }: WriteOptions = {},
  ): Promise<Made> {
    this.#keys += 1;
    const given = key === undefined ? `recorded-${this.#keys}` : key;
    const inside = at.startsWith('/v1/') ? at : `/v1/operations/${this.operation.id}${at}`;
    const words = inside
      .replace(this.operation.id, `{${this.operation.short}}`)
      .replaceAll(/[0-9a-f]{8}-[0-9a-f]{4}-[0-9a-f-]{22,}/g, '{id}');
    const name = `write ${method} ${words}${as === '' ? '' : `, ${as}`}`;
    const answer = await this.asking.record<Body>(who, {
      name,
      method,
      url: inside,
      ...(body === undefined ? {} : { body }),
      headers: {
        ...(method === 'POST' && given !== null ? { 'Idempotency-Key': `"${given}"` } : {}),
        ...(ifMatch === undefined ? {} : { 'If-Match': ifMatch }),
        ...headers,
      },
    });
    if (expect !== undefined && answer.status !== expect)
      this.surprises.push(
        `${who.name}: ${name}: ${answer.status} instead of ${expect}: ${JSON.stringify(answer.body['errors'] ?? answer.body).slice(0, 300)}`,
      );
    return {
      status: answer.status,
      id: String(answer.body['id'] ?? NOTHING),
      etag: String(answer.headers['etag'] ?? ''),
      body: answer.body,
    };
  }

  async #get(at: string, who = this.operation.owner): Promise<Made> {
    const answer = await this.asking.record<Body>(who, {
      name: `look at ${at.replaceAll(/[0-9a-f]{8}-[0-9a-f-]{28,}/g, '{id}')}`,
      method: 'GET',
      url: `/v1/operations/${this.operation.id}${at}`,
    });
    return {
      status: answer.status,
      id: String(answer.body['id'] ?? ''),
      etag: String(answer.headers['etag'] ?? ''),
      body: answer.body,
    };
  }

  async #there(): Promise<Ids> {
    const list = async (at: string): Promise<{ id: string; name: string }[]> =>
      (await this.#get(`${at}?limit=200`)).body['items'] as { id: string; name: string }[];
    const find = (items: { id: string; name: string }[], name: string): string =>
      items.find((one) => one.name === name)?.id ?? NOTHING;
    const [ranches, herds, lots, places] = [
      await list('/ranches'),
      await list('/herds'),
      await list('/hay-lots'),
      await list('/places'),
    ];
    return {
      ranchId: find(ranches, 'Bench Ranch'),
      cowsId: find(herds, 'Spring-calving cows'),
      calvesId: find(herds, 'Weaned steer calves'),
      strawId: find(lots, 'Barley straw'),
      alfalfaId: find(lots, 'Alfalfa, second cutting'),
      meadowId: find(lots, 'Meadow rounds'),
      placeId: find(places, 'Cow windrow'),
      bunkId: find(places, 'Calf bunk'),
    };
  }

  get #who(): { owner: Asker; manager: Asker; hand: Asker; nutritionist: Asker; accountant: Asker } {
    const of = (role: string): Asker => this.operation.members.find((one) => one.role === role) ?? this.operation.owner;
    return {
      owner: of('owner'),
      manager: of('manager'),
      hand: of('hand'),
      nutritionist: of('nutritionist'),
      accountant: of('accountant'),
    };
  }

  /** One of a kind: made, asked again with its key, with its key and another body, without a key; taken back, and once more. */
  async #round(
    who: Asker,
    at: string,
    body: Body,
    { reverse = true, as = '' }: { reverse?: boolean; as?: string } = {},
  ): Promise<Made> {
    const key = `round-${at}-${as}`.replaceAll(/[^A-Za-z0-9-]/g, '').slice(0, 80);
    const made = await this.write(who, 'POST', at, body, { as, key, expect: 201 });
    await this.write(who, 'POST', at, body, { as: `${as} repeated`, key, expect: 201 });
    await this.write(
      who,
      'POST',
      at,
      { ...body, note: 'Another body under the same key' },
      { as: `${as} key used for another body`, key },
    );
    await this.write(who, 'POST', at, body, { as: `${as} without a key`, key: null, expect: 400 });
    await this.write(who, 'POST', at, {}, { as: `${as} empty` });
    await this.write(who, 'POST', at, { ...body, colour: 'red' }, { as: `${as} with an unknown field`, expect: 400 });
    await this.write(this.#who.hand, 'POST', at, body, { as: `${as} by the hand` });
    for (const name of Object.keys(body)) {
      await this.write(
        who,
        'POST',
        at,
        { ...body, [name]: typeof body[name] === 'object' ? 'no' : { no: 1 } },
        { as: `${as} ${name} of another shape`, expect: 400 },
      );
      await this.write(
        who,
        'POST',
        at,
        Object.fromEntries(
          Object.entries({ ...body, headFed: body['headFed'] ?? -1 }).filter(([other]) => other !== name),
        ),
        { as: `${as} without ${name}` },
      );
    }
    if (reverse) {
      await this.write(who, 'POST', `${at}/${made.id}/reversal`, {}, { as: 'without a reason', expect: 400 });
      await this.write(this.#who.hand, 'POST', `${at}/${made.id}/reversal`, { reason: 'No' }, { as: 'by the hand' });
      await this.write(who, 'POST', `${at}/${made.id}/reversal`, { reason: 'Written for the record' }, { expect: 201 });
      await this.write(who, 'POST', `${at}/${made.id}/reversal`, { reason: 'Twice' }, { as: 'twice', expect: 409 });
    }
    return made;
  }

  /** A change with the right tag, with the one before it, with a foreign one, with none. */
  async #change(who: Asker, at: string, body: Body): Promise<void> {
    const { etag } = await this.#get(at, who);
    await this.write(who, 'PATCH', at, body, { ifMatch: etag, expect: 200 });
    await this.write(who, 'PATCH', at, body, { as: 'changed meanwhile', ifMatch: etag });
    await this.write(who, 'PATCH', at, body, { as: 'foreign tag', ifMatch: '"1"', expect: 412 });
    await this.write(who, 'PATCH', at, body, { as: 'no tag', expect: 428 });
    await this.write(
      who,
      'PATCH',
      at,
      { colour: 'red' },
      { as: 'unknown field', ifMatch: (await this.#get(at, who)).etag, expect: 400 },
    );
    await this.write(this.#who.hand, 'PATCH', at, body, { as: 'by the hand', ifMatch: etag });
  }

  async #yard({ ranchId, cowsId }: Ids): Promise<void> {
    const { owner, manager } = this.#who;
    const made = await this.#round(manager, '/ranches', { name: 'Recorded ranch' }, { reverse: false });
    await this.#change(manager, `/ranches/${made.id}`, { name: 'Recorded ranch, renamed' });
    const place = await this.#round(
      manager,
      '/places',
      { ranchId: made.id, name: 'Recorded bunk', kind: 'bunk-line', bunkLength: { value: '80', unit: 'ft' } },
      { reverse: false },
    );
    await this.#change(manager, `/places/${place.id}`, { name: 'Recorded bunk, renamed' });
    await this.#change(owner, '', { name: 'Coldwater Bench Cattle (invented)' });
    await this.#round(owner, '/yardage-rates', { fromOn: '2026-04-01', perHeadDay: '0.40' }, { reverse: false });
    await this.#round(
      owner,
      '/yardage-rates',
      { fromOn: '2026-04-01', perHeadDay: '0.45', herdId: cowsId },
      { reverse: false, as: 'of a herd' },
    );
    await this.#round(manager, '/weather-days', {
      ranchId,
      onDay: '2026-04-02',
      meanTemperature: { value: '31', unit: 'F' },
      wind: { value: 12, unit: 'mph' },
      wet: true,
    });
    await this.#round(manager, '/water-checks', {
      placeId: place.id,
      source: 'Spring',
      checkedOn: '2026-04-02',
      state: 'frozen',
      flow: { value: '3', unit: 'gal/min' },
      tank: { value: '400', unit: 'gal' },
      sulfateMgPerL: '900',
    });
    await this.write(
      manager,
      'POST',
      '/water-checks',
      { placeId: place.id, source: 'Spring', checkedOn: '2026-04-03', state: 'open' },
      { as: 'that stays', expect: 201 },
    );
    await this.write(
      manager,
      'POST',
      '/weather-days',
      { ranchId, onDay: '2026-04-03', meanTemperature: { value: '-2', unit: 'C' } },
      { as: 'in metric', expect: 201 },
    );
  }

  async #hay({
    ranchId,
    cowsId,
    strawId,
    alfalfaId,
    meadowId,
  }: Ids): Promise<{ lotId: string; purchaseId: string; feedingId: string }> {
    const { manager } = this.#who;
    const body = purchaseBody(ranchId, {
      vendor: 'Two Forks Meadows (invented)',
      purchasedOn: '2026-04-01',
      baleCount: 24,
      freight: '350.00',
      moisturePercent: '14.5',
      lot: { name: 'Spring meadow rounds', ranchId, hayKind: 'meadow', baleForm: 'round', storageMethod: 'tarp' },
      weight: { basis: 'weighed-bales', meanBaleWeight: lb('1150'), balesWeighed: 5, standardDeviation: lb('60') },
      price: { basis: 'per-mass', amount: '120.00', per: 'ton' },
    });
    await this.#round(manager, '/hay-purchases', body);
    const bought = await this.write(manager, 'POST', '/hay-purchases', body, { as: 'that stays', expect: 201 });
    const lotId = String(bought.body['hayLotId']);
    await this.write(
      manager,
      'POST',
      '/hay-purchases',
      purchaseBody(ranchId, {
        purchasedOn: '2026-04-02',
        lot: {
          name: 'By the bale',
          ranchId,
          hayKind: 'oat-hay',
          baleForm: 'large-square',
          storageMethod: 'under-roof',
        },
        baleCount: 10,
        price: { basis: 'per-bale', amount: '55' },
        weight: { basis: 'scale-ticket', gross: lb('40000'), tare: lb('28000') },
        moisturePercent: '22',
      }),
      { as: 'by the bale, over the scale', expect: 201 },
    );
    await this.#change(manager, `/hay-lots/${lotId}`, { name: 'Spring meadow rounds, west stack' });
    await this.#round(manager, '/harvests', {
      harvestedOn: '2026-07-10',
      lot: { name: 'Own meadow', ranchId, hayKind: 'meadow', baleForm: 'round', storageMethod: 'tarp' },
      baleCount: 20,
      weight: net('12'),
      cost: { basis: 'per-mass', amount: '80', per: 'ton' },
    });
    const cut = await this.write(
      manager,
      'POST',
      '/harvests',
      {
        harvestedOn: '2026-07-12',
        lot: { name: 'Own meadow, second stack', ranchId, hayKind: 'meadow', baleForm: 'round', storageMethod: 'tarp' },
        baleCount: 30,
        weight: net('18'),
        cost: { basis: 'lump-sum', amount: '1500' },
      },
      { as: 'that stays', expect: 201 },
    );
    const ownId = String(cut.body['hayLotId']);
    await this.#round(manager, '/hay-sales', {
      hayLotId: ownId,
      buyer: 'A neighbour',
      soldOn: '2026-08-05',
      quantity: tons('1'),
      price: { basis: 'per-mass', amount: '200', per: 'ton' },
    });
    await this.write(
      manager,
      'POST',
      '/hay-sales',
      {
        hayLotId: ownId,
        buyer: 'A neighbour',
        soldOn: '2026-08-06',
        quantity: { bales: '2' },
        price: { basis: 'per-bale', amount: '70' },
      },
      { as: 'that stays', expect: 201 },
    );
    await this.write(
      manager,
      'POST',
      '/hay-sales',
      {
        hayLotId: ownId,
        buyer: 'A neighbour',
        soldOn: '2026-08-06',
        quantity: tons('900'),
        price: { basis: 'lump-sum', amount: '9' },
      },
      { as: 'of too much', expect: 409 },
    );
    await this.write(
      manager,
      'POST',
      '/hay-sales',
      {
        hayLotId: ownId,
        buyer: 'A neighbour',
        soldOn: '2026-07-01',
        quantity: tons('1'),
        price: { basis: 'lump-sum', amount: '9' },
      },
      { as: 'before the harvest' },
    );
    await this.write(
      manager,
      'POST',
      '/hay-sales',
      {
        hayLotId: ownId,
        buyer: 'A neighbour',
        soldOn: '2027-07-01',
        quantity: tons('1'),
        price: { basis: 'lump-sum', amount: '9' },
      },
      { as: 'in days to come' },
    );
    await this.#round(manager, '/hay-transfers', {
      fromLotId: ownId,
      to: { name: 'Hauled to the north yard', ranchId },
      movedOn: '2026-08-10',
      quantity: tons('1'),
    });
    await this.write(
      manager,
      'POST',
      '/hay-transfers',
      { fromLotId: ownId, to: { name: 'Hauled, stays', ranchId }, movedOn: '2026-08-11', quantity: tons('2') },
      { as: 'that stays', expect: 201 },
    );
    await this.write(
      manager,
      'POST',
      '/hay-transfers',
      { fromLotId: ownId, to: { id: ownId }, movedOn: '2026-08-11', quantity: tons('2') },
      { as: 'to itself' },
    );
    await this.#round(manager, '/stock-counts', {
      hayLotId: ownId,
      countedOn: '2026-09-01',
      counted: tons('14'),
      reason: 'Counted the stack',
    });
    await this.write(
      manager,
      'POST',
      '/stock-counts',
      {
        hayLotId: ownId,
        countedOn: '2026-09-02',
        counted: { bales: '22' },
        reason: 'Counted the bales',
        treatment: 'expense',
      },
      { as: 'that stays', expect: 201 },
    );
    await this.#round(manager, '/storage-shrinks', {
      hayLotId: ownId,
      lostOn: '2026-09-10',
      how: { basis: 'weighed', quantity: tons('0.5') },
    });
    await this.write(
      manager,
      'POST',
      '/storage-shrinks',
      { hayLotId: ownId, lostOn: '2026-10-10', how: { basis: 'estimated', figure: 'ut-ground' } },
      { as: 'estimated' },
    );
    await this.#round(manager, '/storage-measurements', {
      storageMethod: 'tarp',
      measuredOn: '2026-05-01',
      seasonShare: '0.08',
      how: 'Ten bales weighed in fall and in spring',
    });
    await this.#round(manager, '/late-costs', {
      receipt: { kind: 'hay-purchase', id: bought.id },
      billedOn: '2026-05-20',
      owed: 'freight',
      biller: 'A hauler',
      amount: '300',
    });
    await this.write(
      manager,
      'POST',
      '/late-costs',
      {
        receipt: { kind: 'hay-purchase', id: bought.id },
        billedOn: '2026-05-21',
        owed: 'charges',
        biller: 'The scale',
        amount: '12.50',
      },
      { as: 'that stays', expect: 201 },
    );
    const quote = {
      vendor: 'A dealer',
      offeredOn: '2026-11-10',
      name: 'Alfalfa on offer',
      hayKind: 'alfalfa',
      baleForm: 'large-square',
      weight: net('24'),
      price: { basis: 'per-mass', amount: '190', per: 'ton' },
      freight: '480',
    };
    await this.#round(manager, '/hay-quotes', quote);
    const offered = await this.write(
      manager,
      'POST',
      '/hay-quotes',
      { ...quote, name: 'Alfalfa, taken' },
      { as: 'that is taken', expect: 201 },
    );
    await this.write(
      manager,
      'POST',
      '/hay-quotes',
      { ...quote, name: 'Alfalfa, open' },
      { as: 'that stays open', expect: 201 },
    );
    await this.write(
      manager,
      'POST',
      `/hay-quotes/${offered.id}/purchase`,
      { purchasedOn: '2026-11-12', lot: { ranchId, storageMethod: 'under-roof' } },
      { expect: 201 },
    );
    await this.write(
      manager,
      'POST',
      `/hay-quotes/${offered.id}/purchase`,
      { purchasedOn: '2026-11-12', lot: { ranchId, storageMethod: 'under-roof' } },
      { as: 'twice' },
    );
    await this.#round(manager, '/lab-tests', labTestBody(lotId, { sampledOn: '2026-04-01', cores: 20 }));
    await this.write(
      manager,
      'POST',
      '/lab-tests',
      labTestBody(lotId, {
        sampledOn: '2026-04-02',
        analysis: { dryMatter: { value: '88', unit: '%' }, crudeProtein: { value: '88', unit: '%' } },
      }),
      { as: 'that cannot be true' },
    );
    await this.write(
      manager,
      'POST',
      '/lab-tests',
      labTestBody(lotId, {
        sampledOn: '2026-04-02',
        cores: 3,
        analysis: {
          dryMatter: { value: '71', unit: '%' },
          crudeProtein: { value: '24', unit: '%' },
          nitrate: { value: '2400', unit: 'ppm-NO3-N' },
        },
      }),
      { as: 'that is unlikely' },
    );
    await this.write(manager, 'POST', '/lab-tests', labTestBody(lotId, { sampledOn: '2026-04-03' }), {
      as: 'that stays',
      expect: 201,
    });
    const feeding = await this.#round(
      manager,
      '/feedings',
      feedingBody(
        cowsId,
        [
          [strawId, '600'],
          [alfalfaId, '700'],
          [meadowId, '900'],
        ],
        { fedOn: '2026-04-01', weather: 'frost' },
      ),
    );
    return { lotId, purchaseId: bought.id, feedingId: feeding.id };
  }

  async #feedings(
    { cowsId, calvesId, strawId, alfalfaId, placeId }: Ids,
    lotId: string,
    reversedId: string,
  ): Promise<void> {
    const { hand, manager, nutritionist } = this.#who;
    const tour = {
      herdId: cowsId,
      fedOn: '2026-04-01',
      method: 'windrow-on-ground',
      weather: 'frost',
      layers: [
        { role: 'coarse', parts: [{ hayLotId: strawId, weight: lb('600') }] },
        { role: 'rich', parts: [{ hayLotId: alfalfaId, weight: lb('700') }] },
        { role: 'mixed', parts: [{ hayLotId: lotId, bales: '2' }] },
      ],
    };
    await this.write(manager, 'POST', '/feedings', tour, { as: 'of the tour', expect: 201 });
    await this.write(
      hand,
      'POST',
      '/feedings',
      { ...tour, fedOn: '2026-04-02', placeId, wasted: lb('90'), refused: lb('20'), headFed: 118 },
      { as: 'by the hand, with waste', expect: 201 },
    );
    await this.write(
      manager,
      'POST',
      '/feedings',
      { ...tour, fedOn: '2026-04-03', correctsId: reversedId },
      { as: 'that corrects' },
    );
    await this.write(nutritionist, 'POST', '/feedings', tour, { as: 'by the nutritionist', expect: 403 });
    const one = (parts: Body[], more: Body = {}): Body => ({
      herdId: cowsId,
      fedOn: '2026-04-04',
      method: 'bunk',
      layers: [{ role: 'mixed', parts }],
      ...more,
    });
    const refusals: [string, Body][] = [
      ['of too much', one([{ hayLotId: lotId, weight: ton('900') }])],
      ['before the purchase', one([{ hayLotId: lotId, weight: lb('100') }], { fedOn: '2026-03-31' })],
      ['of a lot that is not there', one([{ hayLotId: NOTHING, weight: lb('100') }])],
      ['of a herd that is not there', one([{ hayLotId: lotId, weight: lb('100') }], { herdId: NOTHING })],
      ['tomorrow', one([{ hayLotId: lotId, weight: lb('100') }], { fedOn: '2026-11-27' })],
      ['of nothing', one([{ hayLotId: lotId, weight: lb('0') }])],
      ['without layers', one([], { layers: [] })],
      ['to nobody', one([{ hayLotId: lotId, weight: lb('100') }], { headFed: 0 })],
      ['wasted more than fed', one([{ hayLotId: lotId, weight: lb('100') }], { wasted: lb('200') })],
      ['too many bales', one([{ hayLotId: lotId, bales: '99' }])],
      ['in a unit that is none', one([{ hayLotId: lotId, weight: { value: '10', unit: 'stone' } }])],
      ['before the herd', one([{ hayLotId: lotId, weight: lb('100') }], { fedOn: '2024-01-01' })],
    ];
    for (const [as, body] of refusals) await this.write(manager, 'POST', '/feedings', body, { as });
    await this.write(manager, 'POST', '/feedings', '{"herdId": ', { as: 'of broken JSON', expect: 400 });
    await this.write(manager, 'POST', '/feedings', 'herd,head', {
      as: 'of another media type',
      headers: { 'Content-Type': 'text/plain' },
    });
    await this.write(manager, 'POST', '/feedings', tour, {
      as: 'with a key that is none',
      headers: { 'Idempotency-Key': 'x'.repeat(300) },
    });
    await this.#round(
      manager,
      '/feed-sheet-confirmations',
      { herdId: calvesId, fedOn: '2026-04-02' },
      { reverse: false },
    );
    await this.write(
      hand,
      'POST',
      '/feed-sheet-confirmations',
      { herdId: calvesId, fedOn: '2026-04-03', weather: 'rain', wasted: lb('12') },
      { as: 'by the hand' },
    );
  }

  async #cattle({ ranchId, cowsId, calvesId }: Ids): Promise<void> {
    const { hand, manager } = this.#who;
    const herd = await this.#round(
      manager,
      '/herds',
      {
        name: 'Recorded heifers',
        ranchId,
        cattleClass: 'growing-calf',
        sex: 'heifer',
        bodyWeight: lb('550'),
        targetDailyGain: lb('1.5'),
      },
      { reverse: false },
    );
    await this.#change(manager, `/herds/${herd.id}`, { bodyWeight: lb('560'), note: 'Weighed at the gate' });
    await this.write(
      manager,
      'POST',
      `/herds/${herd.id}/head-changes`,
      { kind: 'in', head: 40, happenedOn: '2026-04-01', meanWeight: lb('555') },
      { expect: 201 },
    );
    await this.#round(manager, `/herds/${herd.id}/head-changes`, {
      kind: 'death',
      head: 1,
      happenedOn: '2026-04-05',
      note: 'Found in the morning',
    });
    await this.write(
      manager,
      'POST',
      `/herds/${herd.id}/head-changes`,
      { kind: 'move', head: 5, happenedOn: '2026-04-06', toHerdId: calvesId },
      { as: 'a move', expect: 201 },
    );
    await this.write(
      manager,
      'POST',
      `/herds/${herd.id}/head-changes`,
      { kind: 'sale', head: 500, happenedOn: '2026-04-07' },
      { as: 'more than there are' },
    );
    await this.#round(hand, '/weigh-ins', {
      scope: 'group',
      herdId: cowsId,
      weighedOn: '2026-04-01',
      fill: 'full',
      head: 30,
      measure: 'total',
      weight: lb('38640'),
    });
    await this.write(
      hand,
      'POST',
      '/weigh-ins',
      {
        scope: 'group',
        herdId: cowsId,
        weighedOn: '2026-04-01',
        fill: 'shrunk',
        hoursOffFeed: '12',
        head: 30,
        measure: 'mean',
        weight: lb('1288'),
      },
      { as: 'that stays', expect: 201 },
    );
    await this.write(
      hand,
      'POST',
      '/weigh-ins',
      {
        scope: 'animal',
        herdId: herd.id,
        weighedOn: '2026-04-08',
        fill: 'full',
        animals: [
          { visualTag: 'R 1', weight: lb('561') },
          { visualTag: 'R 2', electronicId: '840003201234501', weight: { value: '255', unit: 'kg' } },
        ],
      },
      { as: 'by the animal', expect: 201 },
    );
    await this.write(
      hand,
      'POST',
      '/weigh-ins',
      {
        scope: 'animal',
        herdId: herd.id,
        weighedOn: '2026-04-08',
        fill: 'full',
        animals: [
          { visualTag: 'R 1', weight: lb('561') },
          { visualTag: 'R 1', weight: lb('20000') },
        ],
      },
      { as: 'the same animal twice' },
    );
    await this.write(
      hand,
      'POST',
      '/weigh-ins',
      {
        scope: 'group',
        herdId: cowsId,
        weighedOn: '2026-04-01',
        fill: 'full',
        head: 900,
        measure: 'total',
        weight: lb('38'),
      },
      { as: 'more than there are' },
    );
  }

  async #desk({ cowsId, strawId, alfalfaId, meadowId, placeId }: Ids): Promise<void> {
    const { hand, manager, nutritionist } = this.#who;
    const template = await this.#round(
      nutritionist,
      '/layer-templates',
      {
        name: 'Recorded',
        basis: 'volume',
        layers: [
          { role: 'coarse', sharePercent: '70' },
          { role: 'rich', sharePercent: '30' },
        ],
      },
      { reverse: false },
    );
    await this.#change(nutritionist, `/layer-templates/${template.id}`, { name: 'Recorded, renamed' });
    const layers = [
      { role: 'coarse', parts: [{ hayLotId: strawId, sharePercent: '40' }] },
      { role: 'rich', parts: [{ hayLotId: alfalfaId, sharePercent: '60' }] },
    ];
    const amount = { weight: lb('27'), basis: 'as-fed' };
    const ration = await this.#round(
      nutritionist,
      '/rations',
      { herdId: cowsId, name: 'Recorded ration', basis: 'as-fed', amount, wastedPercent: '8', layers },
      { reverse: false },
    );
    await this.#change(nutritionist, `/rations/${ration.id}`, { name: 'Recorded ration, renamed' });
    await this.write(
      nutritionist,
      'POST',
      '/rations',
      {
        herdId: cowsId,
        name: 'By template',
        templateKey: template.id,
        amount,
        layers: layers.map(({ role, parts: [part] }) => ({ role, parts: [{ hayLotId: part?.hayLotId }] })),
      },
      { as: 'by a template', expect: 201 },
    );
    await this.write(
      nutritionist,
      'POST',
      '/rations',
      { herdId: cowsId, name: 'Off', basis: 'as-fed', amount, layers: [layers[0]] },
      { as: 'of shares that do not add up', expect: 422 },
    );
    const step = (who: Asker, name: string, body: Body, expect: number, as = ''): Promise<Made> =>
      this.write(who, 'POST', `/rations/${ration.id}/${name}`, body, { as, expect });
    await step(manager, 'acceptance', {}, 409, 'of a draft');
    await step(nutritionist, 'proposal', { words: 'See the judgement.' }, 200);
    await step(nutritionist, 'proposal', {}, 409, 'twice');
    await step(manager, 'return', { words: 'More straw?' }, 200);
    await step(nutritionist, 'proposal', {}, 200, 'again');
    await step(nutritionist, 'withdrawal', {}, 200);
    await step(nutritionist, 'proposal', {}, 200, 'a third time');
    await step(hand, 'acceptance', {}, 403, 'by the hand');
    await step(manager, 'acceptance', { words: 'Good.' }, 200);
    await step(manager, 'use', { from: '2026-04-05' }, 200);
    await step(nutritionist, 'notes', { words: 'Watch the bunk on Monday.' }, 201);
    await step(hand, 'notes', { words: 'Seen.' }, 403, 'by the hand');
    for (const on of ['2026-04-06', '2026-11-25']) await this.#get(`/places/${placeId}/feed-sheet?on=${on}`);
    await step(manager, 'end', { on: '2026-04-20', words: 'Out on grass' }, 200);
    await this.write(
      nutritionist,
      'POST',
      `/herds/${cowsId}/ration-evaluation`,
      { basis: 'as-fed', amount, layers },
      { key: null, expect: 200 },
    );
    await this.write(
      nutritionist,
      'POST',
      `/herds/${cowsId}/ration-evaluation`,
      { basis: 'as-fed', amount, layers: [] },
      { as: 'of nothing', key: null, expect: 400 },
    );
    for (const [as, more] of [
      ['plain', {}],
      [
        'of some lots',
        {
          lots: [{ hayLotId: strawId }, { hayLotId: alfalfaId }, { hayLotId: meadowId, role: 'mixed' }],
          proteinSystem: 'crude',
        },
      ],
      ['with offers', { offers: 'all-open', edition: 'NASEM2016' }],
      ['stuck', { lots: [{ hayLotId: strawId }], proteinSystem: 'crude' }],
      ['of whole bales', { wholeBales: { everyDays: 2 } }],
      ['of minerals', { minerals: ['calcium', 'phosphorus'], maxLegumePercent: 30 }],
    ] as const) {
      await this.write(
        nutritionist,
        'POST',
        `/herds/${cowsId}/least-cost-ration`,
        { days: 30, on: '2026-02-15', ...more },
        { as, key: null, expect: 200 },
      );
    }
    await this.write(
      hand,
      'POST',
      `/herds/${cowsId}/least-cost-ration`,
      { days: 30 },
      { as: 'by the hand', key: null },
    );
  }

  async #trials({ cowsId, ranchId }: Ids): Promise<void> {
    const { hand, manager, nutritionist } = this.#who;
    const herd = await this.write(
      manager,
      'POST',
      '/herds',
      { name: 'Recorded trial heifers', ranchId, cattleClass: 'growing-calf', sex: 'heifer', bodyWeight: lb('500') },
      { as: 'of a trial', expect: 201 },
    );
    await this.write(
      manager,
      'POST',
      `/herds/${herd.id}/head-changes`,
      { kind: 'in', head: 20, happenedOn: '2026-09-01' },
      { as: 'of a trial', expect: 201 },
    );
    const animals = Array.from({ length: 20 }, (_, index) => ({
      visualTag: `W${String(index + 1).padStart(2, '0')}`,
      weight: lb(String(480 + ((index * 37) % 53))),
    }));
    const weighed = await this.write(
      hand,
      'POST',
      '/weigh-ins',
      { scope: 'animal', herdId: herd.id, weighedOn: '2026-09-07', fill: 'full', animals },
      { as: 'of a trial', expect: 201 },
    );
    const plan = {
      name: 'Rich hay under coarse',
      herdId: herd.id,
      question: 'Do heifers gain more when rich hay is laid under coarse hay?',
      arms: [
        { name: 'usual', role: 'usual', feeding: 'Meadow hay in a ring' },
        { name: 'layered', role: 'change', feeding: 'Alfalfa under meadow hay' },
      ],
      unit: 'animal',
      unitsPerArm: 10,
      lengthDays: 30,
      worthwhileDifference: lb('0.25'),
      spread: { from: 'default' },
      classOfAnimals: 'weaned heifers',
      season: 'early fall',
      hay: 'meadow and alfalfa hay',
      herdHead: 200,
    };
    const trial = await this.#round(nutritionist, '/trials', plan, { reverse: false });
    const at = `/trials/${trial.id}`;
    await this.#change(nutritionist, at, { lengthDays: 32 });
    const tag = async (): Promise<string> => (await this.#get(at, nutritionist)).etag;
    await this.write(
      nutritionist,
      'POST',
      `${at}/beginning`,
      { beginsOn: '2026-09-10' },
      { as: 'without a draw', ifMatch: await tag(), expect: 409 },
    );
    await this.write(nutritionist, 'POST', `${at}/draws`, { weighInIds: [weighed.id], seed: '4711' }, { expect: 201 });
    await this.write(
      nutritionist,
      'POST',
      `${at}/draws`,
      { weighInIds: [weighed.id], seed: '4711' },
      { as: 'again without a reason', expect: 422 },
    );
    const drawn = await this.write(
      nutritionist,
      'POST',
      `${at}/draws`,
      { weighInIds: [weighed.id], seed: '4712', leaveOut: [], reason: 'The chute was open' },
      { as: 'again' },
    );
    await this.write(
      nutritionist,
      'POST',
      `${at}/draws`,
      { weighInIds: [NOTHING], seed: '1', reason: 'again' },
      { as: 'by weights that are not there' },
    );
    await this.write(
      manager,
      'POST',
      `${at}/draws`,
      { weighInIds: [weighed.id], reason: 'again' },
      { as: 'by the manager', expect: 403 },
    );
    const arms = ((await this.#get(at, nutritionist)).body['arms'] ?? []) as { id: string; name: string }[];
    const herds: Body[] = [];
    for (const arm of arms) {
      const pen = await this.write(
        manager,
        'POST',
        '/herds',
        {
          name: `Recorded trial, ${arm.name}`,
          ranchId,
          cattleClass: 'growing-calf',
          sex: 'heifer',
          bodyWeight: lb('500'),
        },
        { as: `of the arm ${arm.name}`, expect: 201 },
      );
      await this.write(
        manager,
        'POST',
        `/herds/${herd.id}/head-changes`,
        { kind: 'move', head: 10, happenedOn: '2026-09-08', toHerdId: pen.id },
        { as: `of the arm ${arm.name}`, expect: 201 },
      );
      herds.push({ armId: arm.id, herdId: pen.id });
    }
    await this.write(
      nutritionist,
      'POST',
      `${at}/beginning`,
      { beginsOn: '2026-09-10', herds: [{ pen: 'north', herdId: cowsId }] },
      { as: 'in a pen that is none', ifMatch: await tag(), expect: 422 },
    );
    await this.write(
      nutritionist,
      'POST',
      `${at}/beginning`,
      { beginsOn: '2026-09-10', herds },
      { ifMatch: await tag(), expect: 200 },
    );
    await this.write(
      nutritionist,
      'POST',
      `${at}/amendments`,
      { reason: 'Snow: the scale cannot be reached', lengthDays: 34 },
      { ifMatch: await tag(), expect: 200 },
    );
    await this.write(
      nutritionist,
      'POST',
      `${at}/amendments`,
      { reason: 'Nothing changes' },
      { as: 'of nothing', ifMatch: await tag(), expect: 400 },
    );
    const event = await this.write(
      hand,
      'POST',
      `${at}/events`,
      { animal: 'W01', kind: 'treated', happenedOn: '2026-09-14', note: 'Foot rot' },
      { expect: 201 },
    );
    await this.write(
      hand,
      'POST',
      `${at}/events`,
      { animal: 'nobody', kind: 'sick', happenedOn: '2026-09-14' },
      { as: 'of an animal that is none', expect: 422 },
    );
    await this.write(
      nutritionist,
      'POST',
      `${at}/events`,
      { animal: 'W02', kind: 'sick', happenedOn: '2026-09-14' },
      { as: 'by the nutritionist', expect: 403 },
    );
    await this.write(
      hand,
      'POST',
      `${at}/events/${event.id}/reversal`,
      { reason: 'It was another heifer' },
      { expect: 201 },
    );
    const after = animals.map(({ visualTag, weight }, index) => ({
      visualTag,
      weight: lb(String(Number(weight['value']) + 30 + ((index * 11) % 17))),
    }));
    const assigned = (drawn.body['animals'] ?? []) as { visualTag: string | null; armId: string }[];
    for (const one of herds) {
      const own = after.filter((animal) =>
        assigned.some((drawnOne) => drawnOne.visualTag === animal.visualTag && drawnOne.armId === one['armId']),
      );
      if (own.length > 0)
        await this.write(
          hand,
          'POST',
          '/weigh-ins',
          { scope: 'animal', herdId: one['herdId'], weighedOn: '2026-10-14', fill: 'full', animals: own },
          { as: 'at the end of a trial', expect: 201 },
        );
    }
    await this.write(
      nutritionist,
      'POST',
      `${at}/judgements`,
      { asOf: '2026-10-14', valueOfGain: { amount: '1.40', per: 'lb' } },
      { expect: 201 },
    );
    await this.write(hand, 'POST', `${at}/judgements`, {}, { as: 'by the hand', expect: 403 });
    await this.write(
      nutritionist,
      'POST',
      `${at}/closing`,
      { reason: 'Ran to its end', closedOn: '2026-10-15' },
      { ifMatch: await tag(), expect: 200 },
    );
    await this.write(
      nutritionist,
      'POST',
      `${at}/closing`,
      { reason: 'Again' },
      { as: 'twice', ifMatch: await tag(), expect: 409 },
    );
  }

  async #imports({ cowsId, calvesId }: Ids): Promise<void> {
    const { hand, manager } = this.#who;
    const csv = { 'Content-Type': 'text/csv' };
    const sample = (kind: string): string =>
      readFileSync(path.resolve(__dirname, '..', '..', 'seed', 'samples', `${kind}.csv`), 'utf8');
    const own: Readonly<Record<string, string>> = {
      'hay-tickets':
        'vendor,purchased_on,lot,ranch,hay_kind,bale_form,storage_method,bale_count,net_weight_lb,price_usd_per_ton\nA neighbour,2026-05-02,Imported meadow,Bench Ranch,meadow,round,tarp,20,24000,110.00\n',
      'lab-tests':
        'lot,lab,sampled_on,method,basis,cores,dry_matter_percent,crude_protein_percent\nImported meadow,Forage laboratory,2026-05-03,near-infrared,dry-matter,20,88.1,9.4\n',
      feedings:
        'feeding,herd,fed_on,method,layer,role,lot,weight_lb\nF1,Spring-calving cows,2026-05-04,windrow-on-ground,1,coarse,Imported meadow,800\nF1,Spring-calving cows,2026-05-04,windrow-on-ground,2,rich,"Alfalfa, second cutting",400\n',
      'group-weights': 'herd,weighed_on,fill,head,total_weight_lb\nSpring-calving cows,2026-05-05,full,20,26000\n',
      'animal-weights':
        'session,herd,weighed_on,fill,visual_tag,weight_lb\n1,Weaned steer calves,2026-05-05,full,Q 1,700\n1,Weaned steer calves,2026-05-05,full,Q 2,712\n',
      'head-changes': 'herd,kind,head,happened_on\nWeaned steer calves,death,1,2026-05-06\n',
    };
    for (const kind of ['hay-tickets', 'lab-tests', 'feedings', 'group-weights', 'animal-weights', 'head-changes']) {
      const broken = `${(own[kind] ?? '').trimEnd().replaceAll('2026-05', '2026-15')}\nno,such,row\n`;
      for (const [as, text] of [
        ['of the sample', sample(kind)],
        ['broken', broken],
        ['empty', ''],
        ['of its own', own[kind] ?? ''],
      ] as const) {
        await this.write(manager, 'POST', `/imports/${kind}/check`, text, { as, headers: csv, key: null });
        if (as !== 'of the sample')
          await this.write(manager, 'POST', `/imports/${kind}`, text, {
            as,
            headers: csv,
            ...(as === 'of its own' ? { expect: 201 } : {}),
          });
      }
      await this.write(manager, 'POST', `/imports/${kind}/check?format=csv`, broken, {
        as: 'as CSV',
        headers: csv,
        key: null,
      });
      await this.write(manager, 'POST', `/imports/${kind}`, own[kind], { as: 'of its own again', headers: csv });
    }
    const event = (id: string, measurement: number, more: Body = {}): Body => ({
      resourceType: 'icarWeightEventResource',
      animal: { id, scheme: 'org.iso.11784' },
      eventDateTime: '2026-05-12T07:00:00Z',
      weight: { measurement },
      ...more,
    });
    await this.write(
      hand,
      'POST',
      `/imports/icar-weights?herdId=${calvesId}`,
      { member: [event('840003201234501', 251.5, { timeOffFeed: 12 }), event('A 7', 301)] },
      { expect: 201 },
    );
    await this.write(
      hand,
      'POST',
      `/imports/icar-weights?herdId=${calvesId}`,
      { member: [event('A_3', 250)] },
      { as: 'of a tag that is none', expect: 422 },
    );
    await this.write(hand, 'POST', `/imports/icar-weights?herdId=${cowsId}`, { member: [] }, { as: 'of nothing' });
  }

  async #books({ cowsId, calvesId }: Ids, lotId: string, purchaseId: string): Promise<void> {
    const { owner, accountant, manager } = this.#who;
    const plan = {
      name: 'Winter 2026-27',
      from: '2026-11-26',
      until: '2027-04-30',
      herds: [
        { herdId: cowsId, waste: { basis: 'stated', percent: '12' } },
        { herdId: calvesId, waste: { basis: 'stated', percent: '8' } },
      ],
    };
    const made = await this.#round(manager, '/hay-budget-plans', plan, { reverse: false });
    const what = {
      changes: [
        { name: 'Cone feeders', wastePercent: '5' },
        { name: 'Fewer head', headTimes: '0.9', herdIds: [cowsId] },
        { name: 'Dearer hay', priceTimes: '1.2' },
      ],
    };
    await this.write(
      manager,
      'POST',
      '/hay-budget-what-ifs',
      { planId: made.id, ...what },
      { as: 'of a plan', key: null, expect: 200 },
    );
    await this.write(
      accountant,
      'POST',
      '/hay-budget-what-ifs',
      { plan: { from: plan.from, until: plan.until, herds: plan.herds }, ...what },
      { as: 'of its own', key: null },
    );
    await this.write(manager, 'POST', '/hay-budget-what-ifs', {}, { as: 'of nothing', key: null });
    const map = await this.#get('/account-map', owner);
    const accounts = { accounts: [{ role: 'hay-inventory', number: '1410', name: 'Hay and straw' }] };
    await this.write(owner, 'PUT', '/account-map', accounts, { ifMatch: map.etag, expect: 200 });
    await this.write(owner, 'PUT', '/account-map', accounts, {
      as: 'changed meanwhile',
      ifMatch: map.etag,
      expect: 412,
    });
    await this.write(
      owner,
      'PUT',
      '/account-map',
      { accounts: [{ role: 'gold', number: '1', name: 'No' }] },
      { as: 'of a role that is none', ifMatch: map.etag, expect: 400 },
    );
    const closed = await this.#round(
      accountant,
      '/closings',
      { until: '2026-06-30', note: 'Half year' },
      { reverse: false },
    );
    const sale = {
      hayLotId: lotId,
      buyer: 'A neighbour',
      soldOn: '2026-06-20',
      quantity: tons('0.5'),
      price: { basis: 'lump-sum', amount: '70' },
    };
    await this.write(manager, 'POST', '/hay-sales', sale, { as: 'into a closed period' });
    await this.write(
      manager,
      'POST',
      '/hay-sales',
      { ...sale, postTo: 'open-period' },
      { as: 'of a closed period, posted to the open one' },
    );
    await this.write(
      manager,
      'POST',
      '/late-costs',
      {
        receipt: { kind: 'hay-purchase', id: purchaseId },
        billedOn: '2026-06-01',
        owed: 'freight',
        biller: 'A hauler',
        amount: '80',
        postTo: 'open-period',
      },
      { as: 'of a closed period' },
    );
    await this.write(
      manager,
      'POST',
      `/hay-purchases/${purchaseId}/reversal`,
      { reason: 'Of a closed period' },
      { as: 'of a closed period' },
    );
    await this.#get(`/closings/${closed.id}/reports/trial-balance`, accountant);
    await this.write(manager, 'POST', `/closings/${closed.id}/reopening`, { reason: 'No' }, { as: 'by the manager' });
    await this.write(accountant, 'POST', `/closings/${closed.id}/reopening`, { reason: 'A late ticket' });
    await this.write(
      owner,
      'POST',
      `/closings/${closed.id}/reopening`,
      { reason: 'A late ticket' },
      { as: 'by the owner' },
    );
    await this.write(accountant, 'POST', '/closings', { until: '2026-05-31' }, { as: 'of spring', expect: 201 });
    await this.write(manager, 'POST', '/feedings', feedingBody(cowsId, [[lotId, '300']], { fedOn: '2026-05-20' }), {
      as: 'into a closed period',
    });
    await this.write(
      manager,
      'POST',
      '/stock-counts',
      { hayLotId: lotId, countedOn: '2026-06-02', counted: pounds('9000'), reason: 'Counted' },
      { as: 'after the closing' },
    );
  }

  async #people(): Promise<void> {
    const { owner, accountant, manager } = this.#who;
    const { ines, bram } = this.standing.people;
    const expiresAt = '2026-12-25T00:00:00Z';
    const key = await this.#round(
      accountant,
      '/api-keys',
      { name: 'Recorded key', scopes: ['read'], expiresAt },
      { reverse: false },
    );
    await this.write(accountant, 'POST', `/api-keys/${key.id}/rotation`, { overlapHours: 24 }, { expect: 201 });
    await this.write(accountant, 'DELETE', `/api-keys/${key.id}`, undefined, {
      ifMatch: (await this.#get(`/api-keys/${key.id}`, accountant)).etag,
    });
    const invited = await this.#round(
      owner,
      '/invitations',
      { email: 'new.hand@coldwater.example', role: 'hand' },
      { reverse: false },
    );
    await this.write(
      manager,
      'POST',
      '/invitations',
      { email: 'other@coldwater.example', role: 'hand' },
      { as: 'by the manager', expect: 403 },
    );
    const other = await this.write(
      owner,
      'POST',
      '/invitations',
      { email: 'other@coldwater.example', role: 'manager', note: 'For spring' },
      { as: 'that is withdrawn', expect: 201 },
    );
    await this.write(owner, 'DELETE', `/invitations/${other.id}`, undefined, {
      ifMatch: (await this.#get(`/invitations/${other.id}`)).etag,
    });
    const token = invited.body['token'];
    await this.write(
      this.standing.nobody,
      'POST',
      '/v1/invitation-acceptances',
      { token: 'ryi_no', name: 'New Hand', passphrase: 'three gates and a cattle guard' },
      { as: 'with a token that is none', key: null },
    );
    await this.write(
      this.standing.nobody,
      'POST',
      '/v1/invitation-acceptances',
      { token, name: 'New Hand', passphrase: 'short' },
      { as: 'with a short passphrase', key: null },
    );
    await this.write(
      this.standing.nobody,
      'POST',
      '/v1/invitation-acceptances',
      { token, name: 'New Hand', passphrase: 'three gates and a cattle guard' },
      { key: null },
    );
    const members = (await this.#get('/memberships?limit=200')).body['items'] as {
      id: string;
      role: string;
      name?: string;
    }[];
    const hand = members.find((one) => one.role === 'hand');
    if (hand !== undefined) {
      await this.#change(owner, `/memberships/${hand.id}`, { seesPrices: true });
      await this.#get(`/memberships/${hand.id}/history`);
      await this.write(owner, 'POST', `/memberships/${hand.id}/recovery-tokens`, { reason: 'Lost the paper' });
      const { etag } = await this.#get(`/memberships/${hand.id}`);
      await this.write(
        owner,
        'PATCH',
        `/memberships/${hand.id}`,
        { seesPrices: false },
        { as: 'back again', ifMatch: etag, expect: 200 },
      );
    }
    const mine = members.find((one) => one.role === 'owner');
    if (mine !== undefined)
      await this.write(
        owner,
        'POST',
        `/memberships/${mine.id}/end`,
        { reason: 'The last owner' },
        { as: 'of the last owner', ifMatch: (await this.#get(`/memberships/${mine.id}`)).etag },
      );
    if (ines !== undefined && bram !== undefined) await this.#engagements(owner, ines);
    await this.#accounts(owner);
  }

  async #engagements(owner: Asker, ines: Asker): Promise<void> {
    await this.write(
      owner,
      'POST',
      '/engagements',
      { consultantEmail: 'ines@forage-desk.example', seesPrices: true },
      { as: 'of one who is engaged' },
    );
    await this.write(
      owner,
      'POST',
      '/engagements',
      { consultantEmail: 'nobody@forage-desk.example' },
      { as: 'of nobody' },
    );
    const [first] = ((await this.#get('/engagements')).body['items'] ?? []) as { id: string }[];
    if (first !== undefined) await this.#change(owner, `/engagements/${first.id}`, { afterEnd: 'history' });
    await this.write(
      ines,
      'POST',
      '/v1/me/engagement-proposals',
      { ownerEmail: 'tess@thistle.example', note: 'Rations for the winter' },
      { expect: 201 },
    );
    await this.write(
      ines,
      'POST',
      '/v1/me/engagement-proposals',
      { ownerEmail: 'nobody@thistle.example' },
      { as: 'to nobody' },
    );
    await this.write(
      ines,
      'POST',
      '/v1/me/api-keys',
      { name: 'Desk', scopes: ['read', 'desk'], expiresAt: '2026-12-25T00:00:00Z' },
      { expect: 201 },
    );
    await this.write(
      ines,
      'POST',
      '/v1/me/api-keys',
      { name: 'Desk', scopes: ['everything'], expiresAt: '2026-12-25T00:00:00Z' },
      { as: 'of a scope that is none', expect: 400 },
    );
  }

  async #accounts(owner: Asker): Promise<void> {
    const { nobody } = this.standing;
    await this.write(
      nobody,
      'POST',
      '/v1/sign-in',
      { email: 'ada@coldwater.example', passphrase: 'not this one' },
      { as: 'with a wrong passphrase', key: null, expect: 401 },
    );
    await this.write(
      nobody,
      'POST',
      '/v1/sign-in',
      { email: 'nobody@coldwater.example', passphrase: 'not this one' },
      { as: 'of nobody', key: null, expect: 401 },
    );
    await this.write(
      nobody,
      'POST',
      '/v1/sign-in',
      { email: 'ada@coldwater.example' },
      { as: 'without a passphrase', key: null, expect: 400 },
    );
    const signedIn = await this.write(
      nobody,
      'POST',
      '/v1/sign-in',
      { email: 'ada@coldwater.example', passphrase: 'hay in the barn by august' },
      { as: 'once more', key: null, expect: 200 },
    );
    const refreshed = await this.write(
      nobody,
      'POST',
      '/v1/token-refresh',
      { refreshToken: signedIn.body['refreshToken'] },
      { key: null, expect: 200 },
    );
    await this.write(
      nobody,
      'POST',
      '/v1/token-refresh',
      { refreshToken: signedIn.body['refreshToken'] },
      { as: 'twice', key: null },
    );
    await this.write(
      { ...owner, token: String(refreshed.body['accessToken']) },
      'POST',
      '/v1/sign-out',
      {},
      { as: 'of the second session', key: null },
    );
    await this.write(
      nobody,
      'POST',
      '/v1/recovery-by-code',
      {
        email: 'ada@coldwater.example',
        recoveryCode: '00000-00000-00000-00000-00000-000',
        newPassphrase: 'three gates and a cattle guard',
      },
      { key: null },
    );
    await this.write(
      nobody,
      'POST',
      '/v1/recovery-by-token',
      { token: 'ryx_no', newPassphrase: 'three gates and a cattle guard' },
      { key: null },
    );
    await this.write(
      owner,
      'POST',
      '/v1/me/second-factor',
      { presentPassphrase: 'not this one' },
      { as: 'with a wrong passphrase', key: null },
    );
    await this.write(
      owner,
      'POST',
      '/v1/me/second-factor',
      { presentPassphrase: 'hay in the barn by august' },
      { key: null },
    );
    await this.write(owner, 'POST', '/v1/me/second-factor/confirmation', { oneTimeCode: '000000' }, { key: null });
    await this.write(
      owner,
      'POST',
      '/v1/me/passphrase',
      { presentPassphrase: 'hay in the barn by august', newPassphrase: 'short' },
      { key: null },
    );
    await this.write(
      owner,
      'POST',
      '/v1/operations',
      { name: 'Recorded yard (invented)', unitPreference: 'metric', currency: 'CAD', timeZone: 'America/Edmonton' },
      { expect: 201 },
    );
    await this.write(
      owner,
      'POST',
      '/v1/operations',
      { name: 'Recorded yard', unitPreference: 'metric', currency: 'CAD', timeZone: 'The Moon' },
      { as: 'in a zone that is none', expect: 400 },
    );
  }

  async #erasing(): Promise<void> {
    const { owner, manager } = this.#who;
    const name = this.operation.name;
    await this.write(manager, 'POST', '/deletion', { name, reason: 'No' }, { as: 'by the manager', expect: 403 });
    await this.write(owner, 'POST', '/deletion', { name: 'Another name', reason: 'No' }, { as: 'under another name' });
    await this.write(owner, 'POST', '/deletion', { name, reason: 'To see that it can be taken back' }, { expect: 201 });
    await this.#get('/deletion');
    await this.write(
      owner,
      'POST',
      '/deletion/confirmation',
      { name, understood: 'every record is deleted for good' },
      { as: 'too early', key: null },
    );
    await this.write(owner, 'DELETE', '/deletion', undefined);
    await this.write(owner, 'DELETE', '/deletion', undefined, { as: 'twice' });
  }
}

interface Ids {
  ranchId: string;
  cowsId: string;
  calvesId: string;
  strawId: string;
  alfalfaId: string;
  meadowId: string;
  placeId: string;
  bunkId: string;
}

const NOTHING = '00000000-0000-7000-8000-000000000001';
