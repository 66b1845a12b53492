/*
 * The manager's day over HTTP: a ticket, a lab test, a feeding in layers, a weigh-in, cattle that come and go; each
 * written, read back as typed, and reversed. Figures are worked out by hand beside each check.
 */
import { type Operation, operationWith } from '../support/people.js';
import {
  balance,
  cows,
  feeding,
  feedingBody,
  herd,
  labTestBody,
  lot,
  purchaseBody,
  ranch,
  type WithId,
} from '../support/things.js';
import { openWorld, type World } from '../support/world.js';

let world: World;
let operation: Operation;
let metric: Operation;
let ranchId: string;
let metricRanchId: string;
beforeAll(async () => {
  world = await openWorld();
  operation = await operationWith(world);
  metric = await operationWith(world, { unitPreference: 'metric', currency: 'CAD', timeZone: 'America/Edmonton' });
  ranchId = await ranch(operation);
  metricRanchId = await ranch(metric);
});
afterAll(async () => {
  await world.close();
});

interface Mass {
  value: string;
  unit: string;
  typed?: { value: string; unit: string };
}
interface Reversed extends WithId {
  reversal: null | { reason: string; effectiveOn: string };
  [field: string]: unknown;
}

async function takenBack(path: string): Promise<void> {
  await operation.as.manager.post(`${path}/reversal`, { reason: 'Entered by mistake' }, { expect: 201 });
  const { body } = await operation.as.manager.get<Reversed>(path, { expect: 200 });
  expect(body.reversal).toMatchObject({ reason: 'Entered by mistake' });
}

describe('a ticket', () => {
  it('for 24 round bales at a price per ton, with freight, opens a lot and lands its cost', async () => {
    const bought = await operation.as.manager.post<Reversed & { hayLotId: string }>(
      operation.at('/hay-purchases'),
      purchaseBody(ranchId, {
        baleCount: 24,
        weight: {
          basis: 'weighed-bales',
          meanBaleWeight: { value: '1150.5', unit: 'lb' },
          balesWeighed: 5,
          standardDeviation: { value: '40', unit: 'lb' },
        },
        price: { basis: 'per-mass', amount: '150', per: 'ton' },
        freight: '240',
        moisturePercent: '14',
      }),
      { expect: 201 },
    );
    // 24 x 1,150.5 lb = 27,612 lb = 13.806 tons; x 150 = 2,070.90; + 240 = 2,310.90; over 13.806 tons = 167.38 a ton.
    expect(bought.body).toMatchObject({
      baleCount: 24,
      weight: { value: '13.806', unit: 'ton' },
      hayCost: { amount: '2070.90', currency: 'USD' },
      freight: { amount: '240.00', currency: 'USD' },
      charges: { amount: '0.00', currency: 'USD' },
      landedCost: { amount: '2310.90', currency: 'USD' },
      landedPrice: { amount: '167.38', currency: 'USD', per: 'ton' },
      price: { basis: 'per-mass', amount: '150', per: 'ton' },
      weighing: { meanBaleWeight: { value: '1150.5', unit: 'lb' }, balesWeighed: 5 },
      reversal: null,
    });
    expect(bought.headers['location']).toBe(operation.at(`/hay-purchases/${bought.body.id}`));
    const read = await operation.as.manager.get(bought.headers['location'] ?? '', { expect: 200 });
    expect(read.body).toEqual(bought.body);
    const lotRead = await operation.as.manager.get(operation.at(`/hay-lots/${bought.body.hayLotId}`), { expect: 200 });
    expect(lotRead.body).toMatchObject({
      balance: { value: '13.806', unit: 'ton' },
      baleWeight: { value: '1150.5', unit: 'lb' },
      origin: 'purchased',
    });
    await takenBack(operation.at(`/hay-purchases/${bought.body.id}`));
    expect(await balance(operation, bought.body.hayLotId)).toBe('0');
  });

  it('weighed over a truck scale is gross less tare', async () => {
    const { body } = await operation.as.manager.post(
      operation.at('/hay-purchases'),
      purchaseBody(ranchId, {
        weight: { basis: 'scale-ticket', gross: { value: '68240', unit: 'lb' }, tare: { value: '28240', unit: 'lb' } },
        price: { basis: 'lump-sum', amount: '3000' },
      }),
      { expect: 201 },
    );
    expect(body).toMatchObject({
      weight: { value: '20', unit: 'ton' },
      weightBasis: 'scale-ticket',
      landedCost: { amount: '3000.00' },
    });
  });

  it('whose truck weighs more empty than full is refused at the field', async () => {
    const { body } = await operation.as.manager.post(
      operation.at('/hay-purchases'),
      purchaseBody(ranchId, {
        weight: { basis: 'scale-ticket', gross: { value: '28240', unit: 'lb' }, tare: { value: '68240', unit: 'lb' } },
      }),
    );
    expect(body).toMatchObject({ status: 422, type: '/problems/rule-broken' });
    expect(JSON.stringify(body['errors'])).toMatch(/#\/weight\/(gross|tare)/);
  });

  it('priced by the bale needs a count of bales', async () => {
    const { body } = await operation.as.manager.post(
      operation.at('/hay-purchases'),
      purchaseBody(ranchId, { price: { basis: 'per-bale', amount: '65' } }),
    );
    expect(body).toMatchObject({ status: 422, type: '/problems/rule-broken' });
    const counted = await operation.as.manager.post(
      operation.at('/hay-purchases'),
      purchaseBody(ranchId, { baleCount: 40, price: { basis: 'per-bale', amount: '65' } }),
      { expect: 201 },
    );
    expect(counted.body).toMatchObject({ hayCost: { amount: '2600.00', currency: 'USD' } });
  });

  it('into a lot that exists adds to it', async () => {
    const { lotId } = await lot(operation, ranchId, { tons: '10' });
    await operation.as.manager.post(
      operation.at('/hay-purchases'),
      purchaseBody(ranchId, { lot: { id: lotId }, weight: { basis: 'net', net: { value: '5', unit: 'ton' } } }),
      { expect: 201 },
    );
    expect(await balance(operation, lotId)).toBe('15');
  });
});

describe('a lab test', () => {
  it('is read back as typed, with RFV beside it', async () => {
    const { lotId } = await lot(operation, ranchId);
    // Rohweder, Barnes and Jorgensen (1978): DDM = 88.9 - 0.779 x 30 = 65.53; DMI = 120 / 40 = 3.0; RFV = 65.53 x 3.0 /
    // 1.29 = 152.4.
    const analysis = {
      dryMatter: { value: '88.40', unit: '%' },
      acidDetergentFiber: { value: '30', unit: '%' },
      neutralDetergentFiber: { value: '40.0', unit: '%' },
      nitrate: { value: '850', unit: 'ppm NO3-N' },
      netEnergyGain: { value: '0.3', unit: 'Mcal/lb' },
    };
    const made = await operation.as.manager.post<Reversed & { analysis: object; relativeFeedValue: number }>(
      operation.at('/lab-tests'),
      {
        hayLotId: lotId,
        lab: 'Forage laboratory',
        sampledOn: '2026-11-05',
        method: 'wet-chemistry',
        basis: 'dry-matter',
        cores: 20,
        analysis,
      },
      { expect: 201 },
    );
    expect(made.body.analysis).toEqual(analysis);
    expect(made.body.relativeFeedValue).toBeCloseTo(152.4, 1);
    expect(
      (await operation.as.nutritionist.get(operation.at(`/lab-tests/${made.body.id}`), { expect: 200 })).body,
    ).toEqual(made.body);
    await takenBack(operation.at(`/lab-tests/${made.body.id}`));
  });

  it('tells values of different units apart: nitrate as the ion is 14.0067/62.0049 of it as nitrogen', async () => {
    const { lotId } = await lot(operation, ranchId);
    const make = async (nitrate: { value: string; unit: string }): Promise<number> =>
      (
        await operation.as.manager.post<{ onDryMatter: Record<string, number> }>(
          operation.at('/lab-tests'),
          {
            hayLotId: lotId,
            lab: 'L',
            // 0.1 % is 1,000 ppm again: without a number it would be the first test, entered twice.
            reportNumber: `${nitrate.value} ${nitrate.unit}`,
            sampledOn: '2026-11-05',
            method: 'wet-chemistry',
            basis: 'dry-matter',
            analysis: { dryMatter: { value: '90', unit: '%' }, nitrate },
          },
          { expect: 201 },
        )
      ).body.onDryMatter['nitrateNitrogenPpm'] ?? 0;
    const asNitrogen = await make({ value: '1000', unit: 'ppm NO3-N' });
    expect(asNitrogen).toBeCloseTo(1000, 6);
    // IUPAC atomic masses: N 14.0067, O 15.9994 (as the factor's source gives NO3 62.0049). 1,000 ppm x 0.22590 = 225.9
    // ppm.
    expect(await make({ value: '1000', unit: 'ppm NO3' })).toBeCloseTo(225.9, 1);
    expect(await make({ value: '0.1', unit: '% NO3-N' })).toBeCloseTo(1000, 6);
  });

  it.each([
    [
      'a sum over 100 %',
      {
        dryMatter: { value: '90', unit: '%' },
        crudeProtein: { value: '60', unit: '%' },
        ash: { value: '50', unit: '%' },
      },
    ],
    ['more dry matter than hay', { dryMatter: { value: '101', unit: '%' } }],
  ])('that cannot be true is refused: %s', async (_name, analysis) => {
    const { lotId } = await lot(operation, ranchId);
    const { body } = await operation.as.manager.post(operation.at('/lab-tests'), {
      hayLotId: lotId,
      lab: 'L',
      sampledOn: '2026-11-05',
      method: 'wet-chemistry',
      basis: 'dry-matter',
      analysis,
    });
    expect(body).toMatchObject({ status: 422, type: '/problems/rule-broken' });
  });
});

describe('a feeding', () => {
  it('in three layers from three lots draws each lot and keeps the order', async () => {
    const herdId = await herd(operation, ranchId, { head: 120 });
    const lots = [
      await lot(operation, ranchId, { name: 'Coarse' }),
      await lot(operation, ranchId, { name: 'Rich', hayKind: 'alfalfa' }),
      await lot(operation, ranchId, { name: 'Meadow' }),
    ];
    const [coarse, rich, meadow] = lots.map((one) => one.lotId);
    const made = await operation.as.hand.post<Reversed>(
      operation.at('/feedings'),
      {
        herdId,
        fedOn: '2027-01-10',
        fedAt: '2027-01-10T07:30:00-07:00',
        method: 'windrow-on-ground',
        weather: 'rain',
        wasted: { value: '12.50', unit: 'lb' },
        note: 'Second team',
        layers: [
          { role: 'coarse', parts: [{ hayLotId: coarse, weight: { value: '1200', unit: 'lb' } }] },
          {
            role: 'rich',
            parts: [
              { hayLotId: rich, weight: { value: '600', unit: 'lb' } },
              { hayLotId: meadow, weight: { value: '100', unit: 'kg' } },
            ],
          },
          { role: 'coarse', parts: [{ hayLotId: coarse, weight: { value: '0.25', unit: 'ton' } }] },
        ],
      },
      { expect: 201 },
    );
    // 100 kg / 0.45359237 = 220.462262 lb; 1,200 + 600 + 220.462262 + 500 = 2,520.462262 lb; over 120 head = 21.003852.
    expect(made.body).toMatchObject({
      headFed: 120,
      fedAt: '2027-01-10T14:30:00.000Z',
      total: { value: '2520.462262', unit: 'lb' },
      perHead: { value: '21.003852', unit: 'lb' },
      wasted: { value: '12.50', unit: 'lb', typed: { value: '12.50', unit: 'lb' } },
      refused: null,
      layers: [
        { position: 1, role: 'coarse', weight: { value: '1200', unit: 'lb' } },
        {
          position: 2,
          role: 'rich',
          parts: [
            { hayLotId: rich, hayLot: 'Rich' },
            { hayLotId: meadow, weight: { value: '220.462262', unit: 'lb', typed: { value: '100', unit: 'kg' } } },
          ],
        },
        {
          position: 3,
          role: 'coarse',
          weight: { value: '500', unit: 'lb' },
          parts: [{ weight: { typed: { value: '0.25', unit: 'ton' } } }],
        },
      ],
    });
    expect((await operation.as.hand.get(operation.at(`/feedings/${made.body.id}`), { expect: 200 })).body).toEqual(
      made.body,
    );
    // 24 tons less 1,700 lb is 23.15.
    expect([await balance(operation, coarse ?? ''), await balance(operation, rich ?? '')]).toEqual(['23.15', '23.7']);
    await takenBack(operation.at(`/feedings/${made.body.id}`));
    expect([
      await balance(operation, coarse ?? ''),
      await balance(operation, rich ?? ''),
      await balance(operation, meadow ?? ''),
    ]).toEqual(['24', '24', '24']);
  });

  it("counted in bales is weighed by the lot's mean bale, and read back in bales", async () => {
    const herdId = await herd(operation, ranchId);
    const { lotId } = await lot(operation, ranchId, { tons: '12', baleCount: 20 });
    const made = await operation.as.manager.post<Reversed>(
      operation.at('/feedings'),
      {
        herdId,
        fedOn: '2027-01-10',
        method: 'ring-feeder',
        layers: [{ role: 'coarse', parts: [{ hayLotId: lotId, bales: '2.5' }] }],
      },
      { expect: 201 },
    );
    // 12 tons over 20 bales is 1,200 lb a bale; 2.5 bales are 3,000 lb.
    expect(made.body).toMatchObject({
      total: { value: '3000', unit: 'lb' },
      layers: [{ parts: [{ weight: { value: '3000', unit: 'lb', typed: { value: '2.5', unit: 'bale' } } }] }],
    });
    const uncounted = await lot(operation, ranchId);
    const refused = await operation.as.manager.post(operation.at('/feedings'), {
      herdId,
      fedOn: '2027-01-10',
      method: 'ring-feeder',
      layers: [{ role: 'coarse', parts: [{ hayLotId: uncounted.lotId, bales: '1' }] }],
    });
    expect(refused.body).toMatchObject({
      status: 422,
      errors: [{ pointer: '#/layers/0/parts/0/bales', code: 'bale-weight-unknown' }],
    });
  });

  it('of a herd without cattle is refused unless the head is given', async () => {
    const herdId = await herd(operation, ranchId, { head: 0 });
    const { lotId } = await lot(operation, ranchId);
    expect(
      (await operation.as.manager.post(operation.at('/feedings'), feedingBody(herdId, [[lotId, '100']]))).body,
    ).toMatchObject({ status: 422, errors: [{ pointer: '#/headFed', code: 'nobody-to-feed' }] });
    expect(
      (
        await operation.as.manager.post(
          operation.at('/feedings'),
          feedingBody(herdId, [[lotId, '100']], { headFed: 4 }),
          { expect: 201 },
        )
      ).body,
    ).toMatchObject({ headFed: 4, perHead: { value: '25', unit: 'lb' } });
  });
});

describe('a weigh-in', () => {
  it('of a group by its total gives the mean, less the shrink that was asked for', async () => {
    const herdId = await herd(operation, ranchId);
    const made = await operation.as.manager.post<Reversed>(
      operation.at('/weigh-ins'),
      {
        scope: 'group',
        herdId,
        weighedOn: '2027-01-12',
        fill: 'full',
        shrinkPercent: '4',
        scale: 'Livestock scale',
        head: 40,
        measure: 'total',
        weight: { value: '22480', unit: 'lb' },
      },
      { expect: 201 },
    );
    // 22,480 lb over 40 head is 562 lb; less 4 % is 539.52.
    expect(made.body).toMatchObject({
      head: 40,
      meanWeight: { value: '562', unit: 'lb', typed: { value: '22480', unit: 'lb' } },
      meanAfterShrink: { value: '539.52', unit: 'lb' },
      animals: [],
    });
    expect((await operation.as.manager.get(operation.at(`/weigh-ins/${made.body.id}`), { expect: 200 })).body).toEqual(
      made.body,
    );
    await takenBack(operation.at(`/weigh-ins/${made.body.id}`));
  });

  it('animal by animal keeps every tag and weight', async () => {
    const herdId = await herd(operation, ranchId);
    // 900 is the ISO 11784 country field of manufacturers' test codes; 15 digits.
    const animals = [
      { visualTag: 'R 12', electronicId: '900108001234561', weight: { value: '550.0', unit: 'lb' } },
      { visualTag: 'R 13', weight: { value: '574', unit: 'lb' } },
    ];
    const made = await operation.as.manager.post<Reversed & { animals: { weight: Mass }[] }>(
      operation.at('/weigh-ins'),
      { scope: 'animal', herdId, weighedOn: '2027-01-12', fill: 'shrunk', hoursOffFeed: '16', animals },
      { expect: 201 },
    );
    expect(made.body).toMatchObject({
      head: 2,
      meanWeight: { value: '562', unit: 'lb' },
      animals: [
        { visualTag: 'R 12', electronicId: '900108001234561', weight: { typed: { value: '550.0', unit: 'lb' } } },
        { visualTag: 'R 13', electronicId: null },
      ],
    });
  });

  it('takes an animal once', async () => {
    const herdId = await herd(operation, ranchId);
    const twice = [
      { visualTag: 'A', weight: { value: '500', unit: 'lb' } },
      { visualTag: 'B', weight: { value: '500', unit: 'lb' } },
      { visualTag: 'A', weight: { value: '510', unit: 'lb' } },
    ];
    const { body } = await operation.as.manager.post(operation.at('/weigh-ins'), {
      scope: 'animal',
      herdId,
      weighedOn: '2027-01-12',
      fill: 'full',
      animals: twice,
    });
    expect(body).toMatchObject({ status: 422, errors: [{ pointer: '#/animals/2/visualTag', code: 'animal-twice' }] });
  });
});

describe('cattle that come and go', () => {
  it('make the head of each day', async () => {
    const herdId = await herd(operation, ranchId, { head: 0 });
    const path = operation.at(`/herds/${herdId}/head-changes`);
    const change = (body: object) =>
      operation.as.manager.post<Reversed & { head: number }>(path, body, { expect: 201 });
    await change({ kind: 'in', head: 100, happenedOn: '2026-11-01', meanWeight: { value: '550', unit: 'lb' } });
    await change({ kind: 'death', head: 1, happenedOn: '2026-12-03' });
    const sale = await change({ kind: 'sale', head: 19, happenedOn: '2027-01-05', note: 'Light end' });
    await change({ kind: 'in', head: 3, happenedOn: '2027-02-01' });
    expect(sale.body).toMatchObject({ head: -19, kind: 'sale', note: 'Light end' });
    // 100 - 1 - 19; what comes in February is not there on 15 January.
    const headNow = async (): Promise<unknown> =>
      (await operation.as.manager.get(operation.at(`/herds/${herdId}`), { expect: 200 })).body['head'];
    expect(await headNow()).toBe(80);
    const back = await operation.as.manager.post<Reversed & { head: number }>(
      `${path}/${sale.body.id}/reversal`,
      { reason: 'Not sold after all' },
      { expect: 201 },
    );
    expect(back.body).toMatchObject({
      kind: 'reversal',
      head: 19,
      happenedOn: '2027-01-05',
      reversesId: sale.body.id,
      note: 'Not sold after all',
    });
    expect(await headNow()).toBe(99);
    const again = await operation.as.manager.post(`${path}/${back.body.id}/reversal`, { reason: 'Or was it' });
    expect(again.status).toBe(409);
    const early = await operation.as.manager.post(`${path}/${sale.body.id}/reversal`, {
      reason: 'x',
      effectiveOn: '2027-01-04',
    });
    expect([409, 422]).toContain(early.status);
  });

  it.each([
    ['a move without a herd to go to', { kind: 'move', head: 1, happenedOn: '2027-01-10' }, 'move-needs-a-herd'],
    ['a sale with one', { kind: 'sale', head: 1, happenedOn: '2027-01-10', toHerdId: 'other' }, 'move-needs-a-herd'],
    [
      'a move to where they are',
      { kind: 'move', head: 1, happenedOn: '2027-01-10', toHerdId: 'own' },
      'move-to-itself',
    ],
  ])('%s is refused', async (_name, body, code) => {
    const own = await herd(operation, ranchId);
    const other = await herd(operation, ranchId);
    const answer = await operation.as.manager.post(operation.at(`/herds/${own}/head-changes`), {
      ...body,
      ...('toHerdId' in body ? { toHerdId: body.toHerdId === 'own' ? own : other } : {}),
    });
    expect(answer.body).toMatchObject({ status: 422, errors: [{ pointer: '#/toHerdId', code }] });
  });
});

describe('units', () => {
  it('follow the operation, unless the question asks for others', async () => {
    const { lotId } = await lot(metric, metricRanchId, { tons: '10' });
    const read = async (query: Record<string, string>): Promise<unknown> =>
      (await metric.as.manager.get(metric.at(`/hay-lots/${lotId}`), { query, expect: 200 })).body['balance'];
    // 10 short tons are 9.0718474 t (NIST Handbook 44, appendix C).
    expect([await read({}), await read({ units: 'metric' }), await read({ units: 'us' })]).toEqual([
      { value: '9.071847', unit: 't' },
      { value: '9.071847', unit: 't' },
      { value: '10', unit: 'ton' },
    ]);
    expect((await metric.as.manager.get(metric.at(`/hay-lots/${lotId}`), { query: { units: 'stone' } })).status).toBe(
      400,
    );
  });

  it('are taken in any unit, and answered in one system', async () => {
    const id = await herd(metric, metricRanchId, {
      bodyWeight: { value: '1200', unit: 'lb' },
      matureWeight: { value: '600', unit: 'kg' },
    });
    const { body } = await metric.as.manager.get(metric.at(`/herds/${id}`), { expect: 200 });
    expect(body).toMatchObject({
      units: 'metric',
      bodyWeight: { value: '544.310844', unit: 'kg', typed: { value: '1200', unit: 'lb' } },
      matureWeight: { value: '600', unit: 'kg', typed: { value: '600', unit: 'kg' } },
    });
  });

  it("change with the operation's preference", async () => {
    const own = await operationWith(world, { roles: ['owner', 'manager'] });
    const id = await herd(own, await ranch(own));
    const { headers } = await own.as.owner.get(own.at(''), { expect: 200 });
    await own.as.owner.patch(own.at(''), { unitPreference: 'metric' }, { ifMatch: headers['etag'] ?? '', expect: 200 });
    expect((await own.as.manager.get(own.at(`/herds/${id}`), { expect: 200 })).body['units']).toBe('metric');
  });

  it("of money are the operation's own currency", async () => {
    const { purchaseId } = await lot(metric, metricRanchId);
    expect(
      (await metric.as.accountant.get(metric.at(`/hay-purchases/${purchaseId}`), { expect: 200 })).body,
    ).toMatchObject({ landedCost: { amount: '3600.00', currency: 'CAD' } });
  });
});

describe('places', () => {
  it('keep the length of their bunk as typed', async () => {
    const made = await operation.as.manager.post<WithId>(
      operation.at('/places'),
      { ranchId, name: 'Bunk line', kind: 'bunk-line', bunkLength: { value: '240.50', unit: 'ft' } },
      { expect: 201 },
    );
    const read = await operation.as.manager.get(operation.at(`/places/${made.body.id}`), { expect: 200 });
    expect(read.body).toMatchObject({ bunkLength: { value: '240.50', unit: 'ft' } });
    const changed = await operation.as.manager.patch(
      operation.at(`/places/${made.body.id}`),
      { bunkLength: null },
      { ifMatch: read.headers['etag'] ?? '', expect: 200 },
    );
    expect(changed.body['bunkLength']).toBeNull();
  });
});

describe('the movements of a lot', () => {
  it('tell the story of its balance', async () => {
    const { lotId } = await lot(operation, ranchId, { tons: '10' });
    const herdId = await herd(operation, ranchId);
    const fed = await operation.as.manager.post<WithId>(
      operation.at('/feedings'),
      feedingBody(herdId, [[lotId, '2000']]),
      { expect: 201 },
    );
    await operation.as.manager.post(
      operation.at(`/feedings/${fed.body.id}/reversal`),
      { reason: 'Wrong lot', effectiveOn: '2027-01-12' },
      { expect: 201 },
    );
    const { body } = await operation.as.manager.get<{
      items: { kind: string; change: Mass; balanceAfter: Mass; reason: string | null }[];
    }>(operation.at(`/hay-lots/${lotId}/movements`), { expect: 200 });
    expect(body.items.map((one) => [one.kind, one.change.value, one.balanceAfter.value, one.reason])).toEqual([
      ['reversal', '2000', '10', 'Wrong lot'],
      ['feed', '-2000', '9', null],
      ['purchase', '20000', '10', null],
    ]);
  });
});

describe('a mistake that was taken back', () => {
  it('leaves no trace in any report of herd, yard, desk or office', async () => {
    const own = await operationWith(world, { name: 'Taken back' });
    const { manager, accountant, nutritionist } = own.as;
    const homeId = await ranch(own);
    const post = async (path: string, body: object, status = 201): Promise<WithId & Record<string, string>> =>
      (await own.as.owner.post<WithId & Record<string, string>>(own.at(path), body, { expect: status })).body;
    const { id: placeId } = await post('/places', { ranchId: homeId, name: 'Bunk', kind: 'bunk-line' });
    const herdId = await cows(own, homeId, { head: 50, placeId });
    const { lotId, purchaseId } = await lot(own, homeId, { tons: '90' });
    const second = await lot(own, homeId, { name: 'Meadow, second cutting', tons: '40' });
    await post('/lab-tests', labTestBody(lotId));
    const rationId = (
      await post('/rations', {
        herdId,
        name: 'Winter',
        basis: 'as-fed',
        baleRounding: 'nearest-whole',
        amount: { weight: { value: '26', unit: 'lb' }, basis: 'as-fed' },
        layers: [{ role: 'mixed', parts: [{ hayLotId: lotId, sharePercent: '100' }] }],
      })
    ).id;
    await post(`/rations/${rationId}/proposal`, {}, 200);
    await post(`/rations/${rationId}/acceptance`, {}, 200);
    await post(`/rations/${rationId}/use`, { from: '2027-01-02' }, 200);
    await post('/weigh-ins', weighed(herdId, '2026-11-05', '1180'));
    await post('/weigh-ins', weighed(herdId, '2027-01-04', '1195'));
    await feeding(own, herdId, [[lotId, '1300']], { fedOn: '2027-01-11' });
    for (const fedOn of ['2027-01-12', '2027-01-13']) await post('/feed-sheet-confirmations', { herdId, fedOn });

    const span = { from: '2026-11-01', until: '2027-01-31' };
    const asked: [string, Record<string, string>][] = [
      ['/hay-lots', {}],
      [`/hay-lots/${lotId}`, {}],
      ['/herds', {}],
      [`/herds/${herdId}`, {}],
      [`/herds/${herdId}/state`, { on: '2027-01-14' }],
      [`/herds/${herdId}/requirements`, { on: '2027-01-14' }],
      [`/herds/${herdId}/ration-review`, { on: '2027-01-14' }],
      [`/herds/${herdId}/ration-drift`, { from: '2027-01-02', until: '2027-01-14' }],
      [`/herds/${herdId}/head-days`, span],
      [`/herds/${herdId}/day-weights`, {}],
      [`/rations/${rationId}/evaluation`, { on: '2027-01-14' }],
      [`/places/${placeId}/feed-sheet`, { on: '2027-01-14' }],
      ['/season-ration-plan', { from: '2027-01', until: '2027-02' }],
      ['/reports/cost-of-gain', span],
      ['/reports/cost-variances', span],
      ['/reports/feed-conversion', span],
      ['/reports/hay-balances', { on: '2027-01-14' }],
      ['/reports/hay-budget', { from: '2027-01-14', until: '2027-03-31' }],
      ['/reports/hay-position', { on: '2027-01-14' }],
      ['/reports/season-cost', span],
      ['/reports/trial-balance', { until: '2027-01-31' }],
    ];
    const everywhere = async (): Promise<Record<string, unknown>> => {
      const told: Record<string, unknown> = {};
      for (const [path, query] of asked) {
        const as = path.startsWith('/reports') ? accountant : path.includes('requirements') ? nutritionist : manager;
        const { version: _version, ...body } = (await as.get(own.at(path), { query, expect: 200 })).body;
        told[path] = body;
      }
      return told;
    };
    const before = await everywhere();

    const mistakes: string[] = [];
    const mistake = async (path: string, body: object): Promise<void> => {
      const { id, feedingId } = await post(path, body);
      mistakes.push(feedingId === undefined ? `${path}/${id}` : `/feedings/${feedingId}`);
    };
    await mistake('/hay-purchases', purchaseBody(homeId, { lot: { id: lotId } }));
    await mistake(
      '/hay-purchases',
      purchaseBody(homeId, { lot: { ...(purchaseBody(homeId)['lot'] as object), name: 'New' } }),
    );
    await mistake('/harvests', {
      harvestedOn: '2026-12-01',
      lot: { name: 'Own', ranchId: homeId, hayKind: 'meadow', baleForm: 'round', storageMethod: 'tarp' },
      weight: { basis: 'net', net: { value: '12', unit: 'ton' } },
      cost: { basis: 'per-mass', amount: '80', per: 'ton' },
    });
    const ton = { weight: { value: '1', unit: 'ton' } };
    const moved = { fromLotId: lotId, movedOn: '2026-12-02', quantity: ton };
    await mistake('/hay-transfers', { ...moved, to: { id: second.lotId } });
    await mistake('/hay-transfers', { ...moved, to: { name: 'Hauled', ranchId: homeId } });
    await mistake('/hay-sales', {
      hayLotId: lotId,
      buyer: 'A neighbor',
      soldOn: '2026-12-05',
      quantity: ton,
      price: { basis: 'per-mass', amount: '200', per: 'ton' },
    });
    await mistake('/storage-shrinks', {
      hayLotId: lotId,
      lostOn: '2026-12-15',
      how: { basis: 'weighed', quantity: ton },
    });
    await mistake('/late-costs', {
      receipt: { kind: 'hay-purchase', id: purchaseId },
      billedOn: '2026-12-20',
      owed: 'freight',
      biller: 'A hauler',
      amount: '300',
    });
    await mistake('/lab-tests', labTestBody(lotId, { sampledOn: '2026-12-05' }));
    await mistake('/hay-observations', { hayLotId: lotId, seenOn: '2027-01-12', mold: 'heavy' });
    await mistake('/feedings', feedingBody(herdId, [[lotId, '900']], { fedOn: '2027-01-12' }));
    await mistake('/feedings', feedingBody(herdId, [[second.lotId, '700']], { fedOn: '2027-01-14' }));
    await mistake('/weigh-ins', weighed(herdId, '2027-01-06', '1240'));
    await mistake('/weather-days', {
      ranchId: homeId,
      onDay: '2027-01-14',
      meanTemperature: { value: '-15', unit: 'F' },
    });
    await mistake('/water-checks', {
      placeId,
      source: 'Well',
      state: 'open',
      checkedOn: '2027-01-10',
      sulfateMgPerL: '2600',
    });
    await mistake('/stock-counts', {
      hayLotId: second.lotId,
      countedOn: '2027-01-13',
      counted: { weight: { value: '35', unit: 'ton' } },
      reason: 'Counted',
    });
    const change = `/herds/${herdId}/head-changes`;
    await mistake(change, { kind: 'in', head: 8, happenedOn: '2026-12-20', meanWeight: { value: '1100', unit: 'lb' } });
    await mistake(change, { kind: 'death', head: 1, happenedOn: '2027-01-09' });
    const event = `/herds/${herdId}/events`;
    await mistake(event, { kind: 'condition', happenedOn: '2027-01-10', score: '4' });
    await mistake(event, { kind: 'weight', happenedOn: '2027-01-11', weight: { value: '1150', unit: 'lb' } });
    expect(await everywhere()).not.toEqual(before);
    for (const path of mistakes.reverse()) await post(`${path}/reversal`, { reason: 'Entered by mistake' });
    expect(await everywhere()).toEqual(before);
    const lots = await manager.get<{ items: { name: string }[] }>(own.at('/hay-lots'), {
      query: { reversed: 'true' },
      expect: 200,
    });
    expect(lots.body.items.map(({ name }) => name)).toEqual(['Hauled', 'New', 'Own']);
  });
});

const weighed = (herdId: string, weighedOn: string, value: string): object => ({
  scope: 'group',
  herdId,
  weighedOn,
  fill: 'full',
  shrinkPercent: '0',
  scale: 'Livestock scale',
  head: 50,
  measure: 'mean',
  weight: { value, unit: 'lb' },
});

/*
 * Today at the ranch is 2027-01-15. A 900-ton stack is one of the largest that a ranch keeps; nobody keeps a thousand
 * times as much (common practice, no source). Bale weights: extension lists of small square bales of 40 to 140 lb and
 * large ones of up to 3,000 lb, from memory.
 */
describe('what cannot be is refused at its field, by the day, the cattle and the hay', () => {
  let lotId: string;
  let herdId: string;
  beforeAll(async () => {
    ({ lotId } = await lot(operation, ranchId, { name: 'Bounds', tons: '50' }));
    herdId = await cows(operation, ranchId, { name: 'Bounds', head: 50 });
  });
  const lb = (value: string): object => ({ value, unit: 'lb' });
  const cow = { name: 'Too much', cattleClass: 'dry-pregnant-cow', sex: 'cow', bodyWeight: lb('1200') };
  const newLot = (baleForm: string): object => ({ ...(purchaseBody(ranchId)['lot'] as object), name: 'Odd', baleForm });
  const cases: [string, () => object, string, string][] = [
    ['/hay-purchases', () => purchaseBody(ranchId, { purchasedOn: '2062-01-01' }), '#/purchasedOn', 'not-yet'],
    ['/feedings', () => feedingBody(herdId, [[lotId, '900']], { fedOn: '2027-01-16' }), '#/fedOn', 'not-yet'],
    ['/lab-tests', () => labTestBody(lotId, { sampledOn: '2027-01-16' }), '#/sampledOn', 'not-yet'],
    ['/weigh-ins', () => weighed(herdId, '2027-01-16', '1200'), '#/weighedOn', 'not-yet'],
    ['/hay-observations', () => ({ hayLotId: lotId, seenOn: '2027-01-16', mold: 'light' }), '#/seenOn', 'not-yet'],
    ['/herds', () => ({ ...cow, ranchId, calvedOn: '2062-03-01' }), '#/calvedOn', 'not-yet'],
    ['/herds', () => ({ ...cow, ranchId, bodyWeight: lb('56000') }), '#/bodyWeight', 'no-weight-of-this-class'],
    ['/herds', () => ({ ...cow, ranchId, matureWeight: lb('5') }), '#/matureWeight', 'no-weight-of-this-class'],
    ['head-changes', () => ({ kind: 'in', head: 5, happenedOn: '2062-01-01' }), '#/happenedOn', 'not-yet'],
    [
      'head-changes',
      () => ({ kind: 'in', head: 5, happenedOn: '2027-01-05', meanWeight: lb('5') }),
      '#/meanWeight',
      'no-weight-of-this-class',
    ],
    [
      '/stock-counts',
      () => ({
        hayLotId: lotId,
        countedOn: '2027-01-10',
        counted: { weight: { value: '900000', unit: 'ton' } },
        reason: 'Counted',
      }),
      '#/counted',
      'more-than-a-lot-holds',
    ],
    [
      '/hay-purchases',
      () => purchaseBody(ranchId, { baleCount: 40, weight: { basis: 'net', net: { value: '47600', unit: 'ton' } } }),
      '#/weight',
      'no-bale-weighs-that',
    ],
    [
      '/hay-purchases',
      () => purchaseBody(ranchId, { lot: newLot('small-square'), baleCount: 40 }),
      '#/weight',
      'no-bale-weighs-that',
    ],
  ];
  it.each(cases)('%s: %j', async (path, body, pointer, code) => {
    const at = path.startsWith('/') ? path : `/herds/${herdId}/${path}`;
    const answer = await operation.as.manager.post(operation.at(at), body(), { expect: 422 });
    expect(answer.body).toMatchObject({ errors: [{ pointer, code }] });
  });

  it('a changed herd is held to the same, and a file of records too', async () => {
    const path = operation.at(`/herds/${herdId}`);
    const { headers } = await operation.as.manager.get(path, { expect: 200 });
    const answer = await operation.as.manager.patch(
      path,
      { bodyWeight: lb('56000') },
      { ifMatch: headers['etag'] ?? '', expect: 422 },
    );
    expect(answer.body).toMatchObject({ errors: [{ pointer: '#/bodyWeight', code: 'no-weight-of-this-class' }] });
    // Whatever is said to be allowed is taken.
    const [{ allowed }] = answer.body['errors'] as [{ allowed: string }];
    for (const [index, value] of (allowed.match(/\d+/g) ?? []).entries())
      await operation.as.manager.post(
        operation.at('/herds'),
        { ...cow, name: `At bound ${index}`, ranchId, bodyWeight: lb(value) },
        { expect: 201 },
      );
    const file = ['lot,seen_on,mold', 'Bounds,2062-01-13,light'].join('\n');
    const checked = await operation.as.manager.post(operation.at('/imports/hay-observations/check'), file, {
      headers: { 'Content-Type': 'text/csv' },
      key: null,
      expect: 200,
    });
    expect(checked.body).toMatchObject({ problems: [{ row: 2, column: 'seen_on', code: 'not-yet' }] });
  });
});
