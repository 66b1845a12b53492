/*
 * Feedings of one herd and day are held against all that it gets that day. A long file has thousands of them, so what
 * each adds is worked out once: twice as many feedings take twice the work, not four times.
 */
import type { OperationTenant } from '../../../src/platform/database/types.js';
import { Doubts } from '../../../src/platform/database/doubts.js';
import { refuseImpossibleFeedings } from '../../../src/records/feedings/impossible-feeding.js';
import type { Known, PlannedFeeding } from '../../../src/records/feedings/planned-feeding.js';

const tenant = { operation: { unitPreference: 'metric' } } as OperationTenant;
const DAY = '2026-12-01';
const LOT = { hay_kind: 'meadow', bale_form: 'loose' };

/** A feeding of so many kilograms to a hundred head. */
const feeding = (id: string, kilograms: string): PlannedFeeding =>
  ({
    id,
    body: { herdId: 'cows', fedOn: DAY, method: 'bunk' },
    herd: { id: 'cows', name: 'Cows' },
    feeding: { head_fed: 100 },
    layers: [
      {
        ...{ position: 1, part: 1, hay_lot_id: 'lot', kilograms, free_choice: false },
        ...{ typed_value: kilograms, typed_unit: 'kg' },
      },
    ],
    lots: new Map([['lot', LOT]]),
  }) as unknown as PlannedFeeding;

/** Hay of which all is dry matter, and cows of 500 kg. */
function known(laidThen: Known['laidThen'] = []): { known: Known; asked: () => number } {
  let asked = 0;
  const of = {
    laidThen,
    headOn: () => 100,
    baleWeights: new Map(),
    bodyWeightOn: () => 500,
    dryMatterOn: () => {
      asked += 1;
      return 100;
    },
  };
  return { known: of as unknown as Known, asked: () => asked };
}

const work = (count: number): number => {
  const { known: of, asked } = known();
  const all = Array.from({ length: count }, (_, at) => feeding(`f${at}`, '1'));
  refuseImpossibleFeedings(tenant, all, of);
  return asked();
};

/** 100 head of 500 kg can be meant to get 10 % of their weight and, in a bunk, 4 % for two days more each: 9,000 kg. */
it('are refused together as soon as they are more than the herd can be meant to get', () => {
  const ofDay = Array.from({ length: 90 }, (_, at) => feeding(`f${at}`, '100'));
  expect(() => refuseImpossibleFeedings(tenant, ofDay, known().known)).not.toThrow();
  const one = { feedingId: 'x', herdId: 'cows', day: DAY, method: 'bunk', lotId: 'lot', lot: LOT, kilograms: '100' };
  const before = known([one as Known['laidThen'][number]]);
  const asked = () => refuseImpossibleFeedings(tenant, ofDay, before.known);
  expect(asked).toThrow(/with the 9,000 kg that 90 feedings laid/);
  // What stands in for another does not count it.
  const corrected = ofDay.map((each, at) => (at === 89 ? { ...each, body: { ...each.body, correctsId: 'x' } } : each));
  expect(() => refuseImpossibleFeedings(tenant, corrected, before.known)).not.toThrow();
});

it('take work that grows with their number, not with its square', () => {
  expect(work(400)).toBeLessThanOrEqual(2 * work(200) + 10);
});

it('that are each asked about keep their doubts apart, and one that is not written after all leaves none', () => {
  const doubts = new Doubts();
  const doubt = { code: 'offer-unusual', pointer: '#/layers', given: '', usual: '', source: '', message: '' };
  doubts.of({ kind: 'feeding', id: 'a' }, DAY, [doubt]);
  const mark = doubts.mark();
  doubts.raise(doubt);
  expect(doubts.of({ kind: 'feeding', id: 'b' }, DAY, [doubt])).toHaveLength(2);
  doubts.backTo(mark);
  expect([doubts.about('a').length, doubts.about('b').length, doubts.all().length]).toEqual([1, 0, 1]);
});
