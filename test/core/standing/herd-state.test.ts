/*
 * The state of a herd on a day, read from what was written down. Days are counted by hand in a calendar; 283 days of
 * gestation, 60 % settled in 21 days and 87 % in 42 are the published means named in standing.data.ts.
 */
import { classOfNoEffect, herdStateOn, herdThroughTime } from '../../../src/core/standing/herd-state.js';
import type { AnimalClass } from '../../../src/core/requirements/requirement-set.js';
import type { StatedFact, HerdFact, HerdOnFile } from '../../../src/core/standing/herd-on-file.js';
import { addDays, daysBetween } from '../../../src/core/time/calendar-day.js';
import fc, { examples } from '../../support/properties.js';

let written = 0;
const fact = (on: string, told: StatedFact, recordedAt = `${on}T12:00:00Z`): HerdFact => ({
  ...told,
  on,
  recordedAt,
  id: String((written += 1)).padStart(6, '0'),
});
const bred = (on: string, lastOn = on, service: 'bull' | 'insemination' | null = null): HerdFact =>
  fact(on, { kind: 'bred', lastOn, service });
const calved = (on: string, medianOn: string | null = null, lastOn: string | null = null): HerdFact =>
  fact(on, { kind: 'calved', medianOn, lastOn });
const weaned = (on: string): HerdFact => fact(on, { kind: 'weaned' });

const cows = (facts: readonly HerdFact[], more: Partial<HerdOnFile> = {}): HerdOnFile => ({
  sex: 'cow',
  breedType: 'bos-taurus-beef',
  matureKg: 590,
  peakMilkKg: null,
  entry: { kg: 590, on: '2025-11-01' },
  entered: { cattleClass: 'dry-pregnant-cow' },
  facts,
  weighings: [],
  flows: [],
  ...more,
});

describe('breeding, calving and milk', () => {
  it('carries cows that were bred on a day through calving into milk without an edit', () => {
    const herd = cows([bred('2025-06-10')]);
    const main = (day: string) => herdStateOn(herd, day).main;
    expect(main('2026-02-10')).toMatchObject({ class: 'dry-pregnant-cow', daysPregnant: 245 });
    expect(herdStateOn(herd, '2026-03-20').calving).toMatchObject({ how: 'expected', median: '2026-03-20' });
    expect(main('2026-04-19')).toMatchObject({ class: 'lactating-cow', daysInMilk: 30 });
    expect(main('2026-04-19').daysPregnant).toBeUndefined();
  });

  it('reads the days of a calving back as they were entered, with or without a breeding before it', () => {
    const typed = ['2026-03-28', '2026-04-15', '2026-05-20'] as const;
    for (const before of [[], [bred('2025-06-10')], [bred('2025-06-15', '2025-08-20', 'bull')]]) {
      const days = (facts: HerdFact[]) => herdStateOn(cows([...before, ...facts]), '2026-06-01').calving;
      expect(days([calved(...typed)])).toMatchObject({ first: typed[0], median: typed[1], last: typed[2] });
      expect(days([calved(typed[0], null, typed[2])])).toMatchObject({ first: typed[0], last: typed[2] });
      expect(days([calved(typed[0], typed[1])])).toMatchObject({ first: typed[0], median: typed[1] });
      expect(days([calved(typed[0])])).toMatchObject({ first: typed[0] });
    }
  });

  it("keeps last winter when this year's breeding is entered", () => {
    const before = cows([bred('2025-06-10', '2025-08-10', 'bull')]);
    const after = cows([...before.facts, bred('2026-06-15', '2026-08-15', 'bull')]);
    for (const day of ['2025-12-01', '2026-02-10', '2026-03-25', '2026-05-01'])
      expect(herdStateOn(after, day)).toEqual(herdStateOn(before, day));
  });

  it('settles 60 of 96 to the first heat of a 63-day season, and 87 of 96 to the first two', () => {
    const herd = herdThroughTime(cows([bred('2025-06-01', '2025-08-02', 'bull')]));
    expect(herd.on('2025-06-21').share.pregnant).toBeCloseTo(60 / 96, 1);
    expect(herd.on('2025-07-12').share.pregnant).toBeCloseTo(87 / 96, 1);
    expect(herd.on('2025-08-02').share.pregnant).toBe(1);
  });

  it('spreads calving over its days: part in milk, part pregnant, none of it at once', () => {
    const herd = herdThroughTime(cows([bred('2025-06-01', '2025-08-02', 'bull')]));
    const middle = herd.on(addDays('2025-06-17', 283));
    expect(middle.share.inMilk).toBeGreaterThan(0.35);
    expect(middle.share.inMilk).toBeLessThan(0.65);
    expect(middle.share.inMilk + middle.share.pregnant).toBeCloseTo(1, 6);
    expect(new Set(middle.parts.map((part) => part.animal.class))).toEqual(
      new Set(['dry-pregnant-cow', 'lactating-cow']),
    );
    for (const part of middle.parts.filter((one) => one.animal.class === 'lactating-cow'))
      expect(part.animal.daysInMilk).toBeLessThan(35);
  });

  it('takes a calving that was written down in place of the expected one', () => {
    const herd = cows([bred('2025-06-10'), calved('2026-03-01', '2026-03-21', '2026-05-05')]);
    expect(herdStateOn(herd, '2026-02-28').calving).toMatchObject({
      how: 'recorded',
      first: '2026-03-01',
      last: '2026-05-05',
    });
    expect(herdStateOn(herd, '2026-02-28').share.inMilk).toBe(0);
    expect(herdStateOn(herd, '2026-03-21').share.inMilk).toBeCloseTo(0.5, 1);
    expect(herdStateOn(herd, '2026-05-05').share.inMilk).toBe(1);
    expect(herdStateOn(herd, '2026-03-21').calving).toMatchObject({ how: 'recorded' });
  });

  it('knows from a calving alone that the cows were pregnant before it', () => {
    const { main, restsOn } = herdStateOn(cows([calved('2026-04-10', '2026-04-10', '2026-04-10')]), '2026-04-09');
    expect(main).toMatchObject({ class: 'dry-pregnant-cow', daysPregnant: 282 });
    expect(restsOn.map((one) => one.code)).toContain('breeding-from-the-calving');
  });

  it('leaves the share open that was found open, from the breeding on', () => {
    const check = fact('2025-10-01', { kind: 'pregnancy-check', headChecked: 120, headOpen: 9 });
    const herd = cows([bred('2025-06-10'), check]);
    const winter = herdStateOn(herd, '2026-01-15');
    expect(winter.share.pregnant).toBeCloseTo(1 - 9 / 120, 6);
    expect(winter.parts.find((part) => part.animal.class === 'dry-open-cow')?.share).toBeCloseTo(9 / 120, 6);
    expect(winter.parts.reduce((sum, part) => sum + part.share, 0)).toBeCloseTo(1, 6);
  });

  it('leaves open cows open until they are exposed again, and judgeable', () => {
    const check = fact('2025-10-05', { kind: 'pregnancy-check', headChecked: 50, headOpen: 10 });
    const herd = herdThroughTime(cows([bred('2025-06-01', '2025-08-01', 'bull'), check]));
    for (const day of ['2026-03-20', '2026-04-10', '2026-05-10', '2026-05-20', '2026-05-31']) {
      const { parts, restsOn } = herd.on(day);
      expect(parts.find((part) => part.animal.class === 'dry-open-cow')?.share).toBeCloseTo(0.2, 6);
      expect(restsOn.map((one) => one.code)).not.toContain('stage-not-known');
    }
  });

  it('lets no cow settle before she has calved and rested, and moves the calving with it', () => {
    // Bulls in while the herd still calves: the last, of 5 May, settle from 14 June on (40 days, Nebraska Extension).
    const herd = herdThroughTime(
      cows([calved('2026-03-10', null, '2026-05-05'), bred('2026-04-01', '2026-06-01', 'bull')]),
    );
    for (let index = 0; index < 120; index += 1)
      for (const { animal } of herd.on(addDays('2026-04-01', index)).parts)
        // Parts are the mean of a week.
        if (animal.daysInMilk !== undefined && animal.daysPregnant !== undefined)
          expect(animal.daysPregnant).toBeLessThanOrEqual(animal.daysInMilk - 40 + 7);
    // The first calved on 10 March, so the first can have settled on 19 April.
    for (const { animal } of herd.on('2027-01-11').parts)
      expect(animal.daysPregnant ?? 0).toBeLessThanOrEqual(daysBetween('2026-04-19', '2027-01-11'));
    const winter = herd.on('2027-01-11');
    const { calving } = winter;
    // 283 days after 19 April is 27 January; the shortest gestation that counts is 16 days less.
    expect(calving?.first.localeCompare('2027-01-11')).toBeGreaterThanOrEqual(0);
    expect(calving?.last.localeCompare(addDays('2026-06-14', 283))).toBeGreaterThanOrEqual(0);
    expect(calving?.shareCalved).toBe(0);
    expect(winter.restsOn.find((one) => one.code === 'calving-expected')?.message).toContain(calving?.first);
    expect(winter.restsOn.find((one) => one.code === 'bred-before-rested')?.sureness).toBe('assumed');
  });

  it('ends milk at the weaning, and takes 205 days where none is written down', () => {
    const facts = [calved('2026-04-01', '2026-04-01', '2026-04-01'), bred('2026-06-23')];
    const milk = (day: string, more: HerdFact[] = []) => herdStateOn(cows([...facts, ...more]), day).main;
    expect(milk('2026-10-22')).toMatchObject({ class: 'lactating-cow', daysInMilk: 204, daysPregnant: 121 });
    expect(milk('2026-10-23')).toMatchObject({ class: 'dry-pregnant-cow', daysPregnant: 122 });
    expect(milk('2026-09-15', [weaned('2026-09-15')])).toMatchObject({ class: 'dry-pregnant-cow' });
    expect(milk('2026-11-15', [weaned('2026-12-01')])).toMatchObject({ class: 'lactating-cow' });
  });

  it('takes the breeding of the year before again where none is written down, and says so', () => {
    const state = herdStateOn(cows([bred('2025-06-10')]), '2026-12-01');
    expect(state.main).toMatchObject({ class: 'dry-pregnant-cow', daysPregnant: 174 });
    expect(state.restsOn.find((one) => one.code === 'breeding-assumed')).toMatchObject({ sureness: 'assumed' });
    const open = fact('2026-11-20', { kind: 'class', cattleClass: 'dry-open-cow' });
    expect(herdStateOn(cows([bred('2025-06-10'), open]), '2026-12-01').main.class).toBe('dry-open-cow');
  });

  it('believes what was written down last: a class after the expected calving, a calving after that class', () => {
    const dry = fact('2026-04-20', { kind: 'class', cattleClass: 'dry-pregnant-cow' });
    const told = cows([bred('2025-06-10'), dry]);
    expect(herdStateOn(told, '2026-04-22').main.daysInMilk).toBeUndefined();
    const late = fact('2026-04-10', { kind: 'calved', medianOn: '2026-04-16', lastOn: null }, '2026-04-21T12:00:00Z');
    expect(herdStateOn(cows([...told.facts, late]), '2026-04-22').main).toMatchObject({ class: 'lactating-cow' });
  });

  it('does not guess a stage that nothing tells of', () => {
    const state = herdStateOn(cows([]), '2026-12-01');
    expect(state.main.class).toBe('dry-pregnant-cow');
    expect(state.main.daysPregnant).toBeUndefined();
    expect(state.restsOn[0]).toMatchObject({ code: 'stage-not-known', sureness: 'not-known' });
  });

  it('makes a bred replacement heifer a first-calf heifer with her calf, and a cow with the next', () => {
    const heifers = cows([bred('2025-06-10'), bred('2026-07-01')], {
      sex: 'heifer',
      entered: { cattleClass: 'replacement-heifer' },
    });
    expect(herdStateOn(heifers, '2025-06-01').main).toMatchObject({ class: 'replacement-heifer' });
    expect(herdStateOn(heifers, '2026-01-01').main).toMatchObject({ class: 'replacement-heifer', daysPregnant: 205 });
    expect(herdStateOn(heifers, '2026-04-19').main).toMatchObject({ class: 'first-calf-heifer', daysInMilk: 30 });
    expect(herdStateOn(heifers, '2027-05-10').main).toMatchObject({ class: 'lactating-cow', sex: 'cow' });
  });

  // NRC 2000 target weights: 60 % of mature weight at first breeding, 80 % at first calving, 92 % at the second; of
  // 1,200 lb that is 720, 960 and 1,104 lb.
  describe('heifers of which no gain is wanted or measured', () => {
    const LB = 0.45359237;
    const file = (facts: readonly HerdFact[], more: Partial<HerdOnFile> = {}) =>
      cows(facts, {
        sex: 'heifer',
        matureKg: 1200 * LB,
        entry: { kg: 540 * LB, on: '2025-11-01' },
        entered: { cattleClass: 'replacement-heifer' },
        ...more,
      });
    const heifers = file([bred('2026-05-20')]);
    const pounds = (herd: HerdOnFile, day: string) => herdStateOn(herd, day).weight.kg / LB;

    it('grow to their target weights at breeding and at calving, and it is said', () => {
      expect(Math.abs(pounds(heifers, '2026-05-20') / 720 - 1)).toBeLessThan(0.01);
      expect(Math.abs(pounds(heifers, addDays('2026-05-20', 283)) / 960 - 1)).toBeLessThan(0.01);
      // Weaned and dry in the second winter, she is still on her way to her second calf.
      expect(Math.abs(pounds(heifers, addDays('2026-05-20', 283 + 365)) / 1104 - 1)).toBeLessThan(0.01);
      const { weight, restsOn } = herdStateOn(heifers, '2026-02-10');
      expect(weight.restsOn).toMatchObject({ what: 'entry', gain: 'target-weights' });
      const note = restsOn.find(({ code }) => code === 'old-weight');
      expect(note).toMatchObject({ sureness: 'assumed' });
      expect(note?.message).toContain('60 % of mature weight at breeding');
    });
    it('gain on each day what their need asks for, without a step back', () => {
      const herd = herdThroughTime(heifers);
      let last = 0;
      for (let index = 0; index < 800; index += 7) {
        const { kg } = herd.on(addDays('2025-11-01', index)).weight;
        expect(kg).toBeGreaterThanOrEqual(last);
        expect(last === 0 ? 0 : kg - last).toBeLessThan(7);
        last = kg;
      }
      const { main } = herd.on('2026-02-10');
      expect(main.daysToBreeding).toBe(99);
      const asked = (720 * LB - main.fullBodyWeightKg) / 99;
      const gained = herd.on('2026-02-11').weight.kg - main.fullBodyWeightKg;
      expect(gained).toBeCloseTo(asked, 2);
    });
    it('keep their weight where no breeding or no mature weight is known, and go by a wanted or measured gain', () => {
      expect(herdStateOn(file([]), '2026-02-10').weight.restsOn).toMatchObject({ gain: 'not-known', gainedKg: 0 });
      const small = file(heifers.facts, { matureKg: null });
      expect(herdStateOn(small, '2026-02-10').weight.restsOn).toMatchObject({ gain: 'not-known', gainedKg: 0 });
      const told = file([...heifers.facts, fact('2025-11-01', { kind: 'target-gain', kgPerDay: 0.5 })]);
      expect(herdStateOn(told, '2026-02-09').weight).toMatchObject({ restsOn: { gain: 'wanted' } });
      const weighed = file(heifers.facts, {
        weighings: [
          { on: '2025-11-01', meanKg: 250, fill: 'full' },
          { on: '2025-12-21', meanKg: 275, fill: 'full' },
        ],
      });
      expect(herdStateOn(weighed, '2026-02-09').weight.kg).toBeCloseTo(275 + 50 * 0.5, 6);
    });
  });

  it('does not take heifers that came in the place of others to be bred or in milk', () => {
    const next = fact('2026-10-20', { kind: 'class', cattleClass: 'replacement-heifer' });
    const heifers = cows([bred('2025-06-10'), next], { sex: 'heifer', entered: { cattleClass: 'replacement-heifer' } });
    for (const day of ['2026-10-20', '2026-12-01', '2027-04-20']) {
      const { main } = herdStateOn(heifers, day);
      expect(main.class).toBe('replacement-heifer');
      expect([main.daysPregnant, main.daysInMilk]).toEqual([undefined, undefined]);
    }
  });

  it('spreads an insemination that bulls follow: 60 % to its day, the rest by the heats of the bulls', () => {
    const facts = [bred('2025-06-01', '2025-06-01', 'insemination'), bred('2025-06-15', '2025-07-26', 'bull')];
    const herd = herdThroughTime(cows(facts));
    expect(herd.on('2025-06-14').share.pregnant).toBeCloseTo(0.6, 1);
    expect(herd.on('2025-07-26').share.pregnant).toBe(1);
  });
});

describe('what holds on a day', () => {
  const score = (on: string, value: number | null): HerdFact => fact(on, { kind: 'condition', score: value });

  it('is the newest score up to the day, and the first one before it', () => {
    const herd = cows([score('2025-11-10', 5.5), score('2026-02-01', 4.5)]);
    expect(herdStateOn(herd, '2025-10-01').condition).toEqual({
      score: 5.5,
      on: '2025-11-10',
      daysAgo: -40,
      from: 'scored',
    });
    expect(herdStateOn(herd, '2026-01-31').condition).toMatchObject({ score: 5.5 });
    expect(herdStateOn(herd, '2026-02-03').condition).toEqual({
      score: 4.5,
      on: '2026-02-01',
      daysAgo: 2,
      from: 'scored',
    });
  });

  it('says from when on class, place and wanted gain are known, and takes the first of them before', () => {
    const herd = cows(
      [
        fact('2026-02-14', { kind: 'place', placeId: 'D' }),
        fact('2026-11-29', { kind: 'place', placeId: 'W' }),
        fact('2026-11-29', { kind: 'class', cattleClass: 'growing-calf' }),
      ],
      { sex: 'steer', entered: { cattleClass: 'growing-calf' } },
    );
    const before = herdStateOn(herd, '2025-11-01');
    expect(before.placeId).toBe('D');
    const first = (code: string) => before.restsOn.find((one) => one.code === code);
    expect(first('place-first-known-later')).toMatchObject({ sureness: 'assumed' });
    expect(first('place-first-known-later')?.message).toContain('2026-02-14');
    expect(first('class-first-known-later')?.message).toContain('2026-11-29');
    expect(first('no-wanted-gain')).toMatchObject({ sureness: 'not-known' });
    const codes = herdStateOn(herd, '2026-11-29').restsOn.map((one) => one.code);
    expect(codes.filter((code) => code.endsWith('first-known-later'))).toEqual([]);
  });

  it('is of two on one day the later written', () => {
    const told = (recordedAt: string, value: number): HerdFact =>
      fact('2026-02-01', { kind: 'condition', score: value }, recordedAt);
    const herd = cows([told('2026-02-01T18:00:00Z', 4), told('2026-02-01T09:00:00Z', 5)]);
    expect(herdStateOn(herd, '2026-02-02').condition?.score).toBe(4);
    expect(herdStateOn(herd, '2026-01-01').condition?.score).toBe(4);
  });
});

describe('cows that were bred again after they had been found open', () => {
  const open = (headOpen: number): HerdFact[] => [
    bred('2026-06-10', '2026-08-10', 'bull'),
    fact('2026-10-01', { kind: 'pregnancy-check', headChecked: 50, headOpen }),
    bred('2026-10-15', '2026-11-20', 'bull'),
  ];
  // 283 days after the first and the last day of exposure: 2027-07-25 and 2027-08-30.
  const [first, last] = [addDays('2026-10-15', 283), addDays('2026-11-20', 283)];
  const nearly = 21;

  it('calve from the second breeding where all were open, whichever day it is asked', () => {
    for (const day of ['2026-11-29', '2027-04-20', '2027-07-30']) {
      const { calving, share } = herdStateOn(cows(open(50)), day);
      expect(calving).toMatchObject({ how: 'expected', shareOpen: 0 });
      expect(Math.abs(daysBetween(first, calving?.first ?? day))).toBeLessThanOrEqual(nearly);
      expect(Math.abs(daysBetween(last, calving?.last ?? day))).toBeLessThanOrEqual(nearly);
      expect(share.pregnant + share.inMilk).toBeCloseTo(1, 6);
    }
    // Before they were bred again they are open.
    expect(herdStateOn(cows(open(50)), '2026-10-10').calving).toMatchObject({ shareOpen: 1 });
  });

  it('where half were open: those that carried calve in spring, and only the others in summer', () => {
    const herd = herdThroughTime(cows(open(25)));
    expect(herd.on('2026-12-15').share.pregnant).toBe(1);
    expect(herd.on('2027-06-15').share.inMilk).toBeCloseTo(0.5, 6);
    expect(herd.on('2027-06-15').share.pregnant).toBeCloseTo(0.5, 6);
    const { calving } = herd.on('2027-07-20');
    const days = [calving?.first, calving?.median, calving?.last].map((day) => daysBetween('2027-01-01', day ?? ''));
    expect(days).toEqual([...days].sort((one, other) => one - other));
    expect(Math.abs(daysBetween(first, calving?.first ?? ''))).toBeLessThanOrEqual(nearly);
    expect(Math.abs(daysBetween(last, calving?.last ?? ''))).toBeLessThanOrEqual(nearly);
  });
});

describe('weight between and after weighings', () => {
  const LB = 0.45359237;
  const steers = (more: Partial<HerdOnFile> = {}): HerdOnFile =>
    cows([fact('2025-11-01', { kind: 'target-gain', kgPerDay: 1.2 * LB })], {
      sex: 'steer',
      matureKg: null,
      entered: { cattleClass: 'growing-calf' },
      entry: { kg: 540 * LB, on: '2025-11-01' },
      weighings: [
        { on: '2025-11-14', meanKg: 560 * LB, fill: 'shrunk' },
        { on: '2026-01-20', meanKg: 622 * LB, fill: 'shrunk' },
        { on: '2026-03-31', meanKg: 693 * LB, fill: 'shrunk' },
      ],
      ...more,
    });
  const pounds = (file: HerdOnFile, day: string): number => herdStateOn(file, day).weight.kg / LB;

  it('does not fall back to the entry: 693 lb shrunk on 31 March is 784 lb shrunk on 15 June at 1.2 lb a day', () => {
    expect(pounds(steers(), '2026-03-31')).toBeCloseTo(693 / 0.96, 6);
    // 76 days.
    expect(pounds(steers(), '2026-06-15')).toBeCloseTo((693 + 76 * 1.2) / 0.96, 6);
  });

  it('a gain first wanted later than the weight counts from its own day on', () => {
    const later = steers({
      facts: [fact('2026-05-01', { kind: 'target-gain', kgPerDay: 1.5 * LB })],
      weighings: [],
      entry: { kg: 600 * LB, on: '2026-04-01' },
    });
    expect(pounds(later, '2026-04-30')).toBeCloseTo(600, 6);
    expect(herdStateOn(later, '2026-04-30').targetGainKgPerDay).toBeNull();
    // Ten days at 1.5 lb of shrunk weight.
    expect(pounds(later, '2026-05-11')).toBeCloseTo(600 + 15 / 0.96, 6);
  });

  it('grows at the gain between the last two weighings where none is wanted', () => {
    // 71 lb in 70 days.
    expect(pounds(steers({ facts: [] }), '2026-04-10')).toBeCloseTo((693 + (10 * 71) / 70) / 0.96, 6);
  });

  it('a few head over the scale tell less of the herd, and nothing where they cannot be like it', () => {
    const herdOf50 = (head: number, kg: number): HerdOnFile =>
      steers({
        facts: [],
        entry: { kg: 250, on: '2025-11-01' },
        flows: [{ on: '2025-11-01', head: 50, meanKg: null }],
        weighings: [
          { on: '2025-11-20', meanKg: 260, head: 50, fill: 'full' },
          { on: '2025-11-22', meanKg: kg, head, fill: 'full' },
        ],
      });
    const on = (file: HerdOnFile) => herdStateOn(file, '2025-11-22').weight;
    expect(on(herdOf50(50, 262))).toMatchObject({ kg: 262, restsOn: { on: '2025-11-22' } });
    // Single animals differ by a tenth of their weight; of two in fifty the mean is off by 2 x 0.1 / sqrt(2) x
    // sqrt(48 / 50) = 13.9 % at most, by the usual rule for a sample without return (Cochran 1977, eq. 2.20, from
    // memory).
    const two = on(herdOf50(2, 262));
    expect(two.kg).toBe(262);
    expect(two.plusMinusKg / 262).toBeCloseTo(Math.hypot(0.02, (2 * 0.1 * Math.sqrt(0.96)) / Math.SQRT2), 3);
    // 400 kg two days after 260: not these cattle, whatever few they are.
    expect(on(herdOf50(20, 400))).toMatchObject({ restsOn: { on: '2025-11-20', kg: 260 } });
    expect(herdStateOn(herdOf50(20, 400), '2025-11-22').restsOn.map((one) => one.code)).toContain('weight-left-out');
  });

  it('does not grow beyond the grown weight', () => {
    const { weight } = herdStateOn(steers({ matureKg: 340 }), '2026-09-01');
    expect(weight.kg).toBe(340);
    expect(weight.restsOn.stoppedAtGrown).toBe(true);
  });

  it('is moved by cattle that come lighter', () => {
    const file = steers({
      flows: [
        { on: '2025-11-01', head: 90, meanKg: null },
        { on: '2026-03-31', head: -1, meanKg: null },
        { on: '2026-04-01', head: 89, meanKg: 500 * LB },
      ],
      facts: [],
      weighings: [{ on: '2026-03-31', meanKg: 700 * LB, fill: 'full' }],
    });
    expect(pounds(file, '2026-04-02')).toBeCloseTo(600, 6);
  });

  it('leaves calf and fluids out of a cow that was weighed late in gestation', () => {
    // NRC 2000: 38.5 x 0.01828 x exp(0.02 x 260 - 0.0000143 x 260^2) = 48.5 kg at 260 days.
    const file = cows([bred('2025-06-10')], { weighings: [{ on: '2026-02-25', meanKg: 640, fill: 'full' }] });
    const { weight } = herdStateOn(file, '2026-02-25');
    expect(weight.conceptusKg).toBeCloseTo(48.5, 0);
    expect(weight.kg).toBeCloseTo(640 - 48.5, 0);
    // What the scale showed stays beside it, on later days too.
    const { restsOn } = herdStateOn(file, '2026-04-30').weight;
    expect(restsOn.kg + restsOn.conceptusKg).toBeCloseTo(640, 6);
    expect(herdStateOn(file, '2026-04-30').weight.kg).toBeCloseTo(weight.kg, 6);
  });

  it('is less sure the older the weighing is', () => {
    const sure = (day: string): number => herdStateOn(steers(), day).weight.plusMinusKg;
    expect(sure('2026-06-15')).toBeGreaterThan(sure('2026-04-15'));
  });
});

/* Any herd of cows whose people write down what happens, in a biologically sound order, some of it not at all. */
const aYear = (year: number): fc.Arbitrary<HerdFact[]> =>
  fc
    .record({
      from: fc.integer({ min: 0, max: 40 }),
      days: fc.integer({ min: 0, max: 90 }),
      service: fc.constantFrom('bull' as const, 'insemination' as const, null),
      open: fc.option(fc.integer({ min: 0, max: 30 }), { nil: undefined }),
      late: fc.option(fc.integer({ min: -8, max: 8 }), { nil: undefined }),
      weaned: fc.option(fc.integer({ min: 150, max: 230 }), { nil: undefined }),
    })
    .map(({ from, days, service, open, late, weaned: age }) => {
      const first = addDays(`${year}-05-20`, from);
      const last = service === null ? first : addDays(first, service === 'bull' ? days : 0);
      const calf = addDays(first, 283 + (late ?? 0));
      return [
        bred(first, last, service),
        ...(open === undefined
          ? []
          : [fact(addDays(last, 60), { kind: 'pregnancy-check', headChecked: 100, headOpen: open })]),
        ...(late === undefined ? [] : [calved(calf, addDays(calf, 20), addDays(calf, 60))]),
        ...(age === undefined ? [] : [weaned(addDays(calf, age))]),
      ];
    });

describe('any herd of cows', () => {
  const days = fc.integer({ min: 0, max: 800 }).map((number) => addDays('2025-01-01', number));

  it('has parts that add up to the herd, each with the days that its class needs', () => {
    fc.assert(
      fc.property(aYear(2025), aYear(2026), days, (first, second, day) => {
        const state = herdStateOn(cows([...first, ...second]), day);
        expect(state.parts.reduce((sum, part) => sum + part.share, 0)).toBeCloseTo(1, 5);
        const known = !state.restsOn.some((one) => one.code === 'stage-not-known');
        for (const { animal } of state.parts) {
          if (animal.class === 'lactating-cow') expect(animal.daysInMilk).toBeGreaterThanOrEqual(0);
          if (known && animal.class === 'dry-pregnant-cow') expect(animal.daysPregnant).toBeLessThanOrEqual(300);
        }
      }),
      { numRuns: examples(200) },
    );
  });

  it('is known on every day of two years where everything was written down, and the open stay open', () => {
    const whole = fc
      .record({
        from: fc.integer({ min: 0, max: 40 }),
        season: fc.integer({ min: 20, max: 120 }),
        open: fc.array(fc.integer({ min: 0, max: 60 }), { minLength: 3, maxLength: 3 }),
        shift: fc.array(fc.integer({ min: -8, max: 8 }), { minLength: 3, maxLength: 3 }),
        calving: fc.integer({ min: 20, max: 120 }),
        age: fc.integer({ min: 150, max: 230 }),
        checked: fc.integer({ min: 30, max: 120 }),
      })
      .map(({ from, season, open, shift, calving, age, checked }) =>
        [2025, 2026, 2027].flatMap((year, index) => {
          const first = addDays(`${year}-05-20`, from);
          const last = addDays(first, season);
          const calf = addDays(first, 283 + (shift[index] ?? 0));
          return [
            bred(first, last, 'bull'),
            fact(addDays(last, checked), { kind: 'pregnancy-check', headChecked: 60, headOpen: open[index] ?? 0 }),
            ...(open[index] === 60
              ? []
              : [calved(calf, null, addDays(calf, calving)), weaned(addDays(calf, calving + age))]),
          ];
        }),
      );
    fc.assert(
      fc.property(whole, (facts) => {
        const herd = herdThroughTime(cows(facts));
        const start = facts[0]?.on ?? '';
        for (let index = 0; index < 730; index += 6) {
          const day = addDays(start, index);
          const { parts, restsOn, share, calving } = herd.on(day);
          expect([day, restsOn.map((one) => one.code)]).not.toEqual([day, expect.arrayContaining(['stage-not-known'])]);
          expect(parts.reduce((sum, part) => sum + part.share, 0)).toBeCloseTo(1, 5);
          for (const { animal } of parts) {
            if (animal.class === 'dry-pregnant-cow') expect(animal.daysPregnant).toBeGreaterThanOrEqual(0);
            expect([day, animal.daysPregnant ?? 0]).toEqual([day, Math.min(animal.daysPregnant ?? 0, 300)]);
          }
          // Nobody calves beside those that were pregnant.
          if (calving !== null) expect(calving.shareCalved + calving.shareOpen).toBeLessThanOrEqual(1 + 1e-6);
          expect(share.pregnant).toBeLessThanOrEqual(1);
        }
      }),
      { numRuns: examples(8) },
    );
  });

  it('stands the same in whatever order its facts are read', () => {
    fc.assert(
      fc.property(aYear(2025), aYear(2026), days, fc.infiniteStream(fc.nat()), (first, second, day, keys) => {
        const facts = [...first, ...second];
        const shuffled = facts
          .map((one) => ({ one, key: Number(keys.next().value) }))
          .sort((a, b) => a.key - b.key)
          .map(({ one }) => one);
        expect(herdStateOn(cows(shuffled), day)).toEqual(herdStateOn(cows(facts), day));
      }),
      { numRuns: examples(100) },
    );
  });

  it('keeps its past when the next year is written down', () => {
    fc.assert(
      fc.property(aYear(2025), aYear(2026), days, (first, second, day) => {
        const next = second[0]?.on ?? '';
        // Until the season would come again: from then on it is taken to, if no other is written down.
        fc.pre(daysBetween(day, next) > 0 && daysBetween(first[0]?.on ?? '', day) < 365);
        const [before, after] = [cows(first), cows([...first, ...second])].map((file) => herdStateOn(file, day));
        expect(after?.parts).toEqual(before?.parts);
        expect(after?.weight).toEqual(before?.weight);
      }),
      { numRuns: examples(200) },
    );
  });

  it('calves a few a day: no day moves more of it than a share of the spread', () => {
    fc.assert(
      fc.property(aYear(2025), days, (facts, day) => {
        fc.pre(facts.every((one) => one.kind !== 'bred' || one.service !== null));
        const herd = herdThroughTime(cows(facts));
        const weaning = facts.find((one) => one.kind === 'weaned');
        fc.pre(weaning === undefined || weaning.on !== addDays(day, 1));
        const [today, tomorrow] = [herd.on(day), herd.on(addDays(day, 1))];
        // Weaning is one day of the whole herd.
        if (tomorrow.share.inMilk >= today.share.inMilk)
          expect(tomorrow.share.inMilk - today.share.inMilk).toBeLessThanOrEqual(0.21);
      }),
      { numRuns: examples(200) },
    );
  });
});

describe('any herd of growing cattle', () => {
  const weighings = fc
    .array(fc.record({ after: fc.integer({ min: 1, max: 90 }), gain: fc.double({ min: 0, max: 1.5, noNaN: true }) }), {
      maxLength: 5,
    })
    .map((steps) => {
      let [on, meanKg] = ['2025-11-01', 250];
      return steps.map(({ after, gain }) => {
        on = addDays(on, after);
        meanKg += after * gain;
        return { on, meanKg, fill: 'full' as const };
      });
    });
  const wanted = fc.option(fc.double({ min: 0, max: 1.5, noNaN: true }), { nil: null });

  it('never weighs less on a later day, but for a weighing in between', () => {
    fc.assert(
      fc.property(weighings, wanted, fc.nat(400), fc.integer({ min: 1, max: 200 }), (taken, kgPerDay, from, days) => {
        const facts = kgPerDay === null ? [] : [fact('2025-11-01', { kind: 'target-gain', kgPerDay })];
        const herd = herdThroughTime(
          cows(facts, {
            sex: 'steer',
            matureKg: 600,
            entered: { cattleClass: 'growing-calf' },
            entry: { kg: 250, on: '2025-11-01' },
            weighings: taken,
          }),
        );
        const [one, other] = [addDays('2025-11-01', from), addDays('2025-11-01', from + days)];
        fc.pre(!taken.some((weighing) => weighing.on > one && weighing.on <= other));
        expect(herd.on(other).weight.kg).toBeGreaterThanOrEqual(herd.on(one).weight.kg - 1e-9);
      }),
      { numRuns: examples(200) },
    );
  });
});

describe('a class that was told', () => {
  const told = (on: string, cattleClass: AnimalClass, recordedAt?: string): HerdFact =>
    fact(on, { kind: 'class', cattleClass }, recordedAt);
  const check = (on: string, headOpen: number, recordedAt?: string): HerdFact =>
    fact(on, { kind: 'pregnancy-check', headChecked: 50, headOpen }, recordedAt);
  const effect = (facts: readonly HerdFact[], one: HerdFact): string | undefined =>
    one.kind === 'class'
      ? classOfNoEffect([...facts, one], { cattleClass: 'dry-pregnant-cow', sex: 'cow' }, one)
      : undefined;
  const classOn = (facts: readonly HerdFact[], day: string) => herdStateOn(cows(facts), day).main.class;
  const wintering = [bred('2026-06-20'), calved('2026-03-20'), weaned('2026-10-10'), check('2026-10-12', 0)];

  it('says why it changes nothing and what would, where all that happened makes them another', () => {
    const milking = told('2027-01-10', 'lactating-cow');
    expect(classOn([...wintering, milking], '2027-01-10')).toBe('dry-pregnant-cow');
    const words = effect(wintering, milking) ?? '';
    for (const said of [
      'The class lactating cow changes nothing: by what is on record they are dry pregnant cow on 2027-01-10.',
      'The calves were weaned on 2026-10-10.',
      '0 of 50 were open at the pregnancy check of 2026-10-12.',
      'enter the calving',
    ])
      expect(words).toContain(said);
    const open = [bred('2026-06-20'), check('2026-10-12', 50)];
    expect(effect(open, told('2026-11-01', 'dry-pregnant-cow'))).toContain('enter the breeding');
  });

  it('counts from its day on where nothing later speaks against it, and then says nothing', () => {
    const open = told('2027-01-10', 'dry-open-cow');
    expect(effect(wintering, open)).toBeUndefined();
    expect(classOn([...wintering, open], '2027-01-09')).toBe('dry-pregnant-cow');
    expect(classOn([...wintering, open], '2027-01-10')).toBe('dry-open-cow');
    // Whoever is checked on a later day is what the check finds.
    const checked = [...wintering, open, check('2027-01-12', 5, '2027-01-12T12:00:00Z')];
    expect(classOn(checked, '2027-01-12')).toBe('dry-pregnant-cow');
    expect(herdStateOn(cows(checked), '2027-01-12').share.pregnant).toBeCloseTo(0.9, 6);
    for (const one of ['dry-pregnant-cow', 'dry-open-cow'] as const)
      expect(effect([], told('2026-11-01', one))).toBeUndefined();
    expect(effect([calved('2026-03-20')], told('2026-05-01', 'lactating-cow'))).toBeUndefined();
  });

  it('of any herd on any day either makes some of them what it says, or says why not', () => {
    const classes = ['dry-open-cow', 'dry-pregnant-cow', 'lactating-cow', 'first-calf-heifer'] as const;
    fc.assert(
      fc.property(
        fc.record({
          bredAfter: fc.option(fc.integer({ min: 0, max: 60 })),
          open: fc.option(fc.integer({ min: 0, max: 50 })),
          calvedAfter: fc.option(fc.integer({ min: 0, max: 60 })),
          isWeaned: fc.boolean(),
          after: fc.integer({ min: 0, max: 500 }),
          cattleClass: fc.constantFrom(...classes),
        }),
        ({ bredAfter, open, calvedAfter, isWeaned, after, cattleClass }) => {
          const before = [
            ...(calvedAfter === null ? [] : [calved(addDays('2026-03-01', calvedAfter))]),
            ...(calvedAfter !== null && isWeaned ? [weaned('2026-10-10')] : []),
            ...(bredAfter === null ? [] : [bred(addDays('2026-06-01', bredAfter))]),
            ...(bredAfter === null || open === null ? [] : [check('2026-10-12', open)]),
          ];
          const one = told(addDays('2026-03-01', after), cattleClass);
          const { parts } = herdStateOn(cows([...before, one]), one.on);
          const some = parts.some(({ animal }) => animal.class === cattleClass);
          expect([some, effect(before, one) === undefined]).toEqual([some, some]);
        },
      ),
      { numRuns: examples(200) },
    );
  });
});
