import { animalResults, unitsOfArm } from '../../../src/core/trial/analysis-sets.js';
import { findGaps, type FeedDay } from '../../../src/core/trial/find-gaps.js';
import { animal, arms, protocol, weigh } from './support.js';

const resultOf = (one: Parameters<typeof animalResults>[0]['animals'][number]) => {
  const [result] = animalResults({ protocol, animals: [one] });
  if (!result) throw new Error('no result');
  return result;
};
const codes = (one: { departures: readonly { code: string }[] }) => one.departures.map((departure) => departure.code);

describe('what each animal brings', () => {
  it('averages the two weighing days at each end', () => {
    const got = resultOf({
      ...animal('a', 'usual', 0),
      weighings: [weigh(0, 248), weigh(1, 252), weigh(60, 279), weigh(61, 281)],
    });
    expect(got).toMatchObject({
      startWeightKg: 250,
      endWeightKg: 280,
      days: 60,
      gainKgPerDay: 0.5,
      gainTo: 'end',
      followedProtocol: true,
      departures: [],
      headDays: 60,
    });
  });
  it('repeats on one day count as one day', () => {
    const got = resultOf({
      ...animal('a', 'usual', 0),
      weighings: [weigh(0, 240), weigh(0, 260), weigh(1, 254), weigh(60, 282), weigh(61, 282)],
    });
    expect(got.startWeightKg).toBe(252);
  });
  it('with one of two weighings the days are counted from that one', () => {
    const got = resultOf({ ...animal('a', 'usual', 0), weighings: [weigh(1, 250), weigh(60, 280), weigh(61, 280)] });
    expect(got.days).toBe(59.5);
    expect(got.departures).toEqual([
      expect.objectContaining({ code: 'one-of-two-weighings', asDrawn: 'counted', perProtocol: 'counted' }),
    ]);
    expect(got.followedProtocol).toBe(true);
  });
  it('an animal that died late counts to its last weighing, one that died early has no gain but is listed', () => {
    const late = resultOf({
      ...animal('late', 'usual', 0),
      weighings: [weigh(0, 250), weigh(1, 250), weigh(40, 269.75)],
      events: [{ day: 45, kind: 'died' }],
    });
    expect(late).toMatchObject({
      gainKgPerDay: 0.5,
      gainTo: 'last weighing',
      followedProtocol: false,
      died: true,
      headDays: 45,
    });
    expect(codes(late)).toEqual(['no-end-weight', 'died']);
    expect(
      late.departures.every(
        (departure) => departure.asDrawn === 'counted to its last weighing' && departure.perProtocol === 'left out',
      ),
    ).toBe(true);
    const early = resultOf({
      ...animal('early', 'usual', 0),
      weighings: [weigh(0, 250), weigh(1, 250), weigh(20, 255)],
      events: [{ day: 22, kind: 'died', note: 'bloat' }],
    });
    expect(early).toMatchObject({ gainKgPerDay: null, headDays: 22 });
    expect(early.departures.at(-1)?.words).toBe('early died on day 22 (bloat)');
    expect(early.departures.every((departure) => departure.asDrawn === 'listed, no gain known')).toBe(true);
  });
  it('full against shrunk, or more than two hours apart off feed, is uneven fill', () => {
    const mixed = resultOf({
      ...animal('a', 'usual', 0),
      weighings: [
        weigh(0, 250),
        weigh(1, 250),
        weigh(60, 280, { fill: 'shrunk', hoursOffFeed: 12 }),
        weigh(61, 280, { fill: 'shrunk', hoursOffFeed: 12 }),
      ],
    });
    expect(codes(mixed)).toEqual(['uneven-fill']);
    expect(mixed.followedProtocol).toBe(false);
    const hours = (off: number) =>
      codes(
        resultOf({
          ...animal('a', 'usual', 0),
          weighings: [
            weigh(0, 250),
            weigh(1, 250),
            weigh(60, 280, { hoursOffFeed: off }),
            weigh(61, 280, { hoursOffFeed: off }),
          ],
        }),
      );
    expect(hours(2)).toEqual([]);
    expect(hours(3)).toEqual(['uneven-fill']);
  });
  it('a moved or sick animal stays in the arm it was drawn for, and out of those that followed the protocol', () => {
    const results = animalResults({
      protocol,
      animals: [
        animal('a', 'usual', 0.5),
        animal('b', 'usual', 0.7, { events: [{ day: 30, kind: 'moved' }] }),
        animal('c', 'usual', 0.6, { events: [{ day: 10, kind: 'sick' }] }),
      ],
    });
    expect(unitsOfArm({ results, armId: 'usual', unit: 'animal', set: 'as-drawn' }).map((unit) => unit.id)).toEqual([
      'a',
      'b',
      'c',
    ]);
    expect(unitsOfArm({ results, armId: 'usual', unit: 'animal', set: 'per-protocol' }).map((unit) => unit.id)).toEqual(
      ['a'],
    );
  });
  it('pens stand by the mean of their animals', () => {
    const results = animalResults({
      protocol,
      animals: [
        animal('a', 'usual', 0.4, { penId: 'p1', startKg: 240 }),
        animal('b', 'usual', 0.6, { penId: 'p1', startKg: 260 }),
        animal('c', 'usual', 0.9, { penId: 'p2' }),
        animal('d', 'usual', 0.3),
      ],
    });
    expect(unitsOfArm({ results, armId: 'usual', unit: 'pen', set: 'as-drawn' })).toEqual([
      { id: 'p1', head: 2, startWeightKg: 250, gainKgPerDay: expect.closeTo(0.5, 12) as number },
      { id: 'p2', head: 1, startWeightKg: 250, gainKgPerDay: expect.closeTo(0.9, 12) as number },
      { id: 'd', head: 1, startWeightKg: 250, gainKgPerDay: expect.closeTo(0.3, 12) as number },
    ]);
  });
});

describe('gaps as they arise', () => {
  const fedEveryDay = (until: number): FeedDay[] =>
    arms.flatMap((arm) =>
      Array.from({ length: until }, (_, day) => ({
        day,
        armId: arm.id,
        penId: null,
        fedRecorded: true,
        refusalsRecorded: true,
        wasteRecorded: true,
      })),
    );
  const started = { ...animal('a', 'usual', 0.5), weighings: [weigh(0, 250), weigh(1, 250)] };
  it('has none while all is recorded, and no missed end weight before its days have passed', () => {
    expect(findGaps({ protocol, arms, animals: [started], feedDays: fedEveryDay(20), today: 20 })).toEqual([]);
    expect(findGaps({ protocol, arms, animals: [started], feedDays: fedEveryDay(60), today: 61 })).toEqual([]);
    const [gap] = findGaps({ protocol, arms, animals: [started], feedDays: fedEveryDay(60), today: 62 });
    expect(gap).toMatchObject({
      code: 'no-end-weight',
      animalId: 'a',
      armId: 'usual',
      treatment: 'Animals as drawn: listed, no gain known. Animals that followed the protocol: left out.',
    });
  });
  it('names a missed start weight, events and missing records with what will be done about each', () => {
    const feedDays = fedEveryDay(5)
      .filter((one) => !(one.armId === 'usual' && one.day === 3))
      .map((one) =>
        one.armId === 'layered' && one.day === 4 ? { ...one, wasteRecorded: false, refusalsRecorded: false } : one,
      );
    const gaps = findGaps({
      protocol,
      arms,
      animals: [
        { ...started, weighings: [] },
        {
          ...started,
          id: 'b',
          events: [
            { day: 2, kind: 'sick' },
            { day: 9, kind: 'moved' },
          ],
        },
      ],
      feedDays,
      today: 5,
    });
    expect(gaps.map((gap) => [gap.code, gap.day, gap.animalId])).toEqual([
      ['no-start-weight', null, 'a'],
      ['sick', 2, 'b'],
      ['no-feed-record', 3, null],
      ['no-refusal-record', 4, null],
      ['no-waste-record', 4, null],
    ]);
    expect(gaps.every((gap) => gap.treatment.length > 0)).toBe(true);
  });
  it('looks for feed records pen by pen where they are kept by pen', () => {
    const animals = [
      { ...started, penId: 'p1' },
      { ...started, id: 'b', penId: 'p2' },
    ];
    const feedDays: FeedDay[] = [
      { day: 0, armId: 'usual', penId: 'p1', fedRecorded: true, refusalsRecorded: true, wasteRecorded: true },
    ];
    const gaps = findGaps({ protocol, arms: arms.slice(0, 1), animals, feedDays, today: 1 });
    expect(gaps.map((gap) => [gap.code, gap.penId])).toEqual([['no-feed-record', 'p2']]);
  });
});
