/*
 * What was typed reads back exactly, value and unit. Every address that creates something and takes decimal figures is
 * asked with figures of odd scales; each figure of the body must stand in what is read back, digit for digit. The
 * second half walks the served description, so that a figure which nobody thought of here is missed aloud. Everything
 * here is invented.
 */
import { type Operation, operationWith } from '../support/people.js';
import { herd, lot, ranch, type WithId } from '../support/things.js';
import { LAB_NUTRIENTS, labReport } from '../../src/core/nutrients/nutrients.js';
import { openWorld, type World } from '../support/world.js';
import { planBody } from './trials/support.js';

type Body = Record<string, unknown>;
interface Case {
  operationId: string;
  path: string;
  /** Answers the body with this figure in it. */
  body: (figure: string) => Body;
  /** Where each figure is read back, and what must stand there. */
  reads: (figure: string) => Record<string, string>;
  figures?: readonly string[];
  /** Where to read, if not at the address that the answer names. */
  readAt?: (created: Body) => string;
}

const FIGURES = ['.5', '14', '14.0', '14.50'] as const;
/** A figure as large as cattle and bales are heavy, with these digits before it. */
const large = (first: string, figure: string): string => `${first}${figure.startsWith('.') ? '50' : ''}${figure}`;
/** No hay is as dry as half a percent. */
const damp = (figure: string): string => (figure.startsWith('.') ? `14${figure}` : figure);
const ton = (value: string): Body => ({ value, unit: 'ton' });
const lb = (value: string): Body => ({ value, unit: 'lb' });

let world: World;
let operation: Operation;
const ids = { ranchId: '', placeId: '', herdId: '', lotId: '', baledId: '', purchaseId: '' };
beforeAll(async () => {
  world = await openWorld();
  operation = await operationWith(world);
  ids.ranchId = await ranch(operation);
  ids.placeId = (
    await operation.as.manager.post<WithId>(
      operation.at('/places'),
      { ranchId: ids.ranchId, name: 'Trough', kind: 'pen' },
      { expect: 201 },
    )
  ).body.id;
  ids.herdId = await herd(operation, ids.ranchId);
  const large = await lot(operation, ids.ranchId, { name: 'Large', tons: '9000' });
  [ids.lotId, ids.purchaseId] = [large.lotId, large.purchaseId];
  ids.baledId = (await lot(operation, ids.ranchId, { name: 'Baled', tons: '900', baleCount: 1500 })).lotId;
});
afterAll(() => world.close());

let named = 0;
/** Every lot has a name of its own, as long as there is hay in the others. */
const nameOf = (what: string): string => `${what} ${(named += 1)}`;
const newLot = (): Body => ({
  name: nameOf('Typed'),
  ranchId: ids.ranchId,
  hayKind: 'meadow',
  baleForm: 'round',
  storageMethod: 'tarp',
});
/** The three ways in which the weight of a load is told, and where each is read. */
const WEIGHTS: readonly [string, (figure: string) => Body, (figure: string) => Record<string, string>][] = [
  [
    'net',
    (figure) => ({ weight: { basis: 'net', net: ton(figure) } }),
    (figure) => ({ 'weight.value': figure, 'weight.typed.value': figure, 'weightTyped.net.value': figure }),
  ],
  [
    'scale ticket',
    (figure) => ({ weight: { basis: 'scale-ticket', gross: ton(`3${figure}`), tare: { value: figure, unit: 't' } } }),
    (figure) => ({
      'weightTyped.gross.value': `3${figure}`,
      'weightTyped.tare.value': figure,
      'weightTyped.tare.unit': 't',
    }),
  ],
  [
    'weighed bales',
    (figure) => ({
      baleCount: 40,
      weight: {
        basis: 'weighed-bales',
        meanBaleWeight: lb(large('12', figure)),
        balesWeighed: 12,
        standardDeviation: { value: figure, unit: 'kg' },
      },
    }),
    (figure) => ({
      'weightTyped.meanBaleWeight.value': large('12', figure),
      'weighing.meanBaleWeight.value': large('12', figure),
      'weightTyped.standardDeviation.value': figure,
      'weightTyped.standardDeviation.unit': 'kg',
    }),
  ],
];
const withoutWeighing = (reads: Record<string, string>): Record<string, string> =>
  Object.fromEntries(Object.entries(reads).filter(([path]) => !path.startsWith('weighing.')));
const DRAWS: readonly [string, (figure: string) => Body, (figure: string) => Record<string, string>][] = [
  [
    'weight',
    (figure) => ({ weight: lb(figure) }),
    (figure) => ({ 'quantityTyped.weight.value': figure, 'weight.typed.value': figure }),
  ],
  [
    'gross and tare',
    (figure) => ({ gross: lb(`3${figure}`), tare: lb(figure) }),
    (figure) => ({ 'quantityTyped.gross.value': `3${figure}`, 'quantityTyped.tare.value': figure }),
  ],
  [
    'bales',
    (figure) => ({ bales: figure }),
    (figure) => ({ 'quantityTyped.bales': figure, 'weight.typed.value': figure, 'weight.typed.unit': 'bale' }),
  ],
];
const price = (figure: string): Body => ({ basis: 'per-mass', amount: figure, per: 'ton' });

const CASES: readonly Case[] = [
  {
    operationId: 'createHerd',
    path: '/herds',
    reads: (figure) => ({
      'bodyWeight.typed.value': large('5', figure),
      'matureWeight.typed.value': large('13', figure),
      'peakMilk.typed.value': figure,
      'targetDailyGain.typed.value': `0.${figure.replace('.', '')}`,
    }),
    body: (figure) => ({
      name: 'Typed',
      ranchId: ids.ranchId,
      cattleClass: 'growing-calf',
      sex: 'steer',
      bodyWeight: lb(large('5', figure)),
      matureWeight: lb(large('13', figure)),
      peakMilk: lb(figure),
      targetDailyGain: lb(`0.${figure.replace('.', '')}`),
    }),
  },
  {
    operationId: 'createHerd',
    path: '/herds',
    figures: ['5', '5.0', '5.5'],
    reads: (figure) => ({ bodyCondition: figure }),
    body: (figure) => ({
      name: 'Scored',
      ranchId: ids.ranchId,
      cattleClass: 'growing-calf',
      sex: 'steer',
      bodyWeight: lb('550'),
      bodyCondition: figure,
    }),
  },
  {
    operationId: 'createHeadChange',
    path: '/herds/:herdId/head-changes',
    readAt: () => '',
    reads: (figure) => ({ 'meanWeight.typed.value': large('5', figure) }),
    body: (figure) => ({ kind: 'in', head: 1, happenedOn: '2026-12-01', meanWeight: lb(large('5', figure)) }),
  },
  {
    operationId: 'createHeadChange',
    path: '/herds/:herdId/head-changes',
    reads: (figure) => ({ 'price.amount': figure, 'price.pencilShrinkPercent': figure }),
    body: (figure) => ({
      kind: 'in',
      head: 1,
      happenedOn: '2026-12-01',
      meanWeight: lb('600'),
      price: { basis: 'per-mass', amount: figure, per: 'lb', pencilShrinkPercent: figure },
    }),
  },
  {
    operationId: 'priceHeadChange',
    path: '/herds/:herdId/head-changes/:unpricedChangeId/price',
    reads: (figure) => ({ 'price.amount': figure, 'price.pencilShrinkPercent': figure }),
    body: (figure) => ({ price: { basis: 'per-mass', amount: figure, per: 'lb', pencilShrinkPercent: figure } }),
  },
  {
    operationId: 'createBudgetEntry',
    path: '/budget-entries',
    reads: (figure) => ({ amountTyped: figure }),
    body: (figure) => ({ herdId: ids.herdId, month: '2026-12', line: 'hay', amount: figure }),
  },
  {
    operationId: 'createHerdCost',
    path: '/herd-costs',
    reads: (figure) => ({ amountTyped: figure }),
    body: (figure) => ({
      herdId: ids.herdId,
      kind: 'veterinary',
      happenedOn: '2026-12-01',
      payee: 'A veterinarian',
      amount: figure,
    }),
  },
  {
    operationId: 'createLateCost',
    path: '/late-costs',
    reads: (figure) => ({ amountTyped: figure }),
    body: (figure) => ({
      receipt: { kind: 'hay-purchase', id: ids.purchaseId },
      billedOn: '2026-12-20',
      owed: 'freight',
      biller: 'A hauler',
      amount: figure,
    }),
  },
  {
    operationId: 'createHerdEvent',
    path: '/herds/:herdId/events',
    figures: ['5', '5.0', '5.5'],
    reads: (figure) => ({ score: figure }),
    body: (figure) => ({ kind: 'condition', happenedOn: '2026-12-01', score: figure }),
  },
  {
    operationId: 'createHerdEvent',
    path: '/herds/:herdId/events',
    reads: (figure) => ({ 'weight.typed.value': large('5', figure) }),
    body: (figure) => ({ kind: 'weight', happenedOn: '2026-12-01', weight: lb(large('5', figure)) }),
  },
  {
    operationId: 'createHerdEvent',
    path: '/herds/:herdId/events',
    reads: (figure) => ({ 'dailyGain.typed.value': `0.${figure.replace('.', '')}` }),
    body: (figure) => ({
      kind: 'target-gain',
      happenedOn: '2026-12-01',
      dailyGain: lb(`0.${figure.replace('.', '')}`),
    }),
  },
  {
    operationId: 'createPlace',
    path: '/places',
    reads: (figure) => ({ 'bunkLength.value': figure }),
    body: (figure) => ({
      ranchId: ids.ranchId,
      name: `Bunk ${figure}`,
      kind: 'bunk-line',
      bunkLength: { value: figure, unit: 'ft' },
    }),
  },
  ...WEIGHTS.flatMap(([, weight, reads]): Case[] => [
    {
      operationId: 'createHayPurchase',
      path: '/hay-purchases',
      reads: (figure) => ({
        ...reads(figure),
        moisturePercent: damp(figure),
        'price.amount': figure,
        freightTyped: figure,
        chargesTyped: `2${figure}`,
      }),
      body: (figure) => ({
        freight: figure,
        charges: `2${figure}`,
        vendor: 'A neighbor',
        purchasedOn: '2026-11-01',
        lot: newLot(),
        price: price(figure),
        moisturePercent: damp(figure),
        ...weight(figure),
      }),
    },
    {
      operationId: 'createHarvest',
      path: '/harvests',
      reads: (figure) => ({ ...reads(figure), moisturePercent: damp(figure), 'cost.amount': figure }),
      body: (figure) => ({
        harvestedOn: '2026-07-01',
        lot: newLot(),
        cost: price(figure),
        moisturePercent: damp(figure),
        ...weight(figure),
      }),
    },
    {
      operationId: 'createHayQuote',
      path: '/hay-quotes',
      reads: (figure) => ({
        ...withoutWeighing(reads(figure)),
        'price.amount': figure,
        freightTyped: figure,
        chargesTyped: `2${figure}`,
      }),
      body: (figure) => ({
        freight: figure,
        charges: `2${figure}`,
        vendor: 'A dealer',
        offeredOn: '2027-01-10',
        name: 'On offer',
        hayKind: 'alfalfa',
        baleForm: 'round',
        price: price(figure),
        ...weight(figure),
      }),
    },
    {
      operationId: 'purchaseFromHayQuote',
      path: '/hay-quotes/:newHayQuoteId/purchase',
      reads: (figure) => ({
        ...reads(figure),
        moisturePercent: damp(figure),
        freightTyped: figure,
        chargesTyped: `2${figure}`,
      }),
      body: (figure) => ({
        freight: figure,
        charges: `2${figure}`,
        purchasedOn: '2027-01-12',
        lot: { ranchId: ids.ranchId, storageMethod: 'tarp' },
        moisturePercent: damp(figure),
        ...weight(figure),
      }),
    },
  ]),
  ...DRAWS.flatMap(([name, draw, reads]): Case[] => [
    {
      operationId: 'createHaySale',
      path: '/hay-sales',
      reads: (figure) => ({
        ...reads(figure),
        'price.amount': figure,
        ...(name === 'bales' ? { baleCount: figure } : {}),
      }),
      body: (figure) => ({
        hayLotId: ids.baledId,
        buyer: 'A neighbor',
        soldOn: '2026-12-05',
        quantity: draw(figure),
        price: price(figure),
      }),
    },
    {
      operationId: 'createHayTransfer',
      path: '/hay-transfers',
      reads: (figure) => ({ ...reads(figure), ...(name === 'bales' ? { baleCount: figure } : {}) }),
      body: (figure) => ({
        fromLotId: ids.baledId,
        to: { name: nameOf('Hauled'), ranchId: ids.ranchId },
        movedOn: '2026-12-05',
        quantity: draw(figure),
      }),
    },
    {
      operationId: 'createStorageShrink',
      path: '/storage-shrinks',
      reads,
      body: (figure) => ({
        hayLotId: ids.baledId,
        lostOn: '2026-12-05',
        how: { basis: 'weighed', quantity: draw(figure) },
      }),
    },
  ]),
  ...[
    ['weight', (figure: string) => ({ weight: ton(`8${figure}`) }), (figure: string) => `8${figure}`],
    ['bales', (figure: string) => ({ bales: `1${figure}` }), (figure: string) => `1${figure}`],
  ].flatMap((one): Case[] => {
    const [, counted, shown] = one as [string, (figure: string) => Body, (figure: string) => string];
    const read = (figure: string): Record<string, string> => ({ 'counted.typed.value': shown(figure) });
    const at = (created: Body): string => {
      const { countId, countIds } = created as { countId?: string; countIds?: string[] };
      return operation.at(`/stock-counts/${countId ?? countIds?.[0] ?? ''}`);
    };
    const confirmed = (figure: string): Body => ({ counted: counted(figure), reason: 'Counted' });
    return [
      {
        operationId: 'createStockCount',
        path: '/stock-counts',
        reads: read,
        body: (figure) => ({ hayLotId: ids.baledId, countedOn: '2026-12-10', ...confirmed(figure) }),
      },
      {
        operationId: 'createHaySale',
        path: '/hay-sales',
        reads: read,
        readAt: at,
        body: (figure) => ({
          hayLotId: ids.baledId,
          buyer: 'A neighbor',
          soldOn: '2026-12-11',
          quantity: { weight: lb('2') },
          price: { basis: 'lump-sum', amount: '1' },
          confirmedCount: confirmed(figure),
        }),
      },
      {
        operationId: 'createHayTransfer',
        path: '/hay-transfers',
        reads: read,
        readAt: at,
        body: (figure) => ({
          fromLotId: ids.baledId,
          to: { name: nameOf('Hauled'), ranchId: ids.ranchId },
          movedOn: '2026-12-12',
          quantity: { weight: lb('2') },
          confirmedCount: confirmed(figure),
        }),
      },
      {
        operationId: 'createFeeding',
        path: '/feedings',
        reads: read,
        readAt: at,
        body: (figure) => ({
          herdId: ids.herdId,
          fedOn: '2026-12-13',
          method: 'windrow-on-ground',
          layers: [{ role: 'mixed', parts: [{ hayLotId: ids.baledId, weight: lb('2') }] }],
          confirmedCounts: [{ hayLotId: ids.baledId, ...confirmed(figure) }],
        }),
      },
    ];
  }),
  {
    operationId: 'createFeeding',
    path: '/feedings',
    reads: (figure) => ({
      'layers.0.parts.0.weight.typed.value': `9${figure}`,
      'layers.1.parts.0.weight.typed.value': figure,
      'layers.1.parts.0.weight.typed.unit': 'bale',
      'refused.typed.value': figure,
      'wasted.typed.value': figure,
    }),
    body: (figure) => ({
      herdId: ids.herdId,
      // So many bales are all that the herd can be laid on a day.
      fedOn: { '14': '2026-12-14', '14.0': '2026-12-15' }[figure] ?? '2026-12-16',
      method: 'windrow-on-ground',
      layers: [
        { role: 'coarse', parts: [{ hayLotId: ids.lotId, weight: lb(`9${figure}`) }] },
        { role: 'mixed', parts: [{ hayLotId: ids.baledId, bales: figure }] },
      ],
      refused: lb(figure),
      wasted: lb(figure),
    }),
  },
  { operationId: 'createLabTest', path: '/lab-tests', figures: ['14', '14.0', '14.50'], ...labCase() },
  { operationId: 'createLabTest', path: '/lab-tests', figures: ['14', '14.0', '14.50'], ...labCase({ label: true }) },
  {
    operationId: 'createWeighIn',
    path: '/weigh-ins',
    reads: (figure) => ({ 'meanWeight.typed.value': large('5', figure), shrinkPercent: figure, hoursOffFeed: figure }),
    body: (figure) => ({
      herdId: ids.herdId,
      weighedOn: '2026-12-15',
      scope: 'group',
      fill: 'shrunk',
      shrinkPercent: figure,
      hoursOffFeed: figure,
      head: 10,
      measure: 'mean',
      weight: lb(large('5', figure)),
    }),
  },
  {
    operationId: 'createWeighIn',
    path: '/weigh-ins',
    reads: (figure) => ({ 'animals.0.weight.typed.value': large('5', figure) }),
    body: (figure) => ({
      herdId: ids.herdId,
      weighedOn: '2026-12-16',
      scope: 'animal',
      fill: 'full',
      animals: [{ visualTag: 'K 1', weight: lb(large('5', figure)) }],
    }),
  },
  {
    operationId: 'createStorageMeasurement',
    path: '/storage-measurements',
    figures: ['0.14', '0.140', '0.1450'],
    readAt: () => '',
    reads: (figure) => ({ seasonShare: figure }),
    body: (figure) => ({ storageMethod: 'tarp', measuredOn: '2026-05-01', seasonShare: figure, how: 'Weighed' }),
  },
  {
    operationId: 'createYardageRate',
    path: '/yardage-rates',
    reads: (figure) => ({ 'perHeadDay.amount': figure }),
    body: (figure) => ({ fromOn: '2026-11-01', perHeadDay: figure }),
  },
  {
    operationId: 'createRation',
    path: '/rations',
    reads: (figure) => ({
      'amount.weight.typed.value': figure,
      wastedPercent: figure,
      'layers.0.parts.0.sharePercent': figure,
    }),
    body: (figure) => ({
      herdId: ids.herdId,
      name: 'Typed',
      basis: 'as-fed',
      amount: { weight: lb(figure), basis: 'as-fed' },
      wastedPercent: figure,
      layers: [
        { role: 'coarse', parts: [{ hayLotId: ids.lotId, sharePercent: figure }] },
        { role: 'mixed', parts: [{ hayLotId: ids.baledId, sharePercent: String(100 - Number(figure)) }] },
      ],
    }),
  },
  {
    operationId: 'createRation',
    path: '/rations',
    reads: (figure) => ({ 'layers.0.parts.0.weight.value': figure }),
    body: (figure) => ({
      herdId: ids.herdId,
      name: 'Typed by weight',
      basis: 'as-fed',
      layers: [{ role: 'coarse', parts: [{ hayLotId: ids.lotId, weight: { value: figure, unit: 'oz' } }] }],
    }),
  },
  {
    operationId: 'createWaterCheck',
    path: '/water-checks',
    reads: (figure) => ({
      'flow.value': figure,
      'tank.value': figure,
      dissolvedSolidsMgPerL: figure,
      sulfateMgPerL: figure,
    }),
    body: (figure) => ({
      placeId: ids.placeId,
      source: 'Trough',
      checkedOn: '2027-01-11',
      state: 'open',
      flow: { value: figure, unit: 'gal/min' },
      tank: { value: figure, unit: 'gal' },
      dissolvedSolidsMgPerL: figure,
      sulfateMgPerL: figure,
    }),
  },
  {
    operationId: 'createHayObservation',
    path: '/hay-observations',
    reads: (figure) => ({
      'probe.temperature.value': figure,
      'probe.depth.value': figure,
      moisturePercent: damp(figure),
    }),
    body: (figure) => ({
      hayLotId: ids.lotId,
      seenOn: '2027-01-11',
      probe: { temperature: { value: figure, unit: 'F' }, depth: { value: figure, unit: 'in' } },
      moisturePercent: damp(figure),
    }),
  },
  {
    operationId: 'createWeatherDay',
    path: '/weather-days',
    reads: (figure) => ({ 'meanTemperature.value': figure, 'wind.value': figure, 'mudDepth.value': figure }),
    body: (figure) => ({
      ranchId: ids.ranchId,
      onDay: '2027-01-11',
      meanTemperature: { value: figure, unit: 'F' },
      wind: { value: figure, unit: 'mph' },
      mudDepth: { value: figure, unit: 'in' },
    }),
  },
  {
    operationId: 'createHayBudgetPlan',
    path: '/hay-budget-plans',
    figures: ['4', '4.0', '4.50'],
    reads: (figure) => ({
      'plan.herds.0.intake.percent': figure,
      'plan.herds.0.intake.bodyWeight.value': large('5', figure),
      'plan.herds.0.dryMatterPercent': `8${figure}`,
      'plan.herds.0.waste.percent': figure,
      'plan.herds.0.kinds.0.percent': figure,
      'plan.storageLosses.0.percent': figure,
      'prices.0.amount': `15${figure}`,
    }),
    body: (figure) => ({
      name: 'Typed',
      from: '2027-01-20',
      until: '2027-03-31',
      storageLosses: [{ storageMethod: 'tarp', percent: figure, how: 'Weighed' }],
      prices: [{ hayKind: 'meadow', amount: `15${figure}`, per: 'ton' }],
      herds: [
        {
          herdId: ids.herdId,
          intake: { basis: 'percent-of-body-weight', percent: figure, bodyWeight: lb(large('5', figure)) },
          dryMatterPercent: `8${figure}`,
          waste: { basis: 'stated', percent: figure },
          kinds: [
            { hayKind: 'meadow', percent: figure },
            { hayKind: 'alfalfa', percent: String(100 - Number(figure)) },
          ],
        },
      ],
    }),
  },
  {
    operationId: 'createHayBudgetPlan',
    path: '/hay-budget-plans',
    reads: (figure) => ({ 'plan.herds.0.intake.dryMatter.value': figure }),
    body: (figure) => ({
      name: 'Typed',
      from: '2027-01-20',
      until: '2027-03-31',
      herds: [{ herdId: ids.herdId, intake: { basis: 'stated', dryMatter: lb(figure) } }],
    }),
  },
  {
    operationId: 'createTrial',
    path: '/trials',
    figures: ['0.14', '0.140', '0.1450'],
    reads: (figure) => ({
      'plan.worthwhileDifference.typed.value': figure,
      'plan.spread.perDay.typed.value': figure,
      'plan.penToPenSpread.typed.value': figure,
      'plan.weighingSpread.typed.value': figure,
    }),
    body: (figure) =>
      planBody(ids.herdId, {
        worthwhileDifference: lb(figure),
        spread: { from: 'stated', perDay: lb(figure), source: 'Told' },
        penToPenSpread: lb(figure),
        weighingSpread: lb(figure),
      }),
  },
];

function labCase({ label = false } = {}): Pick<Case, 'body' | 'reads'> {
  // Figures that can be true together: each value begins with its own digits and ends with those asked for.
  const begins: Partial<Record<string, string>> = {
    dryMatter: '8',
    acidDetergentFiber: '3',
    neutralDetergentFiber: '5',
    ashFreeNeutralDetergentFiber: '4',
    degradableProtein: '6',
    totalDigestibleNutrients: '5',
    fiberDigestibility48h: '5',
    relativeFeedValue: '1',
    relativeForageQuality: '1',
    nitrate: '2',
  };
  const small: ReadonlySet<string> = new Set([
    'calcium',
    'phosphorus',
    'magnesium',
    'potassium',
    'sulfur',
    'sodium',
    'fat',
    'lignin',
    'ash',
    'nonFiberCarbohydrate',
    'netEnergyMaintenance',
    'netEnergyGain',
  ]);
  const told = (name: string, figure: string): string => {
    const last = figure.replace(/^1/, '');
    if (name === 'crudeProtein') return `1${last}`;
    if (name === 'netEnergyMaintenance') return `1.${figure.replace('.', '')}`;
    return small.has(name) ? `0.${figure.replace('.', '')}` : `${begins[name] ?? '1'}${last}`;
  };
  return {
    body: (figure) => ({
      hayLotId: ids.lotId,
      lab: 'Forage laboratory',
      reportNumber: nameOf('F'),
      sampledOn: '2026-11-05',
      method: label ? 'label' : 'near-infrared',
      basis: 'dry-matter',
      analysis: Object.fromEntries(
        LAB_NUTRIENTS.map((name) => [
          name,
          {
            value: told(name, figure),
            unit: Object.keys(labReport(name).typedIn)[0],
            ...(label ? { maximum: told(name, figure) } : {}),
          },
        ]),
      ),
    }),
    reads: (figure) =>
      Object.fromEntries(
        LAB_NUTRIENTS.map((name) => [`analysis.${name}.${label ? 'maximum' : 'value'}`, told(name, figure)]),
      ),
  };
}

const at = (body: unknown, path: string): unknown =>
  path.split('.').reduce<unknown>((inner, key) => (inner as Record<string, unknown> | null | undefined)?.[key], body);

async function addressOf({ path }: Case): Promise<string> {
  if (path.includes(':unpricedChangeId')) {
    const changes = operation.at(`/herds/${ids.herdId}/head-changes`);
    const change = { kind: 'in', head: 1, happenedOn: '2026-12-01', meanWeight: lb('600') };
    const { id } = (await operation.as.manager.post<WithId>(changes, change, { expect: 201 })).body;
    return operation.at(path.replace(':herdId', ids.herdId).replace(':unpricedChangeId', id));
  }
  if (!path.includes(':newHayQuoteId')) return operation.at(path.replace(':herdId', ids.herdId));
  const { id } = (
    await operation.as.manager.post<WithId>(
      operation.at('/hay-quotes'),
      {
        vendor: 'A dealer',
        offeredOn: '2027-01-10',
        name: nameOf('To be bought'),
        hayKind: 'meadow',
        baleForm: 'round',
        weight: { basis: 'net', net: ton('24') },
        price: price('150'),
      },
      { expect: 201 },
    )
  ).body;
  return operation.at(path.replace(':newHayQuoteId', id));
}

describe('a figure that was typed', () => {
  it.each(CASES.map((one) => [one.operationId, Object.keys(one.reads('14')).join(', '), one] as const))(
    '%s: %s',
    async (_operationId, _reads, one) => {
      for (const figure of one.figures ?? FIGURES) {
        const created = await operation.as.owner.post<Body>(await addressOf(one), one.body(figure), { expect: 201 });
        const read = one.readAt?.(created.body) ?? String(created.headers['location']);
        const seen =
          read === ''
            ? created.body
            : (await operation.as.owner.get<Body>(read.replace(/^https?:\/\/[^/]+/, ''), { expect: 200 })).body;
        const expected = one.reads(figure);
        expect(Object.fromEntries(Object.keys(expected).map((path) => [path, at(seen, path)]))).toEqual(expected);
      }
    },
  );
});

it('freight and charges of an offer are carried over as they were typed, and none is none', async () => {
  const { owner } = operation.as;
  const offer = { vendor: 'A dealer', offeredOn: '2027-01-10', hayKind: 'meadow', baleForm: 'round' };
  const quote = await owner.post<WithId>(
    operation.at('/hay-quotes'),
    {
      ...{ ...offer, name: nameOf('Carried'), weight: { basis: 'net', net: ton('24') }, price: price('150') },
      freight: '480',
    },
    { expect: 201 },
  );
  const bought = await owner.post<Body>(
    operation.at(`/hay-quotes/${quote.body.id}/purchase`),
    { purchasedOn: '2027-01-12', lot: { ranchId: ids.ranchId, storageMethod: 'tarp' } },
    { expect: 201 },
  );
  expect(bought.body).toMatchObject({
    ...{ freight: { amount: '480.00' }, freightTyped: '480' },
    ...{ charges: { amount: '0.00' }, chargesTyped: null },
  });
  // Whoever sees no prices sees none of it.
  const hidden = await operation.as.hand.get(operation.at(`/hay-purchases/${String(bought.body['id'])}`), {
    expect: 200,
  });
  expect(hidden.body).toMatchObject({ freight: null, freightTyped: null, chargesTyped: null });
});

it('half of something is ".5" in a file as in a body, and "5." is no whole figure', async () => {
  const { manager } = operation.as;
  const csv = { headers: { 'Content-Type': 'text/csv' } };
  const file = (weight: string) =>
    `vendor,purchased_on,lot,net_weight_ton,price_usd_per_ton\nNeighbor,2026-12-15,Large,${weight},.85\n`;
  const taken = await manager.post<WithId>(operation.at('/imports/hay-tickets'), file('.5'), { ...csv, expect: 201 });
  expect(taken.body.id).toBeDefined();
  const { body } = await manager.get<{ items: Body[] }>(operation.at('/hay-purchases'), {
    query: { hayLotId: ids.lotId, limit: '200' },
    expect: 200,
  });
  const entered = body.items.find((one) => at(one, 'vendor') === 'Neighbor');
  expect([at(entered ?? {}, 'weight.typed.value'), at(entered ?? {}, 'price.amount')]).toEqual(['.5', '.85']);
  const { text } = await manager.get(operation.at('/hay-purchases'), {
    query: { hayLotId: ids.lotId, format: 'csv' },
    expect: 200,
  });
  expect(text).toMatch(/,\.5,/);
  expect(text).toMatch(/,\.85,/);
  for (const value of ['5.', '.', '-.', '1,5', '+.5'])
    await manager.post(
      operation.at('/hay-purchases'),
      {
        vendor: 'Neighbor',
        purchasedOn: '2026-12-15',
        lot: { id: ids.lotId },
        weight: { basis: 'net', net: ton(value) },
        price: price('150'),
      },
      { expect: 400 },
    );
});

describe('the description', () => {
  /** Figures that are not read back as they were typed, and why. */
  const OTHERWISE: Readonly<Record<string, string>> = {
    'judgeTrial valueOfGain.amount': 'asked in test/api/trials/judge.test.ts, where a trial runs',
    'judgeTrial valueOfCattle.amount': 'asked in test/api/trials/judge.test.ts, where a trial runs',
    'confirmFeedSheet balesOpened.0.bales': 'a count beside the feeding, read as a number',
    'confirmFeedSheet differences.0.weight.value': 'stands in the feeding that the confirmation makes',
    'confirmFeedSheet differences.0.bales': 'stands in the feeding that the confirmation makes',
    'confirmFeedSheet refused.value': 'stands in the feeding that the confirmation makes',
    'confirmFeedSheet wasted.value': 'stands in the feeding that the confirmation makes',
  };

  interface Schema {
    $ref?: string;
    type?: string;
    pattern?: string;
    anyOf?: Schema[];
    oneOf?: Schema[];
    allOf?: Schema[];
    properties?: Record<string, Schema>;
    items?: Schema;
  }
  interface Described {
    paths: Record<
      string,
      Record<
        string,
        {
          operationId: string;
          responses: Record<string, unknown>;
          requestBody?: { content: Record<string, { schema: Schema }> };
        }
      >
    >;
  }

  it('names no decimal figure of a creating address that is not asked above', async () => {
    const described = (await world.anyone.get<Described & Record<string, unknown>>('/openapi.json', { expect: 200 }))
      .body;
    const found: string[] = [];
    const walk = (schema: Schema | undefined, path: string, into: Set<string>): void => {
      if (schema === undefined) return;
      if (schema.$ref !== undefined)
        return walk(
          schema.$ref
            .slice(2)
            .split('/')
            .reduce<unknown>((inner, key) => (inner as Record<string, unknown>)[key], described) as Schema,
          path,
          into,
        );
      const choices = [...(schema.anyOf ?? []), ...(schema.oneOf ?? []), ...(schema.allOf ?? [])];
      if (
        choices.some((one) => one.type === 'string' && one.pattern?.includes('\\d') === true) &&
        choices.some((one) => one.type === 'number')
      )
        return void into.add(path);
      for (const one of choices) walk(one, path, into);
      for (const [key, one] of Object.entries(schema.properties ?? {}))
        walk(one, path === '' ? key : `${path}.${key}`, into);
      walk(schema.items, `${path}.0`, into);
    };
    for (const [path, methods] of Object.entries(described.paths)) {
      for (const [method, { operationId, responses, requestBody }] of Object.entries(methods)) {
        if (method !== 'post' || !('201' in responses) || path.startsWith('/v1/calculations')) continue;
        const into = new Set<string>();
        walk(requestBody?.content['application/json']?.schema, '', into);
        // A correction enters what it is given through the creating address's own service.
        const entered = (one: string): string =>
          one.startsWith('entry.')
            ? `${operationId.replace(/^correct/, 'create')} ${one.slice('entry.'.length)}`
            : `${operationId} ${one}`;
        found.push(...[...into].map(entered));
      }
    }
    const asked = new Set<string>(Object.keys(OTHERWISE));
    const leaves = (value: unknown, path: string): string[] =>
      typeof value === 'object' && value !== null
        ? Object.entries(value).flatMap(([key, inner]) => leaves(inner, `${path}.${/^\d+$/.test(key) ? '0' : key}`))
        : [path.slice(1)];
    for (const one of CASES)
      for (const leaf of leaves(one.body(one.figures?.[0] ?? '14'), '')) asked.add(`${one.operationId} ${leaf}`);
    expect(found.length).toBeGreaterThan(80);
    expect(found.filter((one) => !asked.has(one))).toEqual([]);
    expect(Object.keys(OTHERWISE).filter((one) => !found.includes(one))).toEqual([]);
  });
});
