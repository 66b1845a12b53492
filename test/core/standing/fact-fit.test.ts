/*
 * What cannot be written down of a herd beside what stands. Days are counted by hand in a calendar: a calf is carried
 * 283 days, one that comes before day 260 does not live (named in standing.data.ts).
 */
import { calvingDoubt, misfitOf } from '../../../src/core/standing/fact-fit.js';
import { sexesOf } from '../../../src/core/standing/class-and-sex.js';
import { herdStateOn } from '../../../src/core/standing/herd-state.js';
import type { FactOf, StatedFact, HerdFact } from '../../../src/core/standing/herd-on-file.js';
import { ANIMAL_CLASSES, ANIMAL_SEXES } from '../../../src/core/requirements/requirement-set.js';
import { addDays } from '../../../src/core/time/calendar-day.js';
import fc from '../../support/properties.js';

let written = 0;
const fact = (on: string, told: StatedFact): HerdFact => ({
  ...told,
  on,
  recordedAt: `${on}T12:00:00Z`,
  id: String((written += 1)).padStart(6, '0'),
});
const bred = (on: string, lastOn: string): HerdFact => fact(on, { kind: 'bred', lastOn, service: 'bull' });
const checked = (on: string, headChecked: number, headOpen: number): HerdFact =>
  fact(on, { kind: 'pregnancy-check', headChecked, headOpen });
const calved = (on: string, lastOn: string | null = null) =>
  fact(on, { kind: 'calved', medianOn: null, lastOn }) as FactOf<'calved'>;
const weaned = (on: string): HerdFact => fact(on, { kind: 'weaned' });
const misfit = (standing: readonly HerdFact[], one: HerdFact) => misfitOf(standing, one, 'dry-pregnant-cow');

const SUMMER = bred('2026-06-15', '2026-08-15');

describe('a calving', () => {
  it('months before the breeding gives one is refused with both days and the way out', () => {
    const found = misfit([SUMMER, checked('2026-10-20', 119, 7)], calved('2026-11-25'));
    // 260 days after 15 June.
    expect(found).toMatchObject({ code: 'calving-outside-breeding', given: '2026-11-25' });
    expect(found?.allowed.startsWith('2027-03-02 to ')).toBe(true);
    expect(found?.message).toMatch(/Bred from 2026-06-15 to 2026-08-15.*2026-11-25.*reverse/s);
  });

  it('after the last of them can have calved is refused, a year on it may be of a breeding nobody wrote down', () => {
    expect(misfit([SUMMER], calved('2027-09-01'))?.code).toBe('calving-outside-breeding');
    expect(misfit([SUMMER], calved('2028-03-20'))).toBeUndefined();
  });

  it('fits from premature to late, and before bulls that went in early', () => {
    for (const on of ['2027-03-05', '2027-03-25', '2027-05-20']) expect(misfit([SUMMER], calved(on))).toBeUndefined();
    expect(misfit([bred('2026-04-01', '2026-06-01')], calved('2026-03-10', '2026-05-05'))).toBeUndefined();
    expect(misfit([bred('2026-04-01', '2026-06-01')], calved('2026-04-20', '2026-05-05'))).toBeUndefined();
    expect(misfit([], calved('2026-11-25'))).toBeUndefined();
  });

  it('days after all bulls went out is of another breeding, which has to be entered', () => {
    const early = bred('2025-05-20', '2025-07-20');
    const found = misfit([early], calved('2025-08-01'));
    // 260 days after 20 May.
    expect(found).toMatchObject({ code: 'calving-outside-breeding', given: '2025-08-01' });
    expect(found?.allowed.startsWith('2026-02-04 to ')).toBe(true);
    expect(misfit([calved('2025-08-01')], early)?.code).toBe('calving-outside-breeding');
    // 1 August is 283 days after 22 October.
    expect(misfit([bred('2024-10-15', '2024-12-15'), early], calved('2025-08-01'))).toBeUndefined();
  });

  it('whose last calf comes later than its breeding gives one is refused, unlikely late it is believed', () => {
    const early = bred('2025-05-20', '2025-07-20');
    const late = misfit([early], calved('2026-03-01', '2026-12-31'));
    expect(late).toMatchObject({ code: 'last-calf-outside-breeding', field: 'lastOn', given: '2026-12-31' });
    expect(late?.message).toMatch(/from 2025-05-20 to 2025-07-20.*2026-12-31.*enter that (breeding|one)/s);
    const median = fact('2026-03-01', { kind: 'calved', medianOn: '2026-08-01', lastOn: null });
    expect(misfit([early], median)).toMatchObject({ code: 'last-calf-outside-breeding', field: 'medianOn' });
    expect(misfit([calved('2026-03-01', '2026-12-31')], early)?.code).toBe('last-calf-outside-breeding');
    // 283 + 16 days after 20 July is 15 May; 283 - 16 after 20 May is 11 February.
    for (const [first, last] of [
      ['2026-02-11', '2026-05-15'],
      ['2026-03-01', null],
    ] as const)
      expect(calvingDoubt([early], calved(first, last))).toBeUndefined();
    for (const [first, last, told] of [
      ['2026-03-01', '2026-05-25', /2026-05-15.*2026-05-25/],
      ['2026-02-05', '2026-04-10', /2026-02-11.*2026-02-05/],
    ] as const) {
      expect(misfit([early], calved(first, last))).toBeUndefined();
      expect(calvingDoubt([early], calved(first, last))).toMatch(told);
    }
    // Where no breeding is on record, a calving of 305 days is told, one of 90 is not.
    expect(calvingDoubt([], calved('2026-03-01', '2026-12-31'))).toMatch(/2026-03-01 to 2026-12-31.*305 days/);
    expect(calvingDoubt([], calved('2026-03-01', '2026-05-30'))).toBeUndefined();
  });

  it('of cows that were all open is refused, of part of them it is of the pregnant alone', () => {
    expect(misfit([SUMMER, checked('2026-10-20', 50, 50)], calved('2027-04-01'))?.code).toBe('all-open');
    expect(misfit([SUMMER, checked('2026-10-20', 50, 49)], calved('2027-04-01'))).toBeUndefined();
  });

  it('a breeding or a check that stands to the digit is not taken twice; another of the same day is', () => {
    const early = bred('2025-05-20', '2025-07-20');
    const check = checked('2025-10-05', 100, 9);
    const calving = calved('2026-03-01', '2026-04-30');
    const standing = [early, check, calving];
    for (const same of [
      bred('2025-05-20', '2025-07-20'),
      checked('2025-10-05', 100, 9),
      calved('2026-03-01', '2026-04-30'),
    ])
      expect(misfit(standing, same)).toMatchObject({ code: 'recorded-already', given: same.on });
    for (const other of [
      fact('2025-05-20', { kind: 'bred', lastOn: '2025-07-20', service: 'insemination' }),
      bred('2025-05-20', '2025-07-10'),
      checked('2025-10-05', 100, 8),
      calved('2026-03-01', '2026-04-28'),
    ])
      expect(misfit(standing, other)).toBeUndefined();
  });

  it('refuses a breeding or a check that is written down against it afterward', () => {
    expect(misfit([calved('2026-11-25')], SUMMER)?.code).toBe('calving-outside-breeding');
    expect(misfit([SUMMER, calved('2027-04-01')], checked('2026-10-20', 50, 50))?.code).toBe('all-open');
    expect(misfit([SUMMER, calved('2027-04-01')], checked('2026-10-20', 50, 10))).toBeUndefined();
  });

  it('that stands in the books too early leaves the open cows open', () => {
    const state = herdStateOn(
      {
        sex: 'cow',
        breedType: 'bos-taurus-beef',
        matureKg: null,
        peakMilkKg: null,
        entry: { kg: 560, on: '2026-01-01' },
        entered: { cattleClass: 'dry-pregnant-cow' },
        facts: [SUMMER, checked('2026-10-20', 100, 6), calved('2026-11-25')],
        weighings: [],
        flows: [],
      },
      '2027-04-20',
    );
    expect(state.share.inMilk).toBeCloseTo(0.94, 6);
    expect(state.calving).toMatchObject({ how: 'recorded', shareCalved: 0.94, shareOpen: 0.06 });
  });

  it('as it is expected always fits', () => {
    const days = fc.integer({ min: 0, max: 365 }).map((number) => addDays('2025-01-01', number));
    fc.assert(
      fc.property(days, fc.integer({ min: 0, max: 120 }), fc.integer({ min: -20, max: 20 }), (on, span, early) => {
        const breeding = bred(on, addDays(on, span));
        expect(misfit([breeding], calved(addDays(on, 283 + early)))).toBeUndefined();
      }),
    );
  });
});

describe('a weaning', () => {
  it('of no calves is refused', () => {
    expect(misfit([], weaned('2026-10-10'))?.code).toBe('not-calved');
    expect(misfit([SUMMER], weaned('2026-10-10'))?.code).toBe('not-calved');
    expect(misfit([SUMMER], weaned('2027-10-10'))).toBeUndefined();
    expect(misfitOf([], weaned('2026-10-10'), 'lactating-cow')).toBeUndefined();
  });

  it('of the same calves again is refused, that of the next ones is not', () => {
    const facts = [calved('2026-03-22', '2026-05-25'), SUMMER, weaned('2026-10-10')];
    expect(misfit(facts, weaned('2026-10-20'))).toMatchObject({ code: 'weaned-already', given: '2026-10-20' });
    expect(misfit(facts, weaned('2027-10-20'))).toBeUndefined();
  });
});

describe('class and sex', () => {
  it('allows each class some sex, and never a steer that calves or a cow that is a bull', () => {
    for (const cattleClass of ANIMAL_CLASSES) expect(sexesOf(cattleClass).length).toBeGreaterThan(0);
    expect(sexesOf('lactating-cow')).not.toContain('steer');
    expect(sexesOf('first-calf-heifer')).not.toContain('bull');
    expect(sexesOf('bull')).toEqual(['bull']);
    expect(sexesOf('growing-calf')).toEqual(ANIMAL_SEXES.filter((sex) => sex !== 'cow'));
  });
});
