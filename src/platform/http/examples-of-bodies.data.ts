/**
 * Bodies as somebody on a ranch would send them, by operationId: the records that are entered most. Invented; days,
 * weights and prices are of one winter. Each is held against the schema of its address where the description is made.
 */
const RANCH = '01a1f6c2-7b3e-7c54-9d21-5f0e8a6b4c01';
const PLACE = '01a1f6c2-7b3e-7c54-9d21-5f0e8a6b4c02';
const HERD = '01a1f6c2-7b3e-7c54-9d21-5f0e8a6b4c03';
const COARSE = '01a1f6c2-7b3e-7c54-9d21-5f0e8a6b4c04';
const RICH = '01a1f6c2-7b3e-7c54-9d21-5f0e8a6b4c05';
const lb = (value: string) => ({ value, unit: 'lb' });
const percent = (value: string) => ({ value, unit: '%' });
const truck = { basis: 'scale-ticket', gross: lb('78460'), tare: lb('31220') };
const perTon = (amount: string) => ({ basis: 'per-mass', amount, per: 'ton' });
const openedLot = (name: string, hayKind: string) => ({
  name,
  ranchId: RANCH,
  hayKind,
  baleForm: 'round',
  storageMethod: 'tarp',
});

export const EXAMPLES_OF_BODIES: Readonly<Record<string, unknown>> = {
  createOperation: {
    name: 'Coldwater Bench Cattle',
    unitPreference: 'us',
    currency: 'USD',
    timeZone: 'America/Denver',
  },
  createRanch: { name: 'Home ranch' },
  createPlace: { ranchId: RANCH, name: 'North bunk', kind: 'bunk-line', bunkLength: { value: '240', unit: 'ft' } },
  createHerd: {
    name: 'Spring-calving cows',
    ranchId: RANCH,
    cattleClass: 'dry-pregnant-cow',
    sex: 'cow',
    bodyWeight: lb('1290'),
    bodyCondition: '5.5',
    bredOn: '2026-06-10',
    placeId: PLACE,
  },
  createHeadChange: { kind: 'in', head: 120, happenedOn: '2026-11-01' },
  createHerdEvent: { kind: 'pregnancy-check', happenedOn: '2026-10-20', headChecked: 120, headOpen: 6 },
  createHayPurchase: {
    vendor: 'North Slope Hay (invented)',
    purchasedOn: '2026-09-14',
    ticketNumber: '20417',
    lot: openedLot('North stack', 'meadow'),
    weight: truck,
    baleCount: 34,
    price: perTon('165.00'),
    freight: '420.00',
  },
  createHarvest: {
    harvestedOn: '2026-07-08',
    field: 'Creek meadow',
    lot: openedLot('Creek meadow, first cutting', 'meadow'),
    weight: { basis: 'net', net: { value: '62.5', unit: 'ton' } },
    cost: perTon('85.00'),
  },
  createHayQuote: {
    vendor: 'North Slope Hay (invented)',
    offeredOn: '2026-12-10',
    name: 'Alfalfa, third cutting',
    hayKind: 'alfalfa',
    baleForm: 'large-square',
    weight: { basis: 'net', net: { value: '25', unit: 'ton' } },
    price: perTon('240.00'),
  },
  createHaySale: {
    hayLotId: COARSE,
    buyer: 'A neighbor (invented)',
    soldOn: '2027-01-08',
    quantity: { bales: '12' },
    price: perTon('170.00'),
  },
  createHayTransfer: {
    fromLotId: COARSE,
    to: { name: 'By the calving barn', ranchId: RANCH },
    movedOn: '2027-01-08',
    quantity: { bales: '12' },
  },
  createLateCost: {
    receipt: { kind: 'hay-purchase', id: COARSE },
    billedOn: '2026-10-02',
    owed: 'freight',
    biller: 'Bench Hauling (invented)',
    amount: '380.00',
  },
  createLabTest: {
    hayLotId: COARSE,
    lab: 'Valley Forage Lab (invented)',
    sampledOn: '2026-09-16',
    method: 'wet-chemistry',
    basis: 'dry-matter',
    analysis: {
      dryMatter: percent('88.4'),
      crudeProtein: percent('9.1'),
      acidDetergentFiber: percent('37.2'),
      neutralDetergentFiber: percent('58.6'),
    },
  },
  createHayObservation: { hayLotId: COARSE, seenOn: '2026-12-15', mold: 'light', balesChecked: 20, balesMoldy: 2 },
  createFeeding: {
    herdId: HERD,
    fedOn: '2026-12-15',
    method: 'bunk',
    layers: [
      { role: 'coarse', parts: [{ hayLotId: COARSE, weight: lb('1950') }] },
      { role: 'rich', parts: [{ hayLotId: RICH, weight: lb('1200') }] },
    ],
  },
  confirmFeedSheet: { herdId: HERD, fedOn: '2026-12-15', weather: 'dry', refused: lb('60') },
  createRation: {
    herdId: HERD,
    name: 'Cows, to calving',
    basis: 'as-fed',
    amount: { weight: lb('27.5'), basis: 'as-fed' },
    layers: [
      { role: 'coarse', parts: [{ hayLotId: COARSE, sharePercent: '60' }] },
      { role: 'rich', parts: [{ hayLotId: RICH, sharePercent: '40' }] },
    ],
  },
  createLayerTemplate: {
    name: 'Rich on coarse',
    basis: 'as-fed',
    layers: [
      { role: 'coarse', sharePercent: '60' },
      { role: 'rich', sharePercent: '40' },
    ],
  },
  createWeighIn: {
    scope: 'group',
    herdId: HERD,
    weighedOn: '2026-12-15',
    fill: 'full',
    head: 118,
    measure: 'mean',
    weight: lb('1284'),
  },
  createStockCount: {
    hayLotId: COARSE,
    countedOn: '2027-01-02',
    counted: { bales: '28' },
    reason: 'Counted the stack at the turn of the year.',
  },
  createStorageShrink: {
    hayLotId: COARSE,
    lostOn: '2027-01-02',
    how: { basis: 'weighed', quantity: { weight: lb('640') } },
  },
  createWeatherDay: { ranchId: RANCH, onDay: '2026-12-15', meanTemperature: { value: '12', unit: 'F' } },
  createWaterCheck: { placeId: PLACE, source: 'Trough', checkedOn: '2026-12-15', state: 'partly-frozen' },
  createStorageMeasurement: {
    storageMethod: 'under-roof',
    measuredOn: '2027-01-02',
    seasonShare: '0.04',
    how: 'Forty bales weighed in and out.',
  },
  createYardageRate: { fromOn: '2026-11-01', perHeadDay: '0.45' },
  createHerdCost: {
    herdId: HERD,
    kind: 'veterinary',
    happenedOn: '2026-12-15',
    payee: 'Creek Veterinary (invented)',
    amount: '312.50',
  },
  createHayBudgetPlan: { name: 'To grass', from: '2026-12-15', until: '2027-05-01' },
  createApiKey: { name: 'Month-end pull', scopes: ['read'], expiresAt: '2027-12-31T00:00:00Z' },
  createInvitation: { email: 'hand@ranch.example', role: 'hand' },
  signIn: { email: 'manager@ranch.example', passphrase: 'four words that nobody guesses' },
};
