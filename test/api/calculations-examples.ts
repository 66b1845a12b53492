/** One thing that can be asked of every calculation. Invented, but for what a test says otherwise. */
type Body = Record<string, unknown>;

const lb = (value: number) => ({ value, unit: 'lb' });
const ton = (value: number) => ({ value, unit: 'ton' });
const usd = (amount: string) => ({ amount, currency: 'USD' });
const perTon = (amount: string) => ({ ...usd(amount), per: 'ton' });

const meadow = { name: 'Meadow', hayKind: 'meadow', price: perTon('110') };
const alfalfa = { name: 'Alfalfa', hayKind: 'alfalfa', price: perTon('190'), analysis: { dryMatterPercent: 89, crudeProteinPercent: 18, acidDetergentFiberPercent: 35, neutralDetergentFiberPercent: 44, calciumPercent: 1.3, phosphorusPercent: 0.24 } };
const straw = { name: 'Straw', hayKind: 'wheat-straw', price: perTon('60') };
export const DRY_COW = { class: 'dry-pregnant-cow', sex: 'cow', bodyWeight: lb(1250), daysPregnant: 200, bodyCondition: 5 };

export const COSTING_ENTRIES = [
  { id: 'first', on: '2026-08-01', kind: 'purchase', lotId: 'A', hayKind: 'meadow', mass: ton(10), cost: '1000.00', freight: '100.00' },
  { id: 'second', on: '2026-09-01', kind: 'purchase', lotId: 'B', hayKind: 'meadow', mass: ton(10), cost: '1500.00' },
  { id: 'fed', on: '2026-12-01', kind: 'feed', lotId: 'A', herdId: 'Cows', mass: ton(4) },
  { id: 'lost', on: '2026-12-15', kind: 'shrink', lotId: 'B', mass: ton(1), treatment: 'into-unit-cost' },
];

const gains: readonly (readonly [string, string, number, number])[] = [
  ['1', 'usual', 541, 588], ['2', 'usual', 556, 610], ['3', 'usual', 563, 612], ['4', 'usual', 572, 629], ['5', 'usual', 580, 630], ['6', 'usual', 549, 597],
  ['7', 'layers', 543, 602], ['8', 'layers', 551, 607], ['9', 'layers', 560, 622], ['10', 'layers', 575, 633], ['11', 'layers', 583, 641], ['12', 'layers', 547, 611],
];
const trialContext = { classOfAnimals: 'weaned steers', season: 'winter', hay: 'meadow hay and alfalfa' };
const arms = [{ id: 'usual', name: 'Usual feeding', role: 'usual' }, { id: 'layers', name: 'Layers', role: 'change' }];

export const EXAMPLES: Readonly<Record<string, Body | undefined>> = {
  'forage-value': { acidDetergentFiberPercent: 37, neutralDetergentFiberPercent: 58 },
  'relative-forage-quality': { intakeFrom: 'legume-equation', neutralDetergentFiberPercent: 42, fiberDigestibility48hPercentOfNdf: 48, totalDigestibleNutrientsPercent: 60 },
  'energy-from-tdn': { totalDigestibleNutrientsPercent: 55 },
  'tdn-estimate': { family: 'grass', analysis: { crudeProteinPercent: 9, acidDetergentFiberPercent: 38, neutralDetergentFiberPercent: 62, ligninPercent: 6, fiberDigestibility48hPercentOfNdf: 52, ashPercent: 8, totalDigestibleNutrientsPercent: 54 } },
  'dry-matter-basis': { dryMatterPercent: 88, from: 'as-received', values: [{ name: 'CP', value: 8.8 }], weight: ton(10) },
  'hay-grade': { hay: 'grass', analysis: { crudeProteinPercent: 9.5 } },
  'lab-test-plausibility': { basis: 'as-received', analysis: { dryMatterPercent: 88, crudeProteinPercent: 8, acidDetergentFiberPercent: 33, neutralDetergentFiberPercent: 52 } },
  'book-values': undefined,
  'nutrient-price': { price: perTon('150'), dryMatterPercent: 88, nutrient: { name: 'TDN', percentOfDryMatter: 58 }, energy: { value: 0.55, unit: 'Mcal/lb' } },
  'nutrient-price-ranking': { nutrient: 'TDN', hays: [{ name: 'Dear', price: perTon('200'), bought: ton(10), dryMatterPercent: 90, nutrientPercentOfDryMatter: 60 }, { name: 'Cheap', price: perTon('100'), bought: ton(10), freight: usd('300'), storageLossPercent: 10, feedingWastePercent: 5, dryMatterPercent: 88, nutrientPercentOfDryMatter: 52 }] },
  'delivered-cost': { price: perTon('150'), bought: ton(25), haul: { rate: usd('4'), per: 'mi', distance: 100 }, charges: usd('75'), storageLossPercent: 8, feedingWastePercent: 10 },
  'break-even-hay-price': { hay: { dryMatterPercent: 88, totalDigestibleNutrientsPercent: 55, crudeProteinPercent: 10 }, feeds: [{ name: 'Corn', price: perTon('180'), dryMatterPercent: 88, totalDigestibleNutrientsPercent: 88, crudeProteinPercent: 9 }, { name: 'Meal', price: perTon('400'), dryMatterPercent: 90, totalDigestibleNutrientsPercent: 82, crudeProteinPercent: 48 }] },
  'bale-weight': { bale: { form: 'round', width: { value: 5, unit: 'ft' }, diameter: { value: 6, unit: 'ft' } }, weight: lb(1400), weatheredDepth: { value: 4, unit: 'in' } },
  'nitrate': { nitrate: { value: 0.4, unit: '%', form: 'NO3' }, basis: 'as-received', dryMatterPercent: 88, pregnant: true, shareOfRationPercent: 60 },
  'hay-testing-cautions': { tested: true, daysSinceSample: 30, balesCored: 12, lotWeight: ton(80) },
  'ration-nitrate': { parts: [{ name: 'Oat hay', dryMatter: lb(12), nitrate: { value: 2500, unit: 'ppm', form: 'NO3-N' } }, { name: 'Meadow', dryMatter: lb(12), canGatherNitrate: false }], pregnant: true },
  'tetany-ratio': { potassiumPercent: 2.8, calciumPercent: 0.4, magnesiumPercent: 0.15, phosphorusPercent: 0.25, stage: 'early-milk' },
  'sulfur-total': { feed: { dryMatter: lb(24), sulfurPercent: 0.25 }, water: { drunk: { value: 12, unit: 'gal' }, sulfateMgPerL: 1500 }, matureCow: true },
  'water-quality': { dissolvedSolidsMgPerL: 5600, sulfateMgPerL: 900, frozen: false, supply: { value: 800, unit: 'gal' }, need: { value: 1200, unit: 'gal' }, pregnantOrMilking: true },
  'stack-temperature': { temperature: { value: 162, unit: 'F' } },
  'stacking-moisture': { baleForm: 'round', moisturePercent: 21 },
  'stored-hay-cautions': { name: 'Wrapped', wrapped: true, ph: 5.2, moisturePercent: 72, sorghum: { hydrogenCyanidePpm: 800, daysFromFrostToFeeding: 3 } },
  'landed-cost': { price: { basis: 'per-mass', ...perTon('150') }, weightReceived: ton(24), bales: 24, freight: usd('480'), charges: usd('120') },
  'scale-ticket': { gross: lb(78_000), tare: lb(30_000) },
  'load-weight': { bales: 24, weighed: { weights: [lb(1180), lb(1240), lb(1205), lb(1215)] } },
  'storage-losses': undefined,
  'storage-loss': { code: 'ut-ground', storedOn: '2026-08-01', usedOn: '2027-01-01', price: perTon('120'), weight: ton(40) },
  'feeding-wastes': undefined,
  'feeding-waste': { waste: { from: 'weighed', disappeared: lb(30), wasted: lb(3) }, pricePerBale: usd('70'), baleWeight: lb(1200), bales: 180 },
  'farm-price-value': { onHand: ton(40), marketPrice: perTon('140'), costOfDisposition: perTon('15') },
  'costing-replay': { entries: COSTING_ENTRIES },
  'hay-need': { head: 100, days: 120, intake: { bodyWeight: lb(1300), percentOfBodyWeight: 2 }, dryMatterPercent: 88, wastePercent: 10, baleWeight: lb(1200) },
  'hay-on-hand': { bales: 200, baleWeight: lb(1000), lossPercent: 10 },
  'waste-comparison': { fromPercent: 20, toPercent: 8, eaten: ton(100), price: perTon('150') },
  'head-days': { from: '2026-12-01', until: '2027-03-01', events: [{ day: '2026-12-01', kind: 'in', head: 100 }, { day: '2027-02-01', kind: 'sale', head: 20 }] },
  'hay-budget': {
    from: '2026-12-01', until: '2027-03-01', prices: [{ hayKind: 'meadow', price: perTon('150') }], changes: [{ name: 'Cone feeders', wastePercent: 5 }],
    herds: [{ name: 'Cows', headEvents: [{ day: '2026-12-01', kind: 'in', head: 100 }], intake: { dryMatterPerHeadDay: lb(24) }, dryMatterPercent: 90, wastePercent: 15, kinds: [{ hayKind: 'meadow', sharePercent: 100 }] }],
    lots: [{ name: 'Stack', hayKind: 'meadow', balance: ton(100), storedOn: '2026-08-01', countedOn: '2026-12-01', seasonLossPercent: 10 }],
  },
  'daily-gain': { start: { day: '2027-01-01', weight: lb(550) }, end: { day: '2027-01-31', weight: lb(610), fill: 'shrunk' } },
  'gain-over-time': { dailyGain: { value: '0.7', unit: 'lb' }, days: 30, head: 200 },
  'days-to-gain': { gain: lb(200), dailyGain: lb(1.5) },
  'herd-gain': { opening: { day: '2026-12-01', head: 100, totalWeight: lb(55_000) }, closing: { day: '2027-03-01', head: 98, totalWeight: lb(68_600) }, flows: [{ day: '2027-01-15', direction: 'out', head: 2, totalWeight: lb(1200), cause: 'sale' }], headDays: 8910 },
  'cost-of-gain': { from: '2026-12-01', until: '2027-03-01', opening: { day: '2026-12-01', head: 100, totalWeight: lb(55_000) }, closing: { day: '2027-02-27', head: 100, totalWeight: lb(70_000) }, headDays: 9000, feedCost: usd('9000'), yardagePerHeadDay: usd('0.35'), otherCost: usd('500') },
  'ration-cost-of-gain': { costPerHeadDay: usd('1.80'), dailyGain: lb(1.5) },
  'feed-conversion': { dryMatterFed: lb(20_000), dryMatterRefused: lb(500), dryMatterWasted: lb(1500), gain: lb(2000) },
  'value-of-gain': { weightIn: lb(500), priceIn: { ...usd('1.80'), per: 'lb' }, weightOut: lb(700), priceOut: { ...usd('1.60'), per: 'lb' } },
  'break-even-sale': { purchaseCost: usd('900'), costOfKeeping: usd('190'), finalWeight: lb(700), shrinkPercent: 3, deathLossPercent: 1 },
  'break-even-purchase': { saleValue: usd('1200'), costOfKeeping: usd('250'), wantedProfit: usd('50'), weightIn: lb(500) },
  'adjusted-205-day-weight': { weaningWeight: lb(525), birthWeight: lb(80), ageDays: 190, sex: 'male', damAgeYears: 3 },
  'shrink': { weight: lb(600), pencilPercent: 4, price: { ...usd('1.50'), per: 'lb' }, hoursOffFeedAndWater: 12 },
  'tag-number': { tagNumber: '840 003 123 456 789' },
  'requirements': { animal: { ...DRY_COW, matureWeight: lb(1250), calfBirthWeight: lb(85) }, diet: { totalDigestibleNutrientsPercent: 54, neutralDetergentFiberPercent: 64, crudeProteinPercent: 8 }, weather: { temperature: { value: -5, unit: 'F' }, wind: { value: 15, unit: 'mph' }, hairDepth: { value: 0.8, unit: 'in' }, mudDepth: { value: 2, unit: 'in' } } },
  'maintenance-energy': { shrunkWeight: lb(1200), sex: 'cow', lactating: true, dietNetEnergyMaintenance: { value: 0.55, unit: 'Mcal/lb' } },
  'pregnancy-energy': { calfBirthWeight: lb(85), daysPregnant: 240, efficiencyOfMaintenance: 0.576 },
  'milk': { peakMilk: lb(20), weekOfLactation: 6 },
  'gain-energy': { shrunkWeight: lb(600), finalShrunkWeight: lb(1200), dailyGain: lb(1.5), retainedEnergy: { value: 2.5, unit: 'Mcal/d' }, metabolizableProteinForGain: { value: 200, unit: 'g/d' } },
  'dry-matter-intake': { bodyWeight: lb(1250), kind: 'cow', netEnergyMaintenance: { value: 0.5, unit: 'Mcal/lb' }, pregnant: true, milk: lb(0), neutralDetergentFiberPercent: 65, totalDigestibleNutrientsPercent: 52, crudeProteinPercent: 6 },
  'protein': { shrunkWeight: lb(1200), metabolizableProtein: { value: 500, unit: 'g/d' }, diet: { dryMatter: lb(24), totalDigestibleNutrientsPercent: 54, crudeProteinPercent: 9, degradablePercentOfCrudeProtein: 68 } },
  'minerals': { shrunkWeight: lb(1200), dryMatter: lb(24), stage: 'gestating', calfBirthWeight: lb(85), daysPregnant: 240 },
  'water-intake': { class: 'pregnant-cow', bodyWeight: lb(1100), temperature: { value: 40, unit: 'F' }, dryMatter: lb(24), head: 100 },
  'cold-stress': { temperature: { value: 10, unit: 'F' }, wind: { value: 15, unit: 'mph' }, coat: 'dry-winter', ration: lb(26), heatBalance: { shrunkWeight: lb(1200), heatProduction: { value: 17, unit: 'Mcal/d' }, coat: 'wet-and-matted', efficiencyOfMaintenance: 0.58 } },
  'body-condition': { shrunkWeight: lb(1200), bodyCondition: 4, targetCondition: 5, netEnergyBalance: { value: 2, unit: 'Mcal/d' } },
  'activity-energy': { bodyWeight: lb(1200), grazing: { pastureIntake: lb(22), pastureDigestibilityPercent: 60, availableForageTonnesPerHectare: 2, terrain: 'hilly' }, walking: { levelKm: 3, slopedKm: 1 } },
  'evaluate-ration': { animal: DRY_COW, wastedPercent: 8, fedWet: true, layers: [{ role: 'coarse', parts: [{ lot: straw, asFed: lb(6) }] }, { role: 'rich', parts: [{ lot: alfalfa, asFed: lb(8) }] }, { role: 'mixed', parts: [{ lot: meadow, asFed: lb(14) }] }], water: { frozen: false, sulfateMgPerL: 800 } },
  'least-cost-ration': { animal: DRY_COW, candidates: [{ lot: straw, role: 'coarse' }, { lot: meadow, role: 'mixed', available: ton(100) }, { lot: alfalfa, role: 'rich' }], head: 100, days: 60, intakeCapPercent: 110 },
  'layer-shares': { basis: 'volume', layers: [{ name: 'Coarse', sharePercent: 40, form: 'round-bale', dryMatterPercent: 88 }, { name: 'Rich', sharePercent: 60, density: { value: 12, unit: 'lb/ft3' }, dryMatterPercent: 86 }] },
  'layer-templates': undefined, 'hay-densities': undefined,
  'laying-cautions': { layers: [{ name: 'Alfalfa', role: 'rich', asFed: lb(800), form: 'loose-hay' }, { name: 'Straw', role: 'coarse', asFed: lb(1200), form: 'loose-straw' }], weather: 'frost', legumePercent: 60, head: 100, feedingLength: { value: 120, unit: 'ft' }, room: { value: 300, unit: 'ft3' } },
  'whole-bales': { need: lb(2900), baleWeight: lb(1200), carriedIn: lb(300) },
  'two-sample-comparison': { usual: { name: 'Usual', values: [1.5, 1.7, 1.6, 1.9, 1.4] }, change: { name: 'Layers', count: 6, mean: 1.8, standardDeviation: 0.2 } },
  'analysis-of-covariance': { arms: [{ name: 'Usual', rows: gains.slice(0, 6).map(([, , start, end]) => ({ covariate: start, response: (end - start) / 30 })) }, { name: 'Layers', rows: gains.slice(6).map(([, , start, end]) => ({ covariate: start, response: (end - start) / 30 })) }] },
  'sample-size': { difference: 0.25, standardDeviation: 0.35, powerPercent: 80, unitsPerArm: 20 },
  'plan-trial': { question: 'Do layers gain more?', arms, unit: 'animal', unitsPerArm: 20, lengthDays: 30, hopedDifference: lb(0.5), weighingSpread: lb(12), meanStartWeight: lb(560), looks: { fractions: [0.5, 1], kind: 'obrien-fleming-type' }, ...trialContext },
  'daily-gain-spreads': undefined,
  'allocate-trial': { animals: gains.map(([id, , start]) => ({ id, startWeight: lb(start) })), armIds: ['usual', 'layers'], seed: '727' },
  'judge-trial': {
    question: 'Do layers gain more?', arms, unit: 'animal', lengthDays: 30, endDays: [30], worthwhileDifference: lb(0.2), ...trialContext, valueOfGain: { ...usd('1.20'), per: 'lb' }, herdHead: 200,
    animals: gains.map(([id, armId, start, end]) => ({ id, armId, weighings: [{ day: 0, weight: lb(start) }, { day: 30, weight: lb(end) }] })),
    feeds: ['usual', 'layers'].map((armId) => ({ armId, name: 'Hay', fed: lb(3600), wasted: lb(armId === 'usual' ? 500 : 250), dryMatterPercent: 88, price: perTon('150') })), otherCosts: [{ armId: 'layers', cost: usd('40') }],
  },
};
