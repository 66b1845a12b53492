/*
 * What nobody tested never hides what is known: too much is judged by what is known to be there at least, too little is
 * said with what is not known. Limits: the caution catalogue (sources there); figures by hand.
 */
import { heatCautions } from '../../../src/core/cautions/heat';
import { observationCautions } from '../../../src/core/cautions/hay-observations';
import { labTestCautions } from '../../../src/core/cautions/lab-tests';
import { averageLabTests } from '../../../src/core/forage/lab-test-average';
import { dietContextOf } from '../../../src/core/judge/diet-context';
import { evaluateRation } from '../../../src/core/judge/evaluate';
import type { EvaluationRequest } from '../../../src/core/judge/evaluation';
import { pregnancyOf } from '../../../src/core/judge/pregnancy';
import { cautionsOfLotAlone } from '../../../src/core/judge/lot-dangers';
import { rationCautions } from '../../../src/core/judge/ration-cautions';
import { rationSupply } from '../../../src/core/judge/ration-supply';
import type { RationLayer, RationLot } from '../../../src/core/ration/ration';
import { keptOut } from '../../../src/core/ration/safe-limits';
import { rationLotOf } from '../../../src/core/ration/ration-lot';
import { wordsIn } from '../../../src/core/units/wording';
import fc from '../../support/properties';
import { ALFALFA, DRY_COW, hay, KG_PER_LB, MEADOW, needs, STRAW } from '../ration/ration-fixtures';

type Part = readonly [RationLot, number];
const ration = (...parts: readonly Part[]): RationLayer[] =>
  parts.map(([lot, asFedKgPerHeadPerDay]) => ({ role: 'mixed', lots: [{ lot, asFedKgPerHeadPerDay }] }));
const requestOf = (layers: RationLayer[], more: Partial<EvaluationRequest> = {}): EvaluationRequest => ({
  animal: DRY_COW,
  requirement: needs(DRY_COW, { edition: 'NRC2000', diet: dietContextOf(rationSupply({ layers })) }),
  layers,
  ...more,
});
function cautionsOf(parts: readonly Part[], more: Partial<EvaluationRequest> = {}) {
  const outcome = evaluateRation(requestOf(ration(...parts), more));
  if (!outcome.ok) throw new Error(JSON.stringify(outcome.problems));
  return outcome.value.cautions;
}
const raised = (parts: readonly Part[], more: Partial<EvaluationRequest> = {}) =>
  cautionsOf(parts, more).map(({ code, severity }) => `${code}/${severity}`);

const lb = (pounds: number) => pounds * KG_PER_LB;
const meadowOf = (composition: Record<string, number>, more: Partial<RationLot> = {}) =>
  hay(
    'Meadow S',
    88,
    {
      ...Object.fromEntries(Object.entries(MEADOW.composition).map(([field, { value }]) => [field, value])),
      ...composition,
    },
    { feedGroup: 'hay', ...more },
  );
/** A feed of which nobody knows anything but its dry matter. */
const untested = (name = 'Tub', more: Partial<RationLot> = {}) =>
  hay(name, 90, {}, { isForage: false, isLongStem: false, feedGroup: 'protein', ...more });
const CREEK = {
  sourceName: 'Creek',
  frozen: false,
  supplyLPerDay: null,
  needLPerDay: null,
  dissolvedSolidsMgPerL: null,
  sulfateMgPerL: 2200,
  milking: false,
  pregnantOrMilking: true,
  calves: false,
};

describe('too much is judged by what is known at least', () => {
  test('8 oz of an untested feed beside 25 lb of hay with 0.6 % sulfur', () => {
    const sulfur = meadowOf({ sulfurPercent: 0.6 });
    expect(raised([[sulfur, lb(25)]])).toContain('sulfur-total/danger');
    const beside = cautionsOf([
      [sulfur, lb(25)],
      [untested(), lb(0.5)],
    ]);
    expect(beside.map(({ code, severity }) => `${code}/${severity}`)).toEqual(
      expect.arrayContaining(['sulfur-total/danger', 'sulfur-mature-cow/watch']),
    );
    // 25 lb × 88 % × 0.6 % = 59.9 g; of the hay alone 0.6 %.
    expect(beside.find(({ code }) => code === 'sulfur-total')?.given).toBeCloseTo(0.6, 9);
    expect(beside.find(({ code }) => code === 'sulfur-mature-cow')?.given).toBeCloseTo(
      25 * 453.59237 * 0.88 * 0.006,
      6,
    );
  });
  test('sulfur of hay and water beside a mineral whose label tells no sulfur', () => {
    const mineral = hay('Mineral', 95, { calciumPercent: 12 }, { isForage: false, isLongStem: false });
    expect(
      raised(
        [
          [MEADOW, lb(27)],
          [mineral, lb(4)],
        ],
        { water: CREEK },
      ),
    ).toContain('sulfur-mature-cow/watch');
  });
  // A lab's 0.27 % NO3-N is 2,700 ppm, far beyond what cows in calf may have (Clemson: none from 2,000 ppm).
  test.each([0.27, 9.9])(
    'nitrate of %d ppm, typed in another unit, is no test: as least cost and as a lot alone',
    (ppm) => {
      const oats = meadowOf({ nitrateNitrogenPpm: ppm }, { canGatherNitrate: true });
      const outcome = evaluateRation(requestOf(ration([oats, lb(20)], [MEADOW, lb(4)])));
      if (!outcome.ok) throw new Error(JSON.stringify(outcome.problems));
      const unknown = outcome.value.cautions.find(({ code }) => code === 'nitrate-unknown');
      expect(unknown).toMatchObject({ severity: 'watch', subject: { name: 'Meadow S' } });
      expect(unknown?.message).toMatch(new RegExp(`${ppm} ppm NO3-N.*percent: check the unit`));
      expect(outcome.value.nitrate.wholeRationNitrateNitrogenPpmDm).toBeNull();
      const alone = cautionsOfLotAlone(oats, { testing: [], observed: [] }, ['dry-pregnant-cow']);
      expect(alone.map(({ code }) => code)).toContain('nitrate-unknown');
      expect(keptOut(oats, { animal: DRY_COW, asked: {} })).toMatchObject({ because: 'nitrate-not-tested' });
    },
  );

  test('nitrate that a lab finds none of, or little, is a test, and so is any of hay that gathers none', () => {
    const codes = (lot: RationLot) => cautionsOf([[lot, lb(24)]]).map(({ code }) => code);
    for (const ppm of [0, 10, 120])
      expect(codes(meadowOf({ nitrateNitrogenPpm: ppm }, { canGatherNitrate: true }))).not.toContain('nitrate-unknown');
    expect(codes(meadowOf({ nitrateNitrogenPpm: 0.27 }))).not.toContain('nitrate-unknown');
  });

  test('nitrate of the whole ration beside 3 lb of a tub', () => {
    const oats = meadowOf({ nitrateNitrogenPpm: 3100 }, { canGatherNitrate: true });
    const beside = cautionsOf([
      [oats, lb(20)],
      [untested(), lb(2)],
    ]);
    expect(beside.find(({ code }) => code === 'nitrate-whole-ration')).toMatchObject({
      severity: 'danger',
      given: 3100,
    });
  });
  test('a larger part that nobody tested counts in the weight: at least so much there is', () => {
    const oats = meadowOf({ nitrateNitrogenPpm: 3100 });
    const half = cautionsOf([
      [oats, 5],
      [hay('Blank', 88, {}), 5],
    ]);
    expect(half.find(({ code }) => code === 'nitrate-whole-ration')?.given).toBeCloseTo(1550, 6);
  });
  test('tetany ratio and Ca:P stand on the lots that tell them', () => {
    const tetany = meadowOf({
      potassiumPercent: 3.5,
      calciumPercent: 0.4,
      magnesiumPercent: 0.15,
      phosphorusPercent: 0.5,
    });
    expect(
      raised([
        [tetany, lb(25)],
        [untested(), lb(2)],
      ]),
    ).toEqual(expect.arrayContaining(['grass-tetany-ratio/watch', 'calcium-phosphorus-ratio/watch']));
  });
  test('adding any unknown part of up to a tenth never takes away what it says of too much', () => {
    const TOO_MUCH = [
      'sulfur-total',
      'sulfur-antagonism',
      'sulfur-mature-cow',
      'nitrate-single-hay',
      'nitrate-whole-ration',
      'grass-tetany-ratio',
      'calcium-phosphorus-ratio',
      'trace-mineral-above-maximum',
      'acidosis',
    ];
    const lots = fc
      .tuple(
        fc.double({ min: 0.05, max: 0.9, noNaN: true }),
        fc.integer({ min: 0, max: 9000 }),
        fc.double({ min: 0.8, max: 5, noNaN: true }),
        fc.double({ min: 1, max: 60, noNaN: true }),
      )
      .map(([sulfurPercent, nitrateNitrogenPpm, potassiumPercent, copperMgPerKg]) => ({
        sulfurPercent,
        nitrateNitrogenPpm,
        potassiumPercent,
        copperMgPerKg,
      }));
    fc.assert(
      fc.property(
        lots,
        lots,
        fc.array(fc.double({ min: 0.001, max: 0.1, noNaN: true }), { minLength: 1, maxLength: 3 }),
        fc.boolean(),
        (one, other, shares, watered) => {
          const more = watered ? { water: CREEK } : {};
          const parts: Part[] = [
            [meadowOf(one), 7],
            [{ ...meadowOf(other), lotId: 'other', lotName: 'other' }, 4],
          ];
          const before = cautionsOf(parts, more);
          const total = 11 * 0.88;
          // Each is at most a tenth of the whole once it is in it.
          const added = shares.map((share, index): Part => [untested(`U${index}`), (total * share * 0.9) / 0.9]);
          const request = requestOf(ration(...parts), more);
          const after = evaluateRation({ ...request, layers: ration(...parts, ...added) });
          if (!after.ok) throw new Error('refused');
          for (const caution of before.filter(({ code }) => TOO_MUCH.includes(code))) {
            const still = after.value.cautions.filter(({ code }) => code === caution.code);
            expect(still.length).toBeGreaterThanOrEqual(before.filter(({ code }) => code === caution.code).length);
          }
        },
      ),
    );
  });
});

describe('too little is said with what is not known', () => {
  test('straw 20 lb and 3 lb of a tub whose protein nobody knows', () => {
    const [impaction] = cautionsOf([
      [STRAW, lb(20)],
      [untested(), lb(3)],
    ]).filter(({ code }) => code === 'straw-impaction');
    expect(impaction).toMatchObject({ severity: 'danger', given: 3.5 });
    expect(impaction?.message).toContain("Not known of Tub: whether that makes up for it can't be judged");
  });
  test('magnesium of the known hay, where an untested hay could not make up for it', () => {
    const poor = meadowOf({ magnesiumPercent: 0.05 });
    const few = { ...hay('Blank hay', 88, {}), feedGroup: 'hay' as const };
    const [low] = cautionsOf([
      [poor, 10],
      [few, 0.9],
    ]).filter(({ code }) => code === 'magnesium-low');
    // 10 × 0.05 % and 0.9 × 0.8 % (the most that is likely of hay) make 0.112 %, below 0.12 %.
    expect(low?.message).toContain('even as much as such feed may hold would not make up for it');
    expect(low?.given).toBeCloseTo(0.05, 9);
  });
  test('a ration that is mostly unknown is not called short by the little that is known', () => {
    expect(
      raised([
        [meadowOf({ magnesiumPercent: 0.05 }), 4],
        [hay('Blank', 88, {}), 6],
      ]),
    ).not.toContain('magnesium-low/watch');
  });
  test('legume that is known bloats beside hay whose legume nobody told', () => {
    const mixed = hay('Mixed', 88, {}, { legumeShare: null });
    expect(
      raised(
        [
          [ALFALFA, 8],
          [mixed, 4],
        ],
        { fedWet: true },
      ),
    ).toContain('legume-bloat/watch');
  });
});

describe('a herd of which little is known is judged on the safe side', () => {
  const blank = { lotId: 'n', lotName: 'n' };
  const oats = meadowOf({ nitrateNitrogenPpm: 1200 }, blank);
  const heifer = { class: 'first-calf-heifer', sex: 'heifer', fullBodyWeightKg: lb(1000) } as const;
  const unjudged = (
    animal: EvaluationRequest['animal'],
    parts: readonly Part[],
    more: Partial<EvaluationRequest> = {},
  ) => rationCautions({ animal, layers: ration(...parts), requirement: null, ...more });

  test('a first-calf heifer of unknown stage is taken as pregnant, and the caution says so', () => {
    // Clemson: 1000 to 1500 ppm is safe for open cattle, at most half of the ration for pregnant ones.
    const [single] = unjudged(heifer, [[oats, lb(22)]]).filter(({ code }) => code === 'nitrate-single-hay');
    expect(single).toMatchObject({ severity: 'danger' });
    expect(single?.message).toContain('may be pregnant (no stage on record)');
    expect(unjudged({ ...heifer, daysInMilk: 60 }, [[oats, lb(22)]]).map(({ code }) => code)).not.toContain(
      'nitrate-single-hay',
    );
    expect(pregnancyOf([{ class: 'growing-calf', sex: 'steer', fullBodyWeightKg: 250 }])).toBe('no');
    expect(pregnancyOf([{ class: 'replacement-heifer', sex: 'heifer', fullBodyWeightKg: lb(560) }])).toBe('no');
    expect(pregnancyOf([{ class: 'replacement-heifer', sex: 'heifer', fullBodyWeightKg: lb(850) }])).toBe('may-be');
  });
  test('sulfur of feed and water stands without a need: 22 lb of 0.3 % and a creek of 2200 mg sulfate', () => {
    // 3 L a kg of dry matter at least (Winchester & Morris 1956) × 2200 mg × 0.334 = 2.2 g a kg, 0.22 %.
    const sulfur = meadowOf({ sulfurPercent: 0.3 });
    const raisedBy = unjudged(DRY_COW, [[sulfur, lb(25)]], { water: CREEK });
    expect(raisedBy.find(({ code }) => code === 'sulfur-total')).toMatchObject({ severity: 'danger' });
  });
  const CORN = hay(
    'Corn',
    88,
    { crudeProteinPercent: 9 },
    { isForage: false, isLongStem: false, isStarchyGrain: true },
  );
  const ON_CORN: Part[] = [
    [MEADOW, lb(10)],
    [CORN, lb(14)],
  ];
  test('acidosis does not rest on a weight that the judge refuses', () => {
    expect(unjudged({ ...DRY_COW, fullBodyWeightKg: 23_000 }, ON_CORN).map(({ code }) => code)).toContain('acidosis');
  });
  test('14 lb of corn at once to cattle on hay is a danger, brought up over weeks it is to be watched', () => {
    const before = { shares: [{ lotId: 'Meadow hay', shareOfDryMatter: 1 }], starchyGrainKgPerDay: 0 };
    expect(raised(ON_CORN, { before })).toContain('acidosis/danger');
    const used = {
      shares: [
        { lotId: 'Meadow hay', shareOfDryMatter: 0.45 },
        { lotId: 'Corn', shareOfDryMatter: 0.55 },
      ],
      starchyGrainKgPerDay: lb(13),
    };
    expect(raised(ON_CORN, { before: used })).toContain('acidosis/watch');
  });
});

describe('salt, minerals and heat', () => {
  const salt = hay('Salt', 99, { sodiumPercent: 39.34 }, { isForage: false, isLongStem: false, feedGroup: 'mineral' });
  const oxide = hay('MgO', 98, { magnesiumPercent: 52 }, { isForage: false, isLongStem: false, feedGroup: 'mineral' });
  const mineral = hay('Mineral', 95, {}, { isForage: false, isLongStem: false, feedGroup: 'mineral' });
  const beside = (lot: RationLot, pounds: number) =>
    raised([
      [MEADOW, lb(25)],
      [lot, lb(pounds)],
    ]);
  // NRC 2005, Mineral Tolerance of Animals: salt 4.5 %, magnesium 0.6 % of dry matter.
  test('by the ounce they raise nothing', () => {
    for (const [lot, pounds] of [
      [salt, 0.125],
      [mineral, 0.25],
    ] as const)
      expect(beside(lot, pounds).filter((one) => /above-maximum|by-the-pound/.test(one))).toEqual([]);
  });
  // Two ounces a head a day: common practice, no source; mature cattle need less than one (Nebraska Extension G2046).
  test('5 oz of plain salt is more than they eat of it, though not much of the ration', () => {
    expect(beside(salt, 5 / 16)).toContain('mineral-by-the-pound/notice');
    const found = cautionsOf([
      [MEADOW, lb(25)],
      [salt, lb(3 / 16)],
      [{ ...salt, lotId: 'more salt' }, lb(2 / 16)],
    ]).filter(({ code }) => code === 'mineral-by-the-pound');
    expect(found).toHaveLength(1);
    const [one] = found;
    // 5 oz are 0.14174761563 kg, 2 oz 0.05669904625 kg.
    expect(one?.given).toBeCloseTo(0.14174761563, 9);
    expect(one?.threshold).toBe(0.05669904625);
    expect(wordsIn('us', one?.message ?? '')).toBe('Salt comes to 5 oz a head a day; cattle eat 2 oz at most.');
    expect(wordsIn('metric', one?.message ?? '')).toBe('Salt comes to 142 g a head a day; cattle eat 57 g at most.');
    // A pound and a half is told once, as a share of what they eat.
    expect(beside(salt, 1.5).filter((each) => each.startsWith('mineral-by'))).toEqual(['mineral-by-the-pound/watch']);
  });
  test('3 lb of salt, 3 lb of magnesium oxide, 40 lb of mineral', () => {
    expect(beside(salt, 3)).toEqual(
      expect.arrayContaining(['salt-above-maximum/danger', 'mineral-by-the-pound/danger']),
    );
    expect(beside(oxide, 3)).toContain('mineral-above-maximum/danger');
    // Half of it rock, no such ration feeds a cow, so there is no need to judge by; the danger is told.
    const layers = ration([MEADOW, lb(25)], [mineral, lb(40)]);
    expect(
      rationCautions({ animal: DRY_COW, layers, requirement: null }).map(({ code, severity }) => `${code}/${severity}`),
    ).toContain('mineral-by-the-pound/danger');
  });
  test('heat: index at 20 % humidity by 0.8 T + RH (T - 14.4) + 46.4', () => {
    const at = (fahrenheit: number) => heatCautions({ meanTemperatureC: ((fahrenheit - 32) * 5) / 9 });
    expect(at(70)).toEqual([]);
    expect(at(110)).toMatchObject([{ code: 'heat-stress', severity: 'danger' }]);
    expect(at(110)[0]?.given).toBeCloseTo(86.85, 1);
    expect(raised([[MEADOW, lb(25)]], { temperatureC: 43.3 })).toContain('heat-stress/danger');
  });
  test('nitrate that no share is allowed of is not advised to be fed in a share', () => {
    const [single] = cautionsOf([[meadowOf({ nitrateNitrogenPpm: 9000 }), lb(25)]]).filter(
      ({ code }) => code === 'nitrate-single-hay',
    );
    expect(single?.advice).toMatch(/^Do not feed it to these animals/);
  });
  test('the only water frozen is a danger; a feed that is no hay is not cored by the bale', () => {
    expect(raised([[MEADOW, lb(25)]], { water: { ...CREEK, frozen: true, onlySource: true } })).toContain(
      'water-frozen/danger',
    );
    const testing = { lotName: 'Mineral', daysSinceSample: null, daysUntilFed: null, balesCored: null, lotKg: null };
    const [missing] = labTestCautions({ ...testing, feedGroup: 'mineral' });
    expect(missing?.severity).toBe('watch');
    expect(missing?.advice).not.toContain('bales');
    expect(labTestCautions({ ...testing, daysUntilFed: 0 })[0]?.severity).toBe(labTestCautions(testing)[0]?.severity);
  });
  test("a label's least nitrate is no test of it", () => {
    const label = { id: 'l', method: 'label', analysis: { dryMatterPercent: 88, nitrateNitrogenPpm: 100 } } as const;
    expect(averageLabTests([label]).analysis.nitrateNitrogenPpm).toBeUndefined();
  });
});

test('a lot tested at 30 % moisture warns as the ticket does: 20 % is the most for small bales', () => {
  const lot = { lotName: 'Damp', keeping: 'dry hay', baleForm: 'small-square', observations: [] } as const;
  expect(observationCautions(lot)).toEqual([]);
  const tested = [{ sampledOn: '2027-01-10', moisturePercent: 30 }];
  expect(observationCautions({ ...lot, tested }).find(({ code }) => code === 'moisture-at-stacking')).toMatchObject({
    severity: 'danger',
    given: 30,
  });
});

describe('salt', () => {
  const plain = rationLotOf({ lotId: 'a', lotName: 'Meadow', hayKind: 'meadow', tests: [] });
  const salt = rationLotOf({ lotId: 's', lotName: 'Salt', hayKind: 'salt', tests: [] });
  const corn = rationLotOf({ lotId: 'c', lotName: 'Corn', hayKind: 'corn-grain', tests: [] });
  const shortOf = (...parts: readonly Part[]) => cautionsOf(parts).find(({ code }) => code === 'sodium-low');

  test('is called for beside plain grass hay, which is not tested for sodium, with the number that raised it', () => {
    // At most 0.055 % of grass was published (NRC 2000), 0.08 % is needed (University of Arkansas MP391).
    const { given = NaN, message } = shortOf([plain, lb(25)]) ?? {};
    const layers = ration([plain, lb(25)]);
    const { dryMatterIntakeKgPerDay } = requestOf(layers).requirement;
    expect(given).toBeCloseTo((0.055 / 0.08) * (rationSupply({ layers }).dryMatterKg / dryMatterIntakeKgPerDay), 6);
    expect(message).toContain(
      'Meadow was not tested for sodium; grass hay seldom holds more than 0.055 %, which is taken.',
    );
    expect(shortOf([plain, lb(22)], [corn, lb(3)])).toBeDefined();
  });

  test('in the ration by the ounce ends it, and alfalfa nobody tested is not said to lack it', () => {
    expect(shortOf([plain, lb(25)], [salt, lb(0.1)])).toBeUndefined();
    expect(shortOf([{ ...plain, legumeShare: 1 }, lb(25)])).toBeUndefined();
  });
});
