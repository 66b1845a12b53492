import costingExamples from '../reference/costing-examples.json';
import statistics from '../reference/statistics/published-examples.json';
import type { ApiClient } from '../support/client.js';
import { clientOf, person } from '../support/people.js';
import { openWorld, type World } from '../support/world.js';
import { COSTING_ENTRIES, DRY_COW, EXAMPLES } from './calculations-examples.js';

type Body = Record<string, unknown>;
interface Listed {
  name: string;
  method: 'GET' | 'POST';
  path: string;
  summary: string;
  source: { formula: string; author: string; where: string }[];
}

const lb = (value: number) => ({ value, unit: 'lb' });
const ton = (value: number) => ({ value, unit: 'ton' });
const usd = (amount: string) => ({ amount, currency: 'USD' });

describe('calculations without records', () => {
  let world: World;
  let client: ApiClient;
  let listed: Listed[];
  beforeAll(async () => {
    world = await openWorld();
    client = await clientOf(world, await person(world, 'nutritionist'));
    listed = (await client.get<{ items: Listed[] }>('/v1/calculations', { expect: 200 })).body.items;
  });
  afterAll(() => world.close());

  const ask = async <Answer = Body>(name: string, body: unknown): Promise<Answer> =>
    (await client.post<Answer>(`/v1/calculations/${name}`, body, { expect: 200, key: null })).body;
  const example = (name: string, more: Body = {}): Body => ({ ...EXAMPLES[name], ...more });

  describe('the list', () => {
    it('names every calculation of the description, and no other', () => {
      const described = Object.entries(world.description.document.paths)
        .flatMap(([path, operations]) => Object.keys(operations).map((method) => `${method.toUpperCase()} ${path}`))
        .filter((one) => one.includes('/v1/calculations/'));
      expect(listed.map(({ method, path }) => `${method} ${path}`).sort()).toEqual(described.sort());
      expect(new Set(listed.map(({ name }) => name)).size).toBe(listed.length);
    });
    it('gives each a summary and a source with formula, author and place', () => {
      for (const { summary, source } of listed) {
        expect(summary).not.toBe('');
        expect(source.length).toBeGreaterThan(0);
        for (const { formula, author, where } of source)
          expect([formula, author, where].every((part) => part.length > 0)).toBe(true);
      }
    });
    it('has an example for each here', () => {
      expect(listed.map(({ name }) => name).sort()).toEqual(Object.keys(EXAMPLES).sort());
    });
  });

  describe('who may ask', () => {
    it('is anybody signed in, and nobody else', async () => {
      expect((await world.anyone.get('/v1/calculations')).status).toBe(401);
      expect((await world.anyone.post('/v1/calculations/forage-value', EXAMPLES['forage-value'])).status).toBe(401);
      const hand = await clientOf(world, await person(world, 'hand'));
      expect((await hand.post('/v1/calculations/forage-value', EXAMPLES['forage-value'])).status).toBe(200);
    });
  });

  it.each(Object.keys(EXAMPLES))('%s answers its example, with its source', async (name) => {
    const body = EXAMPLES[name];
    const answer =
      body === undefined
        ? (await client.get<Body>(`/v1/calculations/${name}`, { expect: 200 })).body
        : await ask(name, body);
    expect((answer['source'] as unknown[]).length).toBeGreaterThan(0);
    expect(JSON.stringify(answer)).not.toMatch(/NaN|Infinity/);
  });

  describe('against the published', () => {
    // Sources: named in each case of test/reference/costing-examples.json.
    const costing = costingExamples as unknown as {
      id: string;
      method: string;
      source: string;
      toleranceUsd?: string;
      entries: { id: string; on: string; kind: string; lot: string; units: number; cost?: string }[];
      expected: { closing: string; lots?: Record<string, string> };
    }[];
    it.each(costing.map((one) => [one.id, one] as const))('costing: %s closes as printed', async (_id, one) => {
      const entries = one.entries.map(({ id, on, kind, lot, units, cost }) => ({
        id,
        on,
        kind,
        lotId: lot,
        mass: { value: units, unit: 'kg' },
        ...(kind === 'purchase' ? { hayKind: 'goods', cost } : {}),
      }));
      const answer = await ask<{
        methods: { closing: { value: { amount: string }; lots: { lotId: string; value: { amount: string } }[] } }[];
      }>('costing-replay', { methods: [one.method], unit: 'kg', entries });
      const [replay] = answer.methods;
      const tolerance = Number(one.toleranceUsd ?? '0') + 1e-9;
      expect(Math.abs(Number(replay?.closing.value.amount) - Number(one.expected.closing))).toBeLessThanOrEqual(
        tolerance,
      );
      for (const [lotId, printed] of Object.entries(one.expected.lots ?? {}))
        expect(
          Math.abs(Number(replay?.closing.lots.find((lot) => lot.lotId === lotId)?.value.amount) - Number(printed)),
        ).toBeLessThanOrEqual(tolerance);
    });
    // Source: Walker 1962 as used by McDonald 2014; printed output of Mangiafico 2015.
    it('analysis of covariance: the crickets', async () => {
      const { covariate, response, expected } = statistics.ancovaCricket;
      const arm = (name: 'ex' | 'niv') => ({
        name,
        rows: covariate[name].map((value, place) => ({ covariate: value, response: response[name][place] })),
      });
      const answer = await ask<{
        slope: number;
        slopeStandardError: number;
        differences: { arm: string; difference: number }[];
      }>('analysis-of-covariance', { arms: [arm('ex'), arm('niv')], unit: 'pulses/s' });
      expect(answer.slope).toBeCloseTo(expected.slope, 4);
      expect(answer.slopeStandardError).toBeCloseTo(expected.slopeStandardError, 4);
      expect(answer.differences[0]?.arm).toBe('niv');
      expect(answer.differences[0]?.difference).toBeCloseTo(expected.difference, 4);
    });
    // Source: R Core Team, stats::power.t.test, printed examples; it leaves out the chance of rejecting on the wrong
    // side, which is counted here.
    it.each(statistics.power.cases)(
      'power of $perArm an arm to see $difference at sd $sd',
      async ({ perArm, difference, sd, power }) => {
        const answer = await ask<{ powerPercent: number }>('sample-size', {
          unitsPerArm: perArm,
          difference,
          standardDeviation: sd,
        });
        expect(Math.abs(answer.powerPercent / 100 - power)).toBeLessThan(2e-6);
      },
    );
    it.each(statistics.power.sampleSizes)(
      'units per arm for power $power of $difference at sd $sd',
      async ({ difference, sd, power, exactN }) => {
        const answer = await ask<{ exactUnitsPerArm: number; unitsPerArm: number }>('sample-size', {
          difference,
          standardDeviation: sd,
          powerPercent: 100 * power,
        });
        expect(answer.exactUnitsPerArm).toBeCloseTo(exactN, 3);
        expect(answer.unitsPerArm).toBe(Math.ceil(exactN));
      },
    );
  });

  describe('worked by hand', () => {
    it('landed cost: 24 tons at 150, freight 480, charges 120 are 4,200, 175 a ton and 175 a bale', async () => {
      const answer = await ask('landed-cost', EXAMPLES['landed-cost']);
      expect(answer).toMatchObject({
        hay: usd('3600.00'),
        total: usd('4200.00'),
        perMass: { amount: '175', per: 'ton' },
        perBale: usd('175.00'),
      });
    });
    it(
      'hay budget: 100 cows, 24 lb of dry matter at 80 %, 25 % waste: 100·24/0.8/0.75 = 4,000 lb a day; 20 tons ' +
        'last 10 days, so that 2 tons a day are short from the eleventh',
      async () => {
        const answer = await ask<{ budget: { yard: Body; toBuy: Body[]; costToBuy: Body } }>('hay-budget', {
          from: '2026-12-01',
          until: '2026-12-31',
          prices: [{ hayKind: 'meadow', price: { ...usd('100'), per: 'ton' } }],
          herds: [
            {
              name: 'Cows',
              headEvents: [{ day: '2026-12-01', kind: 'in', head: 100 }],
              intake: { dryMatterPerHeadDay: lb(24) },
              dryMatterPercent: 80,
              wastePercent: 25,
              kinds: [{ hayKind: 'meadow', sharePercent: 100 }],
            },
          ],
          lots: [
            { name: 'Stack', hayKind: 'meadow', balance: ton(20), storedOn: '2026-12-01', countedOn: '2026-12-01' },
          ],
        });
        expect(answer.budget.yard).toMatchObject({
          needed: { value: '60', unit: 'ton' },
          short: { value: '40', unit: 'ton' },
          runsOutOn: '2026-12-11',
          daysShort: 20,
        });
        expect(answer.budget.costToBuy).toEqual(usd('4000.00'));
      },
    );
    it(
      'costing: 10 t at 110 and 10 t at 150, 4 t fed, 1 t shrunk: what came in less what was fed is what is left, ' +
        'by each method',
      async () => {
        const answer = await ask<{
          methods: {
            method: string;
            closing: { mass: Body; value: { amount: string } };
            feedByHerd: { cost: { amount: string } }[];
            trialBalance: { totalDebit: Body; totalCredit: Body };
          }[];
        }>('costing-replay', { entries: COSTING_ENTRIES });
        const fed = Object.fromEntries(answer.methods.map((one) => [one.method, one.feedByHerd[0]?.cost.amount]));
        // Specific lot and first in: 4 of the 10 t that cost 1,100. Moving average: 4 of 20 t that cost 2,600.
        expect(fed).toEqual({ 'specific-lot': '440.00', 'moving-average': '520.00', fifo: '440.00' });
        for (const { closing, feedByHerd, trialBalance } of answer.methods) {
          expect(closing.mass).toEqual({ value: '15', unit: 'ton' });
          expect(Number(closing.value.amount) + Number(feedByHerd[0]?.cost.amount)).toBeCloseTo(2600, 9);
          expect(trialBalance.totalDebit).toEqual(trialBalance.totalCredit);
        }
      },
    );
    it('cost of gain: 15,000 lb for 9,000 of feed and 12,650 in all are 0.60 and 0.843333 a pound', async () => {
      expect(await ask('cost-of-gain', EXAMPLES['cost-of-gain'])).toMatchObject({
        totalCost: usd('12650.00'),
        feedCostOfGain: { amount: '0.6', per: 'lb' },
        totalCostOfGain: { amount: '0.843333', per: 'lb' },
      });
    });
    it('what is layered by volume is turned by density and dry matter: 40·10·0.9 against 60·20·0.8', async () => {
      const layer = (name: string, sharePercent: number, density: number, dryMatterPercent: number) => ({
        name,
        sharePercent,
        density: { value: density, unit: 'lb/ft3' },
        dryMatterPercent,
      });
      const answer = await ask<{ layers: { asFedPercent: number; dryMatterPercent: number }[] }>('layer-shares', {
        basis: 'volume',
        layers: [layer('Coarse', 40, 10, 90), layer('Rich', 60, 20, 80)],
      });
      expect(answer.layers[0]?.asFedPercent).toBeCloseTo(25, 9);
      expect(answer.layers[0]?.dryMatterPercent).toBeCloseTo((100 * 360) / (360 + 960), 9);
    });
    it('the three templates are rules of thumb and say so', async () => {
      const { items } = (
        await client.get<{ items: { key: string; layers: { sharePercent: number }[]; source: string }[] }>(
          '/v1/calculations/layer-templates',
        )
      ).body;
      expect(
        Object.fromEntries(items.map(({ key, layers }) => [key, layers.map(({ sharePercent }) => sharePercent)])),
      ).toEqual({ general: [40, 35, 25], growing: [30, 45, 25], 'mid-gestation': [50, 25, 25] });
      expect(new Set(items.map(({ source }) => source))).toEqual(new Set(['common practice, no source']));
    });
  });

  describe('the ration', () => {
    it('least cost: meets what it was asked by the evaluation of the same ration', async () => {
      const answer = await ask<{
        status: string;
        layers: { role: string; parts: { lot: string; asFed: { value: string; unit: string } }[] }[];
      }>('least-cost-ration', EXAMPLES['least-cost-ration']);
      expect(answer.status).toBe('solved');
      const candidates = (EXAMPLES['least-cost-ration']?.['candidates'] ?? []) as { lot: { name: string } }[];
      const layers = answer.layers.map(({ role, parts }) => ({
        role,
        parts: parts.map(({ lot, asFed }) => ({ lot: candidates.find((one) => one.lot.name === lot)?.lot, asFed })),
      }));
      const judged = await ask<{
        requirement: Body;
        lines: { nutrient: string; supply: { value: number }; need: { value: number } }[];
      }>('evaluate-ration', { animal: DRY_COW, layers });
      for (const nutrient of ['calcium', 'phosphorus']) {
        const found = judged.lines.find((one) => one.nutrient === nutrient);
        expect(found?.supply.value).toBeGreaterThanOrEqual((found?.need.value ?? Infinity) * (1 - 1e-5));
      }
    });
    it('least cost: says which rows conflict when straw alone is on offer', async () => {
      const [straw] = (EXAMPLES['least-cost-ration']?.['candidates'] ?? []) as Body[];
      const answer = await ask<{ status: string; conflict: { row: string; words: string }[] }>(
        'least-cost-ration',
        example('least-cost-ration', { candidates: [straw], intakeCapPercent: 100 }),
      );
      expect(answer.status).toBe('infeasible');
      expect(answer.conflict.length).toBeGreaterThan(1);
      expect(answer.conflict.every(({ words }) => words.length > 0)).toBe(true);
    });
    it(
      'evaluation: names what rests on a book, and cautions ' + 'with number, threshold, source and whom to ask',
      async () => {
        const answer = await ask<{
          bookValues: { lot: string }[];
          cautions: { given: number; threshold: number; source: string; consult: string[] }[];
        }>('evaluate-ration', EXAMPLES['evaluate-ration']);
        expect(answer.bookValues.map(({ lot }) => lot)).toEqual(expect.arrayContaining(['Meadow', 'Straw']));
        expect(answer.cautions.length).toBeGreaterThan(0);
        for (const { given, threshold, source, consult } of answer.cautions) {
          expect(Number.isFinite(given) && Number.isFinite(threshold)).toBe(true);
          expect(source.length > 0 && consult.length > 0).toBe(true);
        }
      },
    );
    it('shares and weights of one ration are one ration', async () => {
      const lots = ((EXAMPLES['evaluate-ration']?.['layers'] ?? []) as { parts: { lot: Body }[] }[]).map(
        ({ parts }) => parts[0]?.lot,
      );
      const density = { value: 5, unit: 'lb/ft3' };
      const shared = await ask<{ lines: unknown; layers: unknown }>('evaluate-ration', {
        animal: DRY_COW,
        shares: {
          basis: 'as-fed',
          amount: { asFed: lb(28) },
          layers: ['coarse', 'rich', 'mixed'].map((role, place) => ({
            role,
            lot: lots[place],
            sharePercent: [25, 25, 50][place],
            density,
          })),
        },
      });
      const weighed = await ask<{ lines: unknown; layers: unknown }>('evaluate-ration', {
        animal: DRY_COW,
        layers: ['coarse', 'rich', 'mixed'].map((role, place) => ({
          role,
          parts: [{ lot: lots[place], asFed: lb([7, 7, 14][place] ?? 0) }],
        })),
      });
      expect(shared.layers).toEqual(weighed.layers);
    });
  });

  describe('the trial', () => {
    it('draws the same arms from the same seed, and lists nobody twice', async () => {
      const [one, other] = await Promise.all([
        ask<{ assignments: { animalId: string }[] }>('allocate-trial', EXAMPLES['allocate-trial']),
        ask<{ assignments: { animalId: string }[] }>('allocate-trial', EXAMPLES['allocate-trial']),
      ]);
      expect(one).toEqual(other);
      expect(new Set(one.assignments.map(({ animalId }) => animalId)).size).toBe(12);
    });
    it('judges by the interval in pounds, and says what it never can', async () => {
      const answer = await ask<{
        comparisons: {
          answer: { unit: string; difference: number; low: number; high: number };
          verdict: { verdict: string };
        }[];
        limits: string[];
      }>('judge-trial', EXAMPLES['judge-trial']);
      const [comparison] = answer.comparisons;
      expect(comparison?.answer.unit).toBe('lb/d');
      // The verdict claims what the interval allows: a side only where zero lies outside.
      const outside = (comparison?.answer.low ?? 0) > 0 || (comparison?.answer.high ?? 0) < 0;
      expect(comparison?.verdict.verdict === 'favours').toBe(outside);
      expect(answer.limits.join(' ')).toContain('other classes of cattle');
    });
    it('by Welch the difference is that of the mean gains: (357/6 − 305/6) lb over 30 days', async () => {
      const answer = await ask<{ comparisons: { answer: { difference: number } }[] }>(
        'judge-trial',
        example('judge-trial', { method: 'welch' }),
      );
      expect(answer.comparisons[0]?.answer.difference).toBeCloseTo((357 / 6 - 305 / 6) / 30, 9);
    });
  });

  describe('what is refused', () => {
    const badLot = {
      name: 'Stack',
      hayKind: 'meadow',
      balance: ton(10),
      storedOn: '2026-12-05',
      countedOn: '2026-12-01',
    };
    const cases: readonly (readonly [
      name: string,
      why: string,
      body: unknown,
      status: 400 | 422,
      pointer: string,
      allowed: RegExp,
    ])[] = [
      [
        'forage-value',
        'ADF above NDF',
        { acidDetergentFiberPercent: 50, neutralDetergentFiberPercent: 45 },
        422,
        '#/acidDetergentFiberPercent',
        /below/,
      ],
      [
        'forage-value',
        'no fiber at all',
        { acidDetergentFiberPercent: 30, neutralDetergentFiberPercent: 0 },
        400,
        '#/neutralDetergentFiberPercent',
        /more than 0/,
      ],
      [
        'forage-value',
        'a field that is not there',
        { acidDetergentFiberPercent: 30, neutralDetergentFiberPercent: 45, adf: 3 },
        400,
        '#/adf',
        /no field/,
      ],
      [
        'forage-value',
        'text for a number',
        { acidDetergentFiberPercent: 'thirty', neutralDetergentFiberPercent: 45 },
        400,
        '#/acidDetergentFiberPercent',
        /number/,
      ],
      [
        'lab-test-plausibility',
        'crude protein above 40 % of dry matter',
        { basis: 'as-received', analysis: { dryMatterPercent: 50, crudeProteinPercent: 30 } },
        422,
        '#/analysis/crudeProteinPercent',
        /0 to 40/,
      ],
      [
        'lab-test-plausibility',
        'no dry matter',
        { basis: 'dry-matter', analysis: { dryMatterPercent: 0 } },
        422,
        '#/analysis/dryMatterPercent',
        /above 0/,
      ],
      [
        'relative-forage-quality',
        'a grass equation that gives no intake',
        {
          intakeFrom: 'grass-equation',
          crudeProteinPercent: 1,
          acidDetergentFiberPercent: 75,
          totalDigestibleNutrientsPercent: 40,
        },
        422,
        '#/intakeFrom',
        /above 0/,
      ],
      [
        'energy-from-tdn',
        'two energies at once',
        { totalDigestibleNutrientsPercent: 55, netEnergyMaintenance: { value: 1, unit: 'Mcal/kg' } },
        400,
        '#/totalDigestibleNutrientsPercent',
        /one of/,
      ],
      [
        'tdn-estimate',
        'nothing an equation can use',
        { family: 'grass', analysis: { calciumPercent: 0.4 } },
        422,
        '#/analysis',
        /ADF/,
      ],
      [
        'dry-matter-basis',
        'dry matter above 100 %',
        { dryMatterPercent: 101, from: 'dry-matter' },
        400,
        '#/dryMatterPercent',
        /at most 100/,
      ],
      [
        'nutrient-price',
        'two currencies',
        {
          price: { amount: '100', currency: 'USD', per: 'ton' },
          dryMatterPercent: 88,
          nutrient: { name: 'TDN', percentOfDryMatter: 0 },
        },
        400,
        '#/nutrient/percentOfDryMatter',
        /more than 0/,
      ],
      [
        'delivered-cost',
        'money in two currencies',
        { price: { ...usd('100'), per: 'ton' }, bought: ton(10), freight: { amount: '100', currency: 'CAD' } },
        422,
        '#/freight/currency',
        /USD/,
      ],
      [
        'delivered-cost',
        'all of it lost',
        { price: { ...usd('100'), per: 'ton' }, bought: ton(10), storageLossPercent: 100 },
        400,
        '#/storageLossPercent',
        /less than 100/,
      ],
      [
        'bale-weight',
        'a layer thicker than the bale',
        example('bale-weight', { weatheredDepth: { value: 4, unit: 'ft' } }),
        400,
        '#/weatheredDepth',
        /half its diameter/,
      ],
      [
        'break-even-hay-price',
        'two feeds alike in energy and protein',
        {
          hay: { dryMatterPercent: 88, totalDigestibleNutrientsPercent: 55, crudeProteinPercent: 10 },
          feeds: [1, 2].map((one) => ({
            name: String(one),
            price: { ...usd('100'), per: 'ton' },
            dryMatterPercent: 88,
            totalDigestibleNutrientsPercent: 60,
            crudeProteinPercent: 12,
          })),
        },
        422,
        '#',
        /an answer/,
      ],
      [
        'landed-cost',
        'a price per bale without bales',
        { price: { basis: 'per-bale', ...usd('70') }, weightReceived: ton(10) },
        422,
        '#/bales',
        /given/,
      ],
      ['scale-ticket', 'a truck heavier empty', { gross: lb(30_000), tare: lb(40_000) }, 422, '#/tare/value', /below/],
      [
        'load-weight',
        'more weighed than there are',
        { bales: 3, weighed: { count: 5, mean: lb(1200), standardDeviation: lb(30) } },
        422,
        '#/weighed/count',
        /2 to 3/,
      ],
      [
        'costing-replay',
        'more fed than there is',
        {
          entries: [
            ...COSTING_ENTRIES,
            { id: 'too much', on: '2027-01-01', kind: 'feed', lotId: 'A', herdId: 'Cows', mass: ton(7) },
          ],
        },
        422,
        '#/entries/4/mass',
        /at most/,
      ],
      [
        'hay-need',
        'neither head nor head-days',
        { intake: { dryMatterPerHeadDay: lb(24) }, dryMatterPercent: 88 },
        400,
        '#/headDays',
        /head and days/,
      ],
      [
        'hay-budget',
        'counted before it was stored',
        example('hay-budget', { lots: [badLot] }),
        422,
        '#/lots/0/countedOn',
        /2026-12-05/,
      ],
      [
        'hay-budget',
        'shares that do not add up',
        example('hay-budget', {
          herds: [
            {
              name: 'Cows',
              headEvents: [{ day: '2026-12-01', kind: 'in', head: 10 }],
              intake: { dryMatterPerHeadDay: lb(24) },
              dryMatterPercent: 88,
              kinds: [{ hayKind: 'meadow', sharePercent: 90 }],
            },
          ],
        }),
        422,
        '#/herds/0/kinds',
        /1/,
      ],
      [
        'hay-budget',
        'a span that ends before it begins',
        example('hay-budget', { until: '2026-11-01' }),
        422,
        '#/until',
        /days after/,
      ],
      [
        'head-days',
        'more out than in',
        example('head-days', { events: [{ day: '2026-12-01', kind: 'out', head: 5 }] }),
        422,
        '#/events',
        /0 or more/,
      ],
      [
        'daily-gain',
        'no day between',
        { start: { day: '2027-01-01', weight: lb(550) }, end: { day: '2027-01-01', weight: lb(560) } },
        422,
        '#/end/day',
        /after/,
      ],
      ['herd-gain', 'head that does not tie', example('herd-gain', { flows: [] }), 422, '#/closing/head', /100/],
      [
        'cost-of-gain',
        'cattle that lost weight',
        example('cost-of-gain', { closing: { day: '2027-02-27', head: 100, totalWeight: lb(54_000) } }),
        422,
        '#/closing/totalWeight/value',
        /more than 0/,
      ],
      [
        'cost-of-gain',
        'a weighing too far off',
        example('cost-of-gain', { closing: { day: '2027-02-01', head: 100, totalWeight: lb(70_000) } }),
        422,
        '#/closing/day',
        /within 7 days/,
      ],
      [
        'feed-conversion',
        'more left than was fed',
        example('feed-conversion', { dryMatterRefused: lb(30_000) }),
        422,
        '#/dryMatterRefused',
        /no more/,
      ],
      ['value-of-gain', 'no gain', example('value-of-gain', { weightOut: lb(500) }), 422, '#/weightOut/value', /above/],
      [
        'adjusted-205-day-weight',
        'a dam of one year',
        example('adjusted-205-day-weight', { damAgeYears: 1 }),
        422,
        '#/damAgeYears',
        /2 or more/,
      ],
      ['tag-number', 'fourteen digits', { tagNumber: '84000312345678' }, 422, '#/tagNumber', /15 digits/],
      [
        'requirements',
        'a pregnant steer',
        { animal: { class: 'growing-calf', sex: 'steer', bodyWeight: lb(600), daysPregnant: 100 } },
        422,
        '#/animal/daysPregnant',
        /cows and heifers/,
      ],
      [
        'requirements',
        'a cow of ten pounds',
        { animal: { ...DRY_COW, bodyWeight: lb(10) } },
        422,
        '#/animal/bodyWeight/value',
        // 25 and 1,600 kg, rounded inward.
        /^55\.12 to 3527 lb$/,
      ],
      [
        'requirements',
        'a cow of ten kilograms',
        { animal: { ...DRY_COW, bodyWeight: { value: 10, unit: 'kg' } } },
        422,
        '#/animal/bodyWeight/value',
        /^25 to 1600 kg$/,
      ],
      [
        'requirements',
        'a pregnant cow without her days',
        { animal: { class: 'dry-pregnant-cow', sex: 'cow', bodyWeight: lb(1200) } },
        422,
        '#/animal/daysPregnant',
        /0 to 300/,
      ],
      [
        'requirements',
        'a wind beyond the earth',
        { animal: DRY_COW, weather: { temperature: { value: 0, unit: 'C' }, wind: { value: 250, unit: 'km/h' } } },
        400,
        '#/weather/wind/value',
        /^0 to 200 km\/h$/,
      ],
      [
        'requirements',
        'a wind beyond the earth, in miles',
        { animal: DRY_COW, weather: { temperature: { value: 0, unit: 'C' }, wind: { value: 130, unit: 'mph' } } },
        400,
        '#/weather/wind/value',
        /^0 to 124 mph$/,
      ],
      [
        'cold-stress',
        'a wind beyond the earth',
        { ...example('cold-stress'), wind: { value: 250, unit: 'km/h' } },
        400,
        '#/wind/value',
        /^0 to 200 km\/h$/,
      ],
      [
        'requirements',
        'a cold beyond the earth, in Fahrenheit',
        { animal: DRY_COW, weather: { temperature: { value: -90, unit: 'F' } } },
        422,
        '#/weather/temperature/value',
        // -60 and 55 °C are -76 and 131 °F.
        /^-76 to 131 °F$/,
      ],
      [
        'pregnancy-energy',
        'a pregnancy of two years',
        { calfBirthWeight: lb(85), daysPregnant: 700, efficiencyOfMaintenance: 0.576 },
        400,
        '#/daysPregnant',
        /at most 300/,
      ],
      [
        'gain-energy',
        'a loss of weight',
        example('gain-energy', { dailyGain: lb(-1) }),
        400,
        '#/dailyGain',
        /body reserves/,
      ],
      [
        'evaluate-ration',
        'a ration of nothing',
        {
          animal: DRY_COW,
          layers: [{ role: 'coarse', parts: [{ lot: { name: 'Meadow', hayKind: 'meadow' }, asFed: lb(0) }] }],
        },
        422,
        '#/layers',
        /at least one/,
      ],
      [
        'evaluate-ration',
        'a test that cannot be',
        {
          animal: DRY_COW,
          layers: [
            {
              role: 'coarse',
              parts: [
                {
                  lot: {
                    name: 'Meadow',
                    hayKind: 'meadow',
                    analysis: { dryMatterPercent: 88, acidDetergentFiberPercent: 60, neutralDetergentFiberPercent: 50 },
                  },
                  asFed: lb(20),
                },
              ],
            },
          ],
        },
        422,
        '#/layers/0/parts/0/lot/analysis/acidDetergentFiberPercent',
        /below/,
      ],
      [
        'least-cost-ration',
        'nothing with a price',
        { animal: DRY_COW, candidates: [{ lot: { name: 'Meadow', hayKind: 'meadow' }, role: 'mixed' }] },
        422,
        '#/candidates',
        /with a price/,
      ],
      [
        'layer-shares',
        'shares of 110 %',
        {
          basis: 'volume',
          layers: [
            { name: 'A', sharePercent: 60, form: 'loose-hay', dryMatterPercent: 88 },
            { name: 'B', sharePercent: 50, form: 'loose-hay', dryMatterPercent: 88 },
          ],
        },
        422,
        '#/layers',
        /add up/,
      ],
      [
        'two-sample-comparison',
        'arms without spread',
        { usual: { name: 'A', values: [1, 1] }, change: { name: 'B', values: [2, 2] } },
        422,
        '#',
        /an answer/,
      ],
      [
        'analysis-of-covariance',
        'a covariate that does not vary',
        {
          arms: ['A', 'B'].map((arm) => ({
            name: arm,
            rows: [1, 2, 3].map((response) => ({ covariate: 5, response })),
          })),
        },
        422,
        '#/design',
        /./,
      ],
      [
        'allocate-trial',
        'pens that do not fit the arms',
        example('allocate-trial', { penIds: ['1', '2', '3'] }),
        422,
        '#/penIds',
        /multiple of 2/,
      ],
      [
        'judge-trial',
        'an animal in an arm that is not there',
        example('judge-trial', {
          animals: [
            { id: 'x', armId: 'usual', weighings: [] },
            { id: 'y', armId: 'third', weighings: [] },
          ],
        }),
        422,
        '#/animals/1',
        /usual, layers/,
      ],
      [
        'stack-temperature',
        'a temperature without a unit',
        { temperature: { value: 150 } },
        400,
        '#/temperature/unit',
        /F, C/,
      ],
      [
        'hay-on-hand',
        'a bale without a unit',
        { bales: 10, baleWeight: { value: 1000 }, lossPercent: 5 },
        400,
        '#/baleWeight/unit',
        /lb/,
      ],
    ];
    it.each(
      cases.map(([name, why, body, status, pointer, allowed]) => [name, why, status, pointer, body, allowed] as const),
    )('%s: %s is a %d at %s', async (name, _why, status, pointer, body, allowed) => {
      const answer = await client.post<{
        type: string;
        errors: { pointer: string; given?: unknown; allowed: string; message: string }[];
      }>(`/v1/calculations/${name}`, body, { key: null });
      expect(answer.status).toBe(status);
      expect(answer.body.type).toBe(status === 400 ? '/problems/invalid-input' : '/problems/rule-broken');
      const found = answer.body.errors.find((error) => error.pointer === pointer);
      // All that was found, so that a failing case shows it.
      expect(found === undefined ? answer.body.errors : found.pointer).toEqual(pointer);
      expect(found?.allowed).toMatch(allowed);
    });

    /** Every number of a body in turn, replaced by what nobody measures. */
    function* spoilt(body: unknown, hostile: unknown, path: readonly (string | number)[] = []): Generator<unknown> {
      const at = path.reduce<unknown>((value, step) => (value as Record<string | number, unknown>)[step], body);
      if (typeof at === 'number' || (typeof at === 'string' && /^-?\d+(\.\d+)?$/.test(at))) {
        const copy = structuredClone(body);
        const holder = path
          .slice(0, -1)
          .reduce<unknown>((value, step) => (value as Record<string | number, unknown>)[step], copy) as Record<
          string | number,
          unknown
        >;
        const last = path.at(-1);
        if (last !== undefined) holder[last] = hostile;
        yield copy;
      } else if (typeof at === 'object' && at !== null) {
        // Of a long list the first two stand for all.
        const keys = Array.isArray(at) ? [...at.keys()].slice(0, 2) : Object.keys(at);
        for (const key of keys) yield* spoilt(body, hostile, [...path, key]);
      }
    }
    it.each(Object.keys(EXAMPLES).filter((name) => EXAMPLES[name] !== undefined))(
      '%s: a spoilt number is answered or refused, never a fault of the server',
      async (name) => {
        const bodies = [0, -7.5, 1e-9, 9_007_199_254_740_991].flatMap((hostile) => [
          ...spoilt(EXAMPLES[name], hostile),
        ]);
        const statuses = new Map<number, number>();
        for (const body of bodies) {
          const { status, text } = await client.post(`/v1/calculations/${name}`, body, { key: null });
          statuses.set(status, (statuses.get(status) ?? 0) + 1);
          if (![200, 400, 422].includes(status))
            throw new Error(`${status} to ${JSON.stringify(body)}\n${text.slice(0, 800)}`);
        }
        expect([...statuses.values()].reduce((sum, count) => sum + count, 0)).toBe(bodies.length);
      },
    );
  });
});
