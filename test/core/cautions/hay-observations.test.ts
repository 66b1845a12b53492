/*
 * What follows from looking at a lot. The temperatures are those of published tables: Purdue Extension (150, 160, 175
 * and 190 °F), California Dairy Quality Assurance Program (130 °F: monitor often), as cited in guides.data.ts. The
 * lots are invented.
 */
import fc from '../../support/properties.js';
import {
  type HayObservation,
  loadAsItCameIn,
  observationCautions,
  type ObservedLot,
} from '../../../src/core/cautions/hay-observations.js';
import { addDays } from '../../../src/core/time/calendar-day.js';
import { wordsIn } from '../../../src/core/units/wording.js';
import { HAY_COLORS, HAY_SMELLS, HEAT_FELT, SEEN_AMOUNTS } from '../../../src/core/cautions/hay-observation.data.js';

const nothing: HayObservation = {
  seenOn: '2027-01-10',
  mold: null,
  balesMoldy: null,
  dust: null,
  balesSpoiled: null,
  smell: null,
  color: null,
  heatFelt: null,
  temperatureC: null,
  probeDepth: null,
  moisturePercent: null,
};
const seen = (...observations: Partial<HayObservation>[]): ObservedLot => ({
  lotName: 'North stack',
  keeping: 'dry hay',
  observations: observations.map((one) => ({ ...nothing, ...one })),
});
const celsius = (fahrenheit: number): number => ((fahrenheit - 32) * 5) / 9;
const raised = (lot: ObservedLot) =>
  observationCautions(lot).map(({ code, severity, given }) => ({ code, severity, given }));

describe('what was seen of a lot', () => {
  it.each([
    [125, []],
    [130, ['notice']],
    [149, ['notice']],
    [150, ['watch']],
    [160, ['danger']],
    [175, ['danger']],
    [190, ['danger']],
  ])('a probe at %d °F raises what the tables say', (fahrenheit, severities) => {
    const cautions = observationCautions(
      seen({ temperatureC: celsius(fahrenheit), probeDepth: { value: 6, unit: 'ft' } }),
    );
    expect(cautions.map((one) => one.severity)).toEqual(severities);
    for (const one of cautions) {
      expect(one.code).toBe('stack-temperature');
      expect(one.given).toBeCloseTo(celsius(fahrenheit), 9);
      expect(wordsIn('us', one.message)).toContain('6 ft deep, on 2027-01-10');
      // A foot is 0.3048 m.
      expect(wordsIn('metric', one.message)).toContain('1.83 m deep, on 2027-01-10');
    }
  });

  it('mold raises with the number of bales where they were counted', () => {
    expect(raised(seen({ mold: 'light' }))).toEqual([{ code: 'visible-mould', severity: 'watch', given: 1 }]);
    expect(raised(seen({ mold: 'heavy', balesMoldy: 4 }))).toEqual([
      { code: 'visible-mould', severity: 'danger', given: 4 },
    ]);
    expect(raised(seen({ mold: 'none' }))).toEqual([]);
    expect(raised(seen({ smell: 'musty' }))).toEqual([{ code: 'visible-mould', severity: 'notice', given: 1 }]);
  });

  it('fewer bales checked than were found bad answer for nothing', () => {
    const bad = { mold: 'heavy', balesChecked: 20, balesMoldy: 12, balesSpoiled: 3 } as const;
    const found = raised(seen(bad));
    expect(found.map((one) => one.severity)).toEqual(['danger', 'danger']);
    for (const balesChecked of [undefined, 1, 2])
      expect(
        raised(
          seen(bad, {
            seenOn: '2027-01-11',
            mold: 'none',
            balesSpoiled: 0,
            ...(balesChecked === undefined ? {} : { balesChecked }),
          }),
        ),
      ).toEqual(found);
    expect(raised(seen(bad, { seenOn: '2027-01-11', mold: 'none', balesSpoiled: 0, balesChecked: 12 }))).toEqual([]);
  });

  it('caramel, tobacco and brown tell of heat that binds protein', () => {
    for (const one of [{ smell: 'caramel' }, { smell: 'tobacco' }, { color: 'brown' }] as const)
      expect(raised(seen(one))).toEqual([{ code: 'heat-damaged-protein', severity: 'notice', given: 1 }]);
    expect(raised(seen({ smell: 'sweet', color: 'green' }))).toEqual([]);
  });

  it('a later look takes back only what it looked at', () => {
    const moldy = { mold: 'heavy', temperatureC: celsius(165) } as const;
    expect(raised(seen(moldy, { seenOn: '2027-01-12', mold: 'none' }))).toMatchObject([{ code: 'stack-temperature' }]);
    expect(raised(seen(moldy, { seenOn: '2027-01-12', temperatureC: celsius(90) }))).toMatchObject([
      { code: 'visible-mould' },
    ]);
    expect(raised(seen(moldy, { seenOn: '2027-01-12', mold: 'none', temperatureC: celsius(90) }))).toEqual([]);
  });

  it('of one day the hottest spot and the worst bale count', () => {
    const day = seen({ temperatureC: celsius(90), mold: 'none' }, { temperatureC: celsius(152), mold: 'light' });
    expect(raised(day).map((one) => one.code)).toEqual(['visible-mould', 'stack-temperature']);
    expect(raised({ ...day, observations: [...day.observations].reverse() })).toEqual(raised(day));
  });

  it('a hand that felt heat is answered by a probe', () => {
    expect(raised(seen({ heatFelt: 'hot' }))).toEqual([{ code: 'stack-temperature', severity: 'danger', given: 1 }]);
    expect(raised(seen({ heatFelt: 'hot' }, { temperatureC: celsius(95) }))).toEqual([]);
    expect(raised(seen({ temperatureC: celsius(95) }, { seenOn: '2027-01-11', heatFelt: 'warm' }))).toHaveLength(1);
    expect(raised(seen({ smell: 'smoke', temperatureC: celsius(95) }))).toMatchObject([{ severity: 'danger' }]);
  });

  /*
   * A hand reaches the outside of a stack only, while the guides of heating go by a probe in it: that no hand answers
   * for its core is common practice, no source. 95 °F is below the first step of every guide, 160 °F a danger.
   */
  it.each(['hot', 'warm'] as const)(
    'a stack that felt %s is so until a probe says otherwise, whatever hands say',
    (heatFelt) => {
      const found = raised(seen({ heatFelt }));
      expect(found).toHaveLength(1);
      const cool = { seenOn: '2027-01-12', heatFelt: 'cool' } as const;
      expect(raised(seen({ heatFelt }, cool))).toEqual(found);
      expect(
        raised(seen({ heatFelt }, { ...cool, smell: 'sweet' }, { seenOn: '2027-02-20', heatFelt: 'cool' })),
      ).toEqual(found);
      // A probe of the day before says nothing of it.
      expect(raised(seen({ heatFelt }, { seenOn: '2027-01-09', temperatureC: celsius(95) }, cool))).toEqual(found);
      expect(raised(seen({ heatFelt }, cool, { seenOn: '2027-01-13', temperatureC: celsius(95) }))).toEqual([]);
      // 160 °F is a danger by the same guide: the probe has taken the hand's place.
      expect(raised(seen({ heatFelt }, cool, { seenOn: '2027-01-13', temperatureC: celsius(160) }))).toMatchObject([
        { code: 'stack-temperature', severity: 'danger', given: celsius(160) },
      ]);
    },
  );

  /*
   * Hay heats at its core. That a probe must go in as deep as a core of a bale is taken at least, 12 inches (Texas
   * A&M, in `sampling-plan.data.ts`), before it tells that the hay is cool is common practice, no source.
   */
  it('a probe that only just goes in tells of heat but takes none back', () => {
    const later = { seenOn: '2027-01-12', temperatureC: celsius(85) } as const;
    const shallow = { value: 5, unit: 'cm' } as const;
    for (const hot of [{ heatFelt: 'hot' }, { temperatureC: celsius(165) }] as const) {
      const found = raised(seen(hot));
      expect(found).toMatchObject([{ code: 'stack-temperature', severity: 'danger' }]);
      expect(raised(seen(hot, { ...later, probeDepth: shallow }))).toEqual(found);
      expect(raised(seen(hot, { ...later, probeDepth: { value: 0.9, unit: 'ft' } }))).toEqual(found);
      expect(raised(seen(hot, { ...later, probeDepth: { value: 12, unit: 'in' } }))).toEqual([]);
      expect(raised(seen(hot, { ...later, probeDepth: null }))).toEqual([]);
    }
    expect(raised(seen({ temperatureC: celsius(165), probeDepth: shallow }))).toHaveLength(1);
  });

  it('heat felt in hay that was moved in is answered by no probe that did not reach it', () => {
    const moved = { movedIn: { sourceId: 'south', lotName: 'South stack', on: '2027-01-12' } };
    const hot = { heatFelt: 'hot', ...moved } as const;
    // North stack was probed before the hot hay came into it.
    expect(raised(seen(hot, { seenOn: '2027-01-11', temperatureC: celsius(95) }))).toHaveLength(1);
    expect(raised(seen(hot, { seenOn: '2027-01-10', temperatureC: celsius(95), ...moved }))).toEqual([]);
    expect(raised(seen(hot, { seenOn: '2027-01-13', temperatureC: celsius(95) }))).toEqual([]);
  });

  it('smoke and burnt hay stand until somebody has probed the hay as well; a hand is not enough', () => {
    const burnt = { smell: 'smoke', color: 'black' } as const;
    const found = raised(seen(burnt));
    expect(found).toEqual([
      { code: 'stack-temperature', severity: 'danger', given: 1 },
      { code: 'heat-damaged-protein', severity: 'notice', given: 1 },
    ]);
    const sweet = { seenOn: '2027-01-11', smell: 'sweet', color: 'green', dust: 'none' } as const;
    expect(raised(seen(burnt, sweet))).toEqual(found);
    // A probe of the same day as the smoke says nothing of the day after.
    expect(raised(seen({ ...burnt, temperatureC: 20 }, sweet))).toEqual(found);
    expect(raised(seen(burnt, { ...sweet, heatFelt: 'cool' }))).toEqual(found);
    expect(raised(seen(burnt, { ...sweet, temperatureC: 20 }))).toEqual([]);
    expect(raised(seen(burnt, sweet, { seenOn: '2027-01-12', temperatureC: 20 }))).toEqual([]);
  });

  describe('at a stack that hay had left before', () => {
    const left = (days: number): Partial<HayObservation> => ({
      leftBefore: { lotId: 'stack', lotName: 'South stack', on: addDays('2027-01-10', -days) },
    });
    const moldy = { mold: 'heavy', balesChecked: 10, balesMoldy: 6 } as const;

    it('is a danger if the hay left within three weeks, later on a watch, and says so', () => {
      const [near] = observationCautions(seen({ ...moldy, ...left(10) }));
      expect(near).toMatchObject({ code: 'visible-mould', severity: 'danger', subject: { name: 'North stack' } });
      expect(near?.message).toBe(
        'Heavy mold was seen in South stack, hay of which had gone into North stack 10 days before, on 2027-01-10; ' +
          'moldy bales: 6. Look at North stack itself.',
      );
      expect(raised(seen({ ...moldy, ...left(60) }))).toEqual([{ code: 'visible-mould', severity: 'watch', given: 6 }]);
      expect(raised(seen({ smell: 'smoke', ...left(2) }))).toMatchObject([{ severity: 'danger' }]);
    });

    it('stands until as many bales were looked at where the hay lies or in that stack; answers for nothing', () => {
      const found = seen({ ...moldy, ...left(10) });
      const and = (more: Partial<HayObservation>) =>
        raised({ ...found, observations: [...found.observations, { ...nothing, ...more }] });
      expect(and({ mold: 'none', balesChecked: 5 })).toHaveLength(1);
      expect(and({ mold: 'none', balesChecked: 6 })).toEqual([]);
      expect(and({ seenOn: '2027-01-09', mold: 'none', balesChecked: 6 })).toHaveLength(1);
      expect(and({ seenOn: '2027-01-12', mold: 'none', balesChecked: 6, ...left(10) })).toEqual([]);
      expect(raised(seen(moldy, { seenOn: '2027-01-12', mold: 'none', balesChecked: 20, ...left(10) }))).toHaveLength(
        1,
      );
    });

    it('warns of the rest of a stack by what was found in a part, within three weeks of its leaving alone', () => {
      const taken = (days: number): Partial<HayObservation> => ({
        leftBefore: { lotId: 'part', lotName: 'Load', on: addDays('2027-01-10', -days), isPart: true },
      });
      const [near] = observationCautions(seen({ ...moldy, ...taken(21) }));
      expect(near).toMatchObject({ code: 'visible-mould', severity: 'danger', subject: { name: 'North stack' } });
      expect(near?.message).toBe(
        'Heavy mold was seen in Load, which was taken from North stack 21 days before, on 2027-01-10; ' +
          'moldy bales: 6. Look at North stack itself.',
      );
      expect(raised(seen({ ...moldy, ...taken(22) }))).toEqual([]);
      expect(raised(seen({ smell: 'smoke', ...taken(2) }))).toMatchObject([{ severity: 'danger' }]);
      expect(raised(seen({ ...moldy, ...taken(2) }, { mold: 'none', balesChecked: 6 }))).toEqual([]);
    });

    it('takes nothing from what was seen of the hay itself', () => {
      expect(raised(seen({ mold: 'heavy', balesMoldy: 3 }, { ...moldy, ...left(60) }))).toEqual([
        { code: 'visible-mould', severity: 'danger', given: 3 },
        { code: 'visible-mould', severity: 'watch', given: 6 },
      ]);
    });
  });

  it('names the lot that was looked at', () => {
    const words = (one: Partial<HayObservation>) =>
      observationCautions(seen({ ...one, seenIn: 'South stack' })).map((each) => [
        each.subject?.name,
        wordsIn('us', each.message),
      ]);
    const was = 'South stack, of which North stack was then a part,';
    expect(words({ mold: 'heavy', balesMoldy: 6 })).toEqual([
      ['North stack', `Heavy mold was seen in ${was} on 2027-01-10; moldy bales: 6.`],
    ]);
    expect(words({ temperatureC: celsius(165) })[0]?.[1]).toContain(`${was} was at 165 °F on 2027-01-10`);
    expect(words({ moisturePercent: 21 })[0]?.[1]).toContain(was);
  });

  describe('moisture of stacked bales', () => {
    // Purdue Extension (Day, "Hay fires"): 20 % small square, 18 % large round, 17 % large square bales.
    const LIMITS = [
      ['small-square', 20],
      ['round', 18],
      ['large-square', 17],
    ] as const;
    const damp = (baleForm: ObservedLot['baleForm'], ...looks: Partial<HayObservation>[]): ObservedLot => ({
      ...seen(...looks),
      ...(baleForm === undefined ? {} : { baleForm }),
    });
    const heating = (lot: ObservedLot) =>
      observationCautions(lot).filter(({ code }) => code === 'moisture-at-stacking');

    it.each(LIMITS)('above what %s bales may hold warns of heating, with the number', (baleForm, limit) => {
      expect(heating(damp(baleForm, { moisturePercent: limit }))).toEqual([]);
      const [one] = heating(damp(baleForm, { moisturePercent: limit + 0.1 }));
      expect(one).toMatchObject({
        severity: 'watch',
        given: limit + 0.1,
        subject: { kind: 'lot', name: 'North stack' },
      });
      expect(one).toMatchObject({ threshold: limit, unit: '% moisture' });
      const [wet] = heating(damp(baleForm, { moisturePercent: 28 }));
      expect(wet).toMatchObject({ severity: 'danger', given: 28 });
      expect(wet?.message).toBe(
        `North stack was measured on 2027-01-10 at 28 % moisture; Purdue allows ${limit} % for this bale.`,
      );
    });

    it('stands until a later reading, of a probe or of a laboratory', () => {
      const wet = { moisturePercent: 28 };
      expect(heating(damp('round', wet, { seenOn: '2027-01-12', smell: 'sweet' }))).toHaveLength(1);
      expect(heating(damp('round', wet, { seenOn: '2027-01-12', moisturePercent: 15 }))).toEqual([]);
      const tested = (sampledOn: string, moisturePercent: number) => [{ sampledOn, moisturePercent }];
      expect(heating({ ...damp('round', wet), tested: tested('2027-01-09', 14) })).toHaveLength(1);
      expect(heating({ ...damp('round', wet), tested: tested('2027-01-11', 14) })).toEqual([]);
      const [byLab] = heating({ ...damp('round', { moisturePercent: 15 }), tested: tested('2027-01-11', 24) });
      expect(byLab).toMatchObject({ severity: 'danger', given: 24 });
      expect(byLab?.message).toContain('North stack was tested on 2027-01-11 at 24 % moisture');
    });

    it('on a ticket is that of its load: another load answers for nothing, a later probe or test for all', () => {
      const load = (seenOn: string, moisturePercent: number) => ({
        ...nothing,
        ...loadAsItCameIn('bought', seenOn, moisturePercent),
      });
      const given = (...looks: Partial<HayObservation>[]) => heating(damp('round', ...looks)).map((one) => one.given);
      const wet = load('2027-01-10', 28);
      expect(given(wet)).toEqual([28]);
      expect(given(wet, load('2027-01-12', 14))).toEqual([28]);
      expect(given({ moisturePercent: 24 }, load('2027-01-12', 14))).toEqual([24]);
      expect(given(wet, { seenOn: '2027-01-10', moisturePercent: 12 })).toEqual([28]);
      expect(given(wet, { seenOn: '2027-01-11', moisturePercent: 12 })).toEqual([]);
      expect(given(wet, load('2027-01-12', 26), { seenOn: '2027-01-11', moisturePercent: 12 })).toEqual([26]);
      const tested = [{ sampledOn: '2027-01-11', moisturePercent: 13 }];
      expect(heating({ ...damp('round', wet), tested })).toEqual([]);
      const [raised] = heating(damp('round', loadAsItCameIn('raised', '2027-01-10', 35)));
      expect(raised?.message).toBe(
        'North stack was put up on 2027-01-10 at 35 % moisture; Purdue allows 18 % for this bale.',
      );
    });

    it('found by a laboratory tells of mold in dry hay as a probe does, and of no silage', () => {
      // Mold grows from 20 % in dry hay; silage of 28 % dry matter is what silage is.
      const tested = (moisturePercent: number) => [{ sampledOn: '2027-01-12', moisturePercent }];
      const probed = seen({ moisturePercent: 22 });
      expect(raised({ ...probed, tested: tested(13) })).toEqual([]);
      expect(raised({ ...seen(), tested: tested(22) })).toEqual([
        { code: 'visible-mould', severity: 'notice', given: 22 },
      ]);
      expect(raised({ ...seen(), keeping: 'wrapped', tested: tested(72) })).toEqual([]);
    });

    it('says nothing of wrapped or loose hay, nor of other feeds', () => {
      expect(heating({ ...damp('round', { moisturePercent: 50 }), keeping: 'wrapped' })).toEqual([]);
      expect(heating(damp(undefined, { moisturePercent: 28 }))).toEqual([]);
      expect(heating({ ...damp('round', { moisturePercent: 28 }), keeping: 'other' })).toEqual([]);
    });
  });

  describe('what was found in bales', () => {
    const held = (number: number, isAtLeast = false) => ({ balesHeld: { number, isAtLeast } });
    const mold = (number: number, more: Partial<HayObservation> = {}): Partial<HayObservation> => ({
      mold: 'light',
      balesChecked: 5,
      balesMoldy: 2,
      ...held(number),
      ...more,
    });
    const well = (balesChecked: number | null, number: number): Partial<HayObservation> => ({
      seenOn: '2027-01-12',
      mold: 'none',
      balesSpoiled: 0,
      balesChecked,
      ...held(number),
    });

    // Montana State University Extension 2019 and the National Forage Testing Association: 20 bales tell of a lot.
    it.each([
      [60, 2, 20],
      [12, 2, 12],
      [60, 35, 35],
      [1, 1, 1],
    ])(
      'of a lot of %d bales, %d of them bad, takes a look at %d to take it back, and says so',
      (bales, bad, enough) => {
        for (const found of [
          mold(bales, { balesMoldy: bad }),
          { balesSpoiled: bad, balesChecked: bad, ...held(bales) },
        ]) {
          const [one] = observationCautions(seen(found));
          expect(one?.message).toContain(`The lot held ${bales} bale`);
          expect(one?.message).toContain(`until ${enough} or more`);
          expect(observationCautions(seen(found, well(enough - 1, bales)))).toEqual([one]);
          expect(observationCautions(seen(found, well(null, bales)))).toEqual([one]);
          expect(observationCautions(seen(found, well(enough, bales)))).toEqual([]);
        }
      },
    );

    it('goes by the bales that are left when it is looked at again', () => {
      expect(raised(seen(mold(60), well(6, 6)))).toEqual([]);
      expect(raised(seen(mold(60), well(6, 7)))).toHaveLength(1);
    });

    it('says where there may be more bales than the books tell, and nothing of loose hay', () => {
      expect(observationCautions(seen({ mold: 'light', ...held(15, true) }))[0]?.message).toContain(
        'held at least 15 bales that day',
      );
      expect(observationCautions(seen({ mold: 'light' }))[0]?.message).toBe(
        'Light mold was seen in North stack on 2027-01-10.',
      );
    });
  });

  it('moisture molds dry hay from 20 % and says nothing of a mineral', () => {
    expect(raised(seen({ moisturePercent: 21 }))).toEqual([{ code: 'visible-mould', severity: 'notice', given: 21 }]);
    expect(raised({ ...seen({ moisturePercent: 21 }), keeping: 'wrapped' })).toEqual([]);
    expect(raised({ ...seen({ moisturePercent: 72 }), keeping: 'wrapped' })).toMatchObject([{ code: 'spoiled-bales' }]);
    expect(raised({ ...seen({ moisturePercent: 21 }), keeping: 'other' })).toEqual([]);
  });

  const orNull = <Value>(arbitrary: fc.Arbitrary<Value>) => fc.option(arbitrary, { nil: null });
  const observation = fc.record<HayObservation>({
    seenOn: fc.constantFrom('2027-01-08', '2027-01-09', '2027-01-10'),
    mold: orNull(fc.constantFrom(...SEEN_AMOUNTS)),
    balesMoldy: orNull(fc.integer({ min: 0, max: 9 })),
    dust: orNull(fc.constantFrom(...SEEN_AMOUNTS)),
    balesSpoiled: orNull(fc.integer({ min: 0, max: 9 })),
    smell: orNull(fc.constantFrom(...HAY_SMELLS)),
    color: orNull(fc.constantFrom(...HAY_COLORS)),
    heatFelt: orNull(fc.constantFrom(...HEAT_FELT)),
    temperatureC: orNull(fc.double({ min: 0, max: 110, noNaN: true })),
    probeDepth: orNull(fc.constantFrom({ value: 6, unit: 'ft' } as const, { value: 18, unit: 'in' } as const)),
    moisturePercent: orNull(fc.double({ min: 5, max: 40, noNaN: true })),
  });

  it('is the same in whatever order it was entered, and gone once all was looked at again and found well', () => {
    const well: Partial<HayObservation> = {
      seenOn: '2027-01-11',
      balesChecked: 9,
      mold: 'none',
      dust: 'none',
      balesSpoiled: 0,
      smell: 'sweet',
      color: 'green',
      heatFelt: 'cool',
      temperatureC: 20,
      moisturePercent: 12,
    };
    fc.assert(
      fc.property(fc.array(observation, { maxLength: 6 }), (observations) => {
        const lot = seen(...observations);
        const codes = (one: ObservedLot) => observationCautions(one).map(({ code, given }) => `${code} ${given}`);
        expect(codes({ ...lot, observations: [...lot.observations].reverse() }).sort()).toEqual(codes(lot).sort());
        for (const one of observationCautions(lot)) expect(Number.isFinite(one.given)).toBe(true);
        expect(observationCautions(seen(...observations, well))).toEqual([]);
      }),
    );
  });
});
