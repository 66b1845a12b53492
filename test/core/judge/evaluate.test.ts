import fc from '../../support/properties.js';
import { PricePerMass } from '../../../src/core/units/money';
import { dietContextOf } from '../../../src/core/judge/diet-context';
import { evaluateRation } from '../../../src/core/judge/evaluate';
import type { EvaluationRequest } from '../../../src/core/judge/evaluation';
import { rationFromShares } from '../../../src/core/ration/from-shares';
import { rationSupply } from '../../../src/core/judge/ration-supply';
import { nutrientLine } from '../../../src/core/judge/nutrient-line';
import type { RationLayer } from '../../../src/core/ration/ration';
import { nrc2000EnergyFromTdn } from '../../../src/core/forage/energy-from-tdn';
import { ALFALFA, DRY_COW, hay, KG_PER_LB, MEADOW, needs, STRAW, YEARLING } from '../ration/ration-fixtures';

const evaluated = (request: EvaluationRequest) => {
  const outcome = evaluateRation(request);
  if (!outcome.ok) throw new Error(JSON.stringify(outcome.problems));
  return outcome.value;
};
const ration = (...parts: (readonly [typeof MEADOW, number])[]): RationLayer[] =>
  parts.map(([lot, asFedKgPerHeadPerDay]) => ({ role: 'mixed', lots: [{ lot, asFedKgPerHeadPerDay }] }));
const codes = (cautions: readonly { code: string }[]) => cautions.map(({ code }) => code);
const cowRequest = (layers: RationLayer[], more: Partial<EvaluationRequest> = {}): EvaluationRequest => ({
  animal: DRY_COW,
  requirement: needs(DRY_COW, { edition: 'NRC2000', diet: dietContextOf(rationSupply({ layers })) }),
  layers,
  ...more,
});
const WELL = {
  sourceName: 'Well',
  frozen: null,
  supplyLPerDay: null,
  needLPerDay: null,
  dissolvedSolidsMgPerL: null,
  pregnantOrMilking: true,
  milking: false,
  calves: false,
};
const line = (request: EvaluationRequest, nutrient: string) =>
  evaluated(request).lines.find((each) => each.nutrient === nutrient);

describe('supply', () => {
  test('is a sum over lots: amount as fed × dry matter × content', () => {
    const supply = rationSupply({ layers: ration([MEADOW, 10], [ALFALFA, 2]) });
    expect(supply.dryMatterKg).toBeCloseTo(8.8 + 1.8, 12);
    expect(supply.crudeProteinG.value).toBeCloseTo(8.8 * 85 + 1.8 * 180, 9);
    expect(supply.minerals.calcium.value).toBeCloseTo(8.8 * 4.5 + 1.8 * 14, 9);
    expect(supply.legumeDryMatterKg).toBeCloseTo(1.8, 12);
  });
  const amounts = fc.tuple(
    fc.double({ min: 0.1, max: 15, noNaN: true }),
    fc.double({ min: 0.1, max: 15, noNaN: true }),
    fc.double({ min: 0.1, max: 15, noNaN: true }),
  );
  const figures = (layers: RationLayer[]) => {
    const supply = rationSupply({ layers });
    return [
      supply.dryMatterKg,
      supply.netEnergyMaintenanceMcal.value,
      supply.crudeProteinG.value,
      supply.degradableProteinG.value,
      supply.nitrateNitrogenG.value,
      supply.minerals.potassium.value,
      supply.longStemDryMatterKg,
    ].map((value) => value ?? Number.NaN);
  };
  test('waste is not taken off what they take of a mineral kept in front of them', () => {
    const lime = hay('Lime', 99, { calciumPercent: 38 }, { isForage: false, isLongStem: false, feedGroup: 'mineral' });
    const layers: RationLayer[] = [
      ...ration([MEADOW, 10]),
      { role: 'mixed', lots: [{ lot: lime, asFedKgPerHeadPerDay: 0.1, freeChoice: true }] },
    ];
    const calcium = (wastedShare: number) => rationSupply({ layers, wastedShare }).minerals.calcium.value;
    // 8.8 kg × 4.5 g of the hay, less a fifth; 99 g × 38 % of the mineral.
    expect(calcium(0)).toBeCloseTo(8.8 * 4.5 + 99 * 0.38, 9);
    expect(calcium(0.2)).toBeCloseTo(8.8 * 4.5 * 0.8 + 99 * 0.38, 9);
  });
  test('is linear: twice the amounts give twice the supply, and two rations add up', () => {
    fc.assert(
      fc.property(amounts, amounts, fc.double({ min: 0.1, max: 10, noNaN: true }), (a, b, factor) => {
        const of = ([x, y, z]: readonly number[]) =>
          figures(ration([MEADOW, x ?? 0], [ALFALFA, y ?? 0], [STRAW, z ?? 0]));
        const close = (left: readonly number[], right: readonly number[]) =>
          left.forEach((value, index) => expect(value / (right[index] ?? 1)).toBeCloseTo(1, 9));
        close(
          of(a.map((value) => value * factor)),
          of(a).map((value) => value * factor),
        );
        close(
          of(a.map((value, index) => value + (b[index] ?? 0))),
          of(a).map((value, index) => value + (of(b)[index] ?? 0)),
        );
      }),
    );
  });
  test('does not depend on the order of layers or on how a lot is split over them', () => {
    const one = figures(ration([MEADOW, 8], [ALFALFA, 3]));
    figures(ration([ALFALFA, 1], [MEADOW, 8], [ALFALFA, 2])).forEach((value, index) =>
      expect(value).toBeCloseTo(one[index] ?? Number.NaN, 9),
    );
  });
  test('net energy is calculated from TDN where it was not tested, and a lab value outranks it', () => {
    const byTdn = rationSupply({ layers: ration([hay('A', 100, { totalDigestibleNutrientsPercent: 55 }), 1]) });
    expect(byTdn.netEnergyMaintenanceMcalPerKg).toBeCloseTo(
      nrc2000EnergyFromTdn({ totalDigestibleNutrientsPercent: 55 }).netEnergyMaintenanceMcalPerKg,
      12,
    );
    expect(
      rationSupply({
        layers: ration([hay('A', 100, { totalDigestibleNutrientsPercent: 55, netEnergyMaintenanceMcalPerKg: 1.3 }), 1]),
      }).netEnergyMaintenanceMcalPerKg,
    ).toBeCloseTo(1.3, 12);
  });
  test('waste is taken off what is eaten, not off what is offered', () => {
    const supply = rationSupply({ layers: ration([MEADOW, 10]), wastedShare: 0.2 });
    expect([supply.dryMatterOfferedKg, supply.dryMatterKg]).toEqual([8.8, expect.closeTo(7.04, 12)]);
  });
});

/** A feed of which nobody knows anything but its dry matter. */
const untestedFeed = (lotName: string) => hay(lotName, 90, {}, { isForage: false, isLongStem: false });

describe('a thing fed by the ounce', () => {
  const OUNCE_KG = 0.028349523125;
  const base = ration([MEADOW, 10], [ALFALFA, 2]);
  const mineral = untestedFeed('Untested mineral');

  test('0.12 lb of untested salt bounds the supplies and does not erase them', () => {
    const layers = ration([MEADOW, 10], [ALFALFA, 2], [untestedFeed('Salt block'), 0.12 * 0.45359237]);
    const supply = rationSupply({ layers });
    expect(supply.crudeProteinG).toMatchObject({ isAtLeast: true, missingIn: ['Salt block'] });
    expect(supply.crudeProteinG.value).toBeCloseTo(8.8 * 85 + 1.8 * 180, 9);
    // The part that is not known counts as zero, and its dry matter counts.
    const dryMatterKg = 8.8 + 1.8 + 0.9 * 0.12 * 0.45359237;
    expect(supply.totalDigestibleNutrientsPercent).toBeCloseTo((8.8 * 54 + 1.8 * 59) / dryMatterKg, 9);
    expect(line(cowRequest(layers), 'calcium')).toMatchObject({
      supplyIsAtLeast: true,
      unknownBecause: 'a-lot-lacks-it',
      missingIn: ['Salt block'],
      verdict: 'meets',
    });
    const judged = evaluated(cowRequest(layers));
    expect(judged.condition.netEnergyBalanceMcalPerDay).not.toBeNull();
    expect(judged.lines.filter((one) => one.verdict === 'unknown')).toEqual([]);
  });

  test('an ounce of anything never turns a known verdict into an unknown one', () => {
    const fields = Object.keys(MEADOW.composition) as (keyof typeof MEADOW.composition)[];
    fc.assert(
      fc.property(
        fc.tuple(fc.double({ min: 2, max: 14, noNaN: true }), fc.double({ min: 0, max: 6, noNaN: true })),
        fc.subarray(fields),
        fc.integer({ min: 0, max: 3 }),
        ([meadow, alfalfa], known, before) => {
          const ounce = hay(
            'Ounce',
            95,
            Object.fromEntries(known.map((field) => [field, MEADOW.composition[field]?.value ?? 0])),
          );
          const others = [0, 1, 2].slice(0, before).map((one) => [untestedFeed(`Other ${one}`), OUNCE_KG] as const);
          const request = cowRequest(ration([MEADOW, meadow], [ALFALFA, alfalfa], ...others));
          const more = {
            ...request,
            layers: ration([MEADOW, meadow], [ALFALFA, alfalfa], ...others, [ounce, OUNCE_KG]),
          };
          const after = evaluated(more);
          for (const { nutrient, verdict } of evaluated(request).lines)
            if (verdict !== 'unknown')
              expect(after.lines.find((one) => one.nutrient === nutrient)?.verdict).not.toBe('unknown');
        },
      ),
    );
  });

  test('what is short without it stays short, and the line says at least', () => {
    const layers = [...ration([STRAW, 9]), ...ration([mineral, OUNCE_KG])];
    expect(line(cowRequest(layers), 'crudeProtein')).toMatchObject({ verdict: 'short', supplyIsAtLeast: true });
  });

  test('split over two layers it counts as one part', () => {
    const half = 0.015 * 10.6;
    expect(rationSupply({ layers: [...base, ...ration([mineral, half])] }).crudeProteinG.value).not.toBeNull();
    expect(
      rationSupply({ layers: [...base, ...ration([mineral, half], [mineral, half])] }).crudeProteinG.value,
    ).toBeNull();
  });
});

describe('what is not known', () => {
  const untested = hay('Untested hay', 88, { crudeProteinPercent: 8, totalDigestibleNutrientsPercent: 52 });
  test('stays unknown with the lot that lacks it, and is never zero', () => {
    const request = cowRequest(ration([MEADOW, 8], [untested, 4]));
    expect(line(request, 'sulfur')).toMatchObject({
      supply: null,
      surplus: null,
      verdict: 'unknown',
      unknownBecause: 'a-lot-lacks-it',
      missingIn: ['Untested hay'],
    });
    expect(line(request, 'sulfur')?.supplyAtLeast).toBeCloseTo(8 * 0.88 * 1.5, 9);
    // The calcium of the meadow hay alone is twice the need: at least so much there is.
    expect(line(request, 'calcium')).toMatchObject({
      supplyIsAtLeast: true,
      verdict: 'meets',
      unknownBecause: 'a-lot-lacks-it',
      missingIn: ['Untested hay'],
    });
    expect(line(request, 'calcium')?.supply).toBeCloseTo(8 * 0.88 * 4.5, 9);
    expect(line(request, 'metabolizableProtein')).toMatchObject({
      supply: null,
      verdict: 'unknown',
      missingIn: ['Untested hay'],
    });
    expect(line(request, 'crudeProtein')?.supply).not.toBeNull();
    expect(evaluated(request)).toMatchObject({
      tetanyRatio: null,
      calciumToPhosphorus: null,
      degradableProteinBalanceG: null,
      nitrate: { wholeRationNitrateNitrogenPpmDm: null },
    });
  });
  test('a lot of which nothing is fed takes no part', () => {
    expect(line(cowRequest(ration([MEADOW, 12], [untested, 0])), 'calcium')?.supply).not.toBeNull();
  });
  test('a need that the known part already covers is met', () => {
    expect(
      nutrientLine({
        nutrient: 'calcium',
        need: 10,
        supply: {
          value: null,
          isAtLeast: false,
          reason: 'a-lot-lacks-it',
          missingIn: ['x'],
          atLeast: 12,
          atMost: 12,
          bookValueLots: [],
        },
      }).verdict,
    ).toBe('meets');
    expect(
      nutrientLine({
        nutrient: 'calcium',
        need: 10,
        supply: {
          value: null,
          isAtLeast: false,
          reason: 'a-lot-lacks-it',
          missingIn: ['x'],
          atLeast: 9,
          atMost: 9,
          bookValueLots: [],
        },
      }).verdict,
    ).toBe('unknown');
  });
  test('no energy value: no gain and no days, with the reason', () => {
    const blank = hay('Blank', 88, { crudeProteinPercent: 8 });
    expect(
      evaluated({ animal: YEARLING, requirement: needs(YEARLING), layers: ration([blank, 8]) }).gain,
    ).toMatchObject({ expectedKgPerDay: null, unknownBecause: 'no-energy-value' });
    expect(
      evaluated({ animal: DRY_COW, requirement: needs(DRY_COW), layers: ration([blank, 8]) }).condition,
    ).toMatchObject({ daysToOneScore: null, unknownBecause: 'no-energy-value' });
  });
  test('book values are listed by lot and field, and every number that rests on them says so', () => {
    const book = {
      ...MEADOW,
      lotId: 'b',
      lotName: 'Book hay',
      composition: {
        ...MEADOW.composition,
        calciumPercent: { value: 0.5, origin: 'book-value' as const, source: 'a table' },
      },
    };
    const request = cowRequest(ration([book, 6], [MEADOW, 6]));
    expect(evaluated(request).bookValues).toEqual([{ lotName: 'Book hay', fields: ['calciumPercent'] }]);
    expect(line(request, 'calcium')).toMatchObject({ restsOnBookValues: true, bookValueLots: ['Book hay'] });
    expect(line(request, 'phosphorus')).toMatchObject({ restsOnBookValues: false });
  });
});

describe('verdicts', () => {
  const of = (value: number, need: number | null, harmfulAbove: number | null = null) =>
    nutrientLine({
      nutrient: 'potassium',
      need,
      harmfulAbove,
      supply: {
        value,
        isAtLeast: false,
        reason: null,
        missingIn: [],
        atLeast: value,
        atMost: value,
        bookValueLots: [],
      },
    });
  test('short, near, meets, excess where harmful, no need', () => {
    expect(
      [of(94, 100), of(95, 100), of(99.9, 100), of(100, 100), of(300, 100), of(300, 100, 250), of(5, 0)].map(
        ({ verdict }) => verdict,
      ),
    ).toEqual(['short', 'near', 'near', 'meets', 'meets', 'excess', 'no-need']);
  });
  test('surplus and shortfall in amount and percent', () => {
    expect(of(80, 100)).toMatchObject({ surplus: -20, surplusPercent: -20 });
    expect(of(5, 0)).toMatchObject({ surplus: 5, surplusPercent: null });
    expect(of(5, null)).toMatchObject({ surplus: null, verdict: 'unknown', unknownBecause: 'no-requirement' });
  });
  test('sulfate in the water counts with the sulfur of the feed', () => {
    const layers = ration([MEADOW, 12]);
    expect(line(cowRequest(layers), 'sulfur')).toMatchObject({ verdict: 'meets' });
    const drunk = cowRequest(layers, { water: { ...WELL, sulfateMgPerL: 4000 } });
    expect(line(drunk, 'sulfur')?.verdict).toBe('excess');
    expect(codes(evaluated(drunk).cautions)).toEqual(expect.arrayContaining(['sulfur-total', 'water-sulfate']));
    // 0.15 % of 10.56 kg is 15.84 g, and 4000 mg/L of sulfate is 1.335 g sulfur per L of water.
    expect(line(drunk, 'sulfur')?.supply).toBeCloseTo(
      15.84 + ((4 * 32.06) / 96.056) * drunk.requirement.waterLPerDay,
      6,
    );
    // A mature cow takes in 32 g at most, which is less than 0.50 % of 10.56 kg.
    expect(line(drunk, 'sulfur')?.harmfulAbove).toBe(32);
  });
  /*
   * By hand: 0.15 % of the dry matter is what cattle need (University of Arkansas MP391 Table 1, after NRC 1996).
   * A cow that is given 15 lb of hay with 0.15 % has no less of it than one that eats her fill, and the 4 oz of a
   * mineral that does not tell its sulfur make no difference.
   */
  test('sulfur is needed as a share of what is eaten', () => {
    for (const pounds of [15, 22])
      expect(line(cowRequest(ration([MEADOW, pounds * KG_PER_LB])), 'sulfur')).toMatchObject({
        verdict: 'meets',
        surplusPercent: expect.closeTo(0, 6) as number,
      });
    const mineral = hay('Mineral', 95, { calciumPercent: 12 }, { isForage: false, feedGroup: 'mineral' });
    const beside = line(cowRequest(ration([MEADOW, 10], [mineral, 0.1134])), 'sulfur');
    expect(beside).toMatchObject({ verdict: 'meets', supplyIsAtLeast: true });
    expect(
      line(
        cowRequest(
          ration([
            { ...MEADOW, composition: { ...MEADOW.composition, sulfurPercent: { value: 0.12, origin: 'lab-test' } } },
            10,
          ]),
        ),
        'sulfur',
      ),
    ).toMatchObject({ verdict: 'short', surplusPercent: expect.closeTo(-20, 6) as number });
  });
  test('line, ratio and cautions tell one amount of sulfur, whatever the hay, the mineral and the water', () => {
    fc.assert(
      fc.property(
        fc.double({ min: 0.02, max: 0.7, noNaN: true }),
        fc.integer({ min: 0, max: 6000 }),
        fc.double({ min: 0, max: 0.09, noNaN: true }),
        fc.double({ min: 5, max: 12, noNaN: true }),
        (sulfurPercent, sulfateMgPerL, mineralKg, kilograms) => {
          const meadow = {
            ...MEADOW,
            composition: { ...MEADOW.composition, sulfurPercent: { value: sulfurPercent, origin: 'lab-test' } },
          } as const;
          const mineral = hay('Mineral', 95, { calciumPercent: 12 }, { isForage: false, feedGroup: 'mineral' });
          const request = cowRequest(ration([meadow, kilograms], [mineral, mineralKg]), {
            water: { ...WELL, sulfateMgPerL },
          });
          const { cautions, sulfurPercentOfDryMatter, supply } = evaluated(request);
          // The caution is held against the part that tells its sulfur; line and ratio are of all that is eaten.
          const ofPart = (sulfurPercentOfDryMatter ?? 0) * (supply.dryMatterKg / supply.minerals.sulfur.heldAgainstKg);
          const sulfur = line(request, 'sulfur');
          const given = (code: string) => cautions.find((one) => one.code === code)?.given ?? null;
          expect(((sulfur?.supply ?? 0) / (sulfur?.shareOfKg ?? 1)) * 0.1).toBeCloseTo(
            sulfurPercentOfDryMatter ?? 0,
            9,
          );
          expect(given('sulfur-antagonism') ?? ofPart).toBeCloseTo(ofPart, 9);
          expect(given('sulfur-mature-cow') ?? sulfur?.supply).toBeCloseTo(sulfur?.supply ?? 0, 9);
          const tooMuch = cautions.some(({ code }) => code === 'sulfur-total' || code === 'sulfur-mature-cow');
          expect(sulfur?.verdict === 'excess').toBe(tooMuch);
        },
      ),
    );
  });
  test('more hay than a cow will eat is an excess of dry matter and of fiber', () => {
    const request = cowRequest(ration([STRAW, 16]));
    expect([line(request, 'dryMatter')?.verdict, line(request, 'fiberCapacity')?.verdict]).toEqual([
      'excess',
      'excess',
    ]);
  });
});

describe('more than they can hold', () => {
  const offer = (layers: RationLayer[]) => cowRequest(layers, { holdToIntake: true });
  const poor = (crudeProteinPercent: number): typeof MEADOW => ({
    ...MEADOW,
    composition: { ...MEADOW.composition, crudeProteinPercent: { value: crudeProteinPercent, origin: 'lab-test' } },
  });
  /*
   * By hand: 1,200 lb of cow eat 1.8 % of their weight of hay below 7 % crude protein, 21.6 lb (University of
   * Nebraska).
   * Of 60 lb at 88 %, 52.8 lb of dry matter, at most 1.05 times that is judged: 22.7 lb, with 54 % TDN 12.2 lb.
   */
  test('what is left over feeds nobody: lines, gain and condition are those of what they hold', () => {
    const offered = offer(ration([poor(6), 60 * KG_PER_LB]));
    const { dryMatterIntakeKgPerDay } = offered.requirement;
    const held = 1.05 * dryMatterIntakeKgPerDay;
    expect(line(offered, 'dryMatter')).toMatchObject({ verdict: 'excess' });
    expect(line(offered, 'dryMatter')?.supply).toBeCloseTo(52.8 * KG_PER_LB, 9);
    expect(line(offered, 'totalDigestibleNutrients')?.supply).toBeCloseTo(held * 0.54, 9);
    expect(line(offered, 'crudeProtein')?.supply).toBeCloseTo(held * 60, 9);
    expect(line(offered, 'crudeProtein')?.shareOfKg).toBeCloseTo(held, 9);
    const caution = evaluated(offered).cautions.find(({ code }) => code === 'more-than-eaten');
    expect(caution).toMatchObject({ severity: 'notice', threshold: 1.05 });
    expect(caution?.given).toBeCloseTo((52.8 * KG_PER_LB) / dryMatterIntakeKgPerDay, 9);
    const fits = offer(ration([poor(6), held / 0.88]));
    for (const nutrient of ['netEnergyMaintenance', 'metabolizableProtein', 'calcium', 'longStemForage'])
      expect(line(offered, nutrient)?.supply).toBeCloseTo(line(fits, nutrient)?.supply ?? NaN, 6);
    const [left, most] = [offered, fits].map((one) => evaluated(one).condition);
    expect(left?.netEnergyBalanceMcalPerDay).toBeCloseTo(most?.netEnergyBalanceMcalPerDay ?? NaN, 6);
    expect([left?.direction, left?.daysToOneScore]).toEqual([most?.direction, most?.daysToOneScore]);
    expect(codes(evaluated(offer(ration([poor(6), 8]))).cautions)).not.toContain('more-than-eaten');
  });
  test('a larger offer of one mixture never changes a verdict for the better once they are full', () => {
    fc.assert(
      fc.property(
        fc.double({ min: 1, max: 3, noNaN: true }),
        fc.double({ min: 4, max: 12, noNaN: true }),
        (more, protein) => {
          const full = needs(DRY_COW, {
            edition: 'NRC2000',
            diet: dietContextOf(rationSupply({ layers: ration([poor(protein), 10]) })),
          }).dryMatterIntakeKgPerDay;
          const lines = (kilograms: number) =>
            evaluated(offer(ration([poor(protein), kilograms / 0.88]))).lines.filter(
              ({ nutrient }) => nutrient !== 'dryMatter' && nutrient !== 'fiberCapacity',
            );
          const verdicts = (kilograms: number) => lines(kilograms).map(({ nutrient, verdict }) => [nutrient, verdict]);
          expect(verdicts(full * 1.05 * more)).toEqual(verdicts(full * 1.05));
        },
      ),
    );
  });
  test('a mineral in front of them is taken whole', () => {
    const lime = hay('Lime', 99, { calciumPercent: 38 }, { isForage: false, isLongStem: false, feedGroup: 'mineral' });
    const layers: RationLayer[] = [
      ...ration([MEADOW, 30]),
      { role: 'mixed', lots: [{ lot: lime, asFedKgPerHeadPerDay: 0.1, freeChoice: true }] },
    ];
    const request = offer(layers);
    const held = 1.05 * request.requirement.dryMatterIntakeKgPerDay;
    expect(line(request, 'calcium')?.supply).toBeCloseTo((held - 0.099) * 4.5 + 99 * 0.38, 6);
  });
});

describe('cows and growing cattle', () => {
  test('a cow gets days to a score and no gain; a yearling gets gain and no days', () => {
    const cow = evaluated(cowRequest(ration([MEADOW, 12])));
    expect(cow.gain.unknownBecause).toBe('mature-cattle');
    expect(cow.condition.daysToOneScore).toBeGreaterThan(0);
    const yearling = evaluated({
      animal: YEARLING,
      requirement: needs(YEARLING),
      layers: ration([MEADOW, 4], [ALFALFA, 4]),
    });
    expect(yearling.condition.unknownBecause).toBe('growing-cattle');
    expect(yearling.gain.expectedKgPerDay).toBe(
      Math.min(yearling.gain.energyAllowableKgPerDay ?? 0, yearling.gain.proteinAllowableKgPerDay ?? 0),
    );
  });
  test('protein rules on straw with energy to spare, energy rules on alfalfa', () => {
    const poor = hay('Rich in energy, poor in protein', 90, {
      crudeProteinPercent: 5,
      degradableProteinPercentOfCrudeProtein: 60,
      totalDigestibleNutrientsPercent: 70,
    });
    expect(evaluated({ animal: YEARLING, requirement: needs(YEARLING), layers: ration([poor, 8]) }).gain.ruledBy).toBe(
      'protein',
    );
    expect(
      evaluated({ animal: YEARLING, requirement: needs(YEARLING), layers: ration([ALFALFA, 7]) }).gain.ruledBy,
    ).toBe('energy');
  });
  test('more of the same hay never lowers the energy-allowable gain', () => {
    const requirement = needs(YEARLING);
    fc.assert(
      fc.property(
        fc.double({ min: 1, max: 12, noNaN: true }),
        fc.double({ min: 0, max: 3, noNaN: true }),
        (kg, more) => {
          const gain = (amount: number) =>
            evaluated({ animal: YEARLING, requirement, layers: ration([ALFALFA, amount]) }).gain
              .energyAllowableKgPerDay ?? Number.NaN;
          expect(gain(kg + more)).toBeGreaterThanOrEqual(gain(kg) - 1e-12);
        },
      ),
    );
  });
  test('a hungry cow loses condition', () => {
    expect(evaluated(cowRequest(ration([STRAW, 7]))).condition.direction).toBe('loss');
  });
});

describe('cost', () => {
  const priced = { ...MEADOW, price: PricePerMass.of('120', 'USD', 'ton') };
  test('is worked out only for readers who may see prices, on what is offered', () => {
    const layers = ration([priced, 10]);
    expect(evaluated(cowRequest(layers)).cost).toEqual({
      perHeadDay: null,
      perLot: [],
      unknownBecause: 'prices-not-shown',
    });
    const { cost } = evaluated(cowRequest(layers, { showCost: true, wastedShare: 0.1 }));
    // 10 kg at $120 a short ton of 907.18474 kg.
    expect(cost.perHeadDay?.amount.toNumber()).toBeCloseTo((10 * 120) / 907.18474, 12);
  });
  test('one missing price leaves the cost unknown', () => {
    expect(evaluated(cowRequest(ration([priced, 8], [ALFALFA, 2]), { showCost: true })).cost).toMatchObject({
      perHeadDay: null,
      unknownBecause: 'a-price-is-missing',
    });
  });
  test('two currencies are refused', () => {
    const other = { ...ALFALFA, price: PricePerMass.of('120', 'CAD', 't') };
    expect(evaluateRation(cowRequest(ration([priced, 8], [other, 2]), { showCost: true }))).toMatchObject({
      ok: false,
      problems: [{ code: 'currencies-mixed' }],
    });
  });
});

describe('cautions of a ration', () => {
  test('a sound ration of tested meadow hay warns of salt only', () => {
    expect(codes(evaluated(cowRequest(ration([MEADOW, 12]))).cautions)).toEqual(['sodium-low']);
  });
  test('straw, nitrate, legume, abrupt change and lab tests each speak, worst first', () => {
    const oats = hay(
      'Oat hay',
      88,
      { crudeProteinPercent: 5, totalDigestibleNutrientsPercent: 52, nitrateNitrogenPpm: 4500 },
      { canGatherNitrate: true },
    );
    const { cautions, nitrate } = evaluated(
      cowRequest(ration([STRAW, 9], [oats, 2]), {
        before: { shares: [{ lotId: 'Meadow hay', shareOfDryMatter: 1 }], starchyGrainKgPerDay: 0 },
        testing: [{ lotName: 'Oat hay', daysSinceSample: null, daysUntilFed: 0, balesCored: null, lotKg: null }],
      }),
    );
    expect(codes(cautions)).toEqual(
      expect.arrayContaining(['nitrate-single-hay', 'straw-impaction', 'abrupt-change', 'lab-test-missing']),
    );
    expect(cautions[0]?.severity).toBe('danger');
    expect(nitrate.wholeRationNitrateNitrogenPpmDm).toBeCloseTo(
      (9 * 0.91 * 100 + 2 * 0.88 * 4500) / (9 * 0.91 + 2 * 0.88),
      9,
    );
    expect(codes(evaluated(cowRequest(ration([ALFALFA, 11]), { fedWet: true })).cautions)).toContain('legume-bloat');
  });
  test('whoever gives milk needs the magnesium of milk', () => {
    const low = ration([
      { ...MEADOW, composition: { ...MEADOW.composition, magnesiumPercent: { value: 0.15, origin: 'lab-test' } } },
      12,
    ]);
    const request = cowRequest(low);
    expect(codes(evaluated(request).cautions)).not.toContain('magnesium-low');
    expect(
      codes(evaluated({ ...request, requirement: { ...request.requirement, milkKgPerDay: 6 } }).cautions),
    ).toContain('magnesium-low');
  });
  test('grain and urea', () => {
    const grain = hay(
      'Barley',
      89,
      { crudeProteinPercent: 12, totalDigestibleNutrientsPercent: 84, neutralDetergentFiberPercent: 18 },
      { isForage: false, isLongStem: false, isStarchyGrain: true, nonProteinNitrogenPercent: 20 },
    );
    expect(codes(evaluated(cowRequest(ration([MEADOW, 8], [grain, 4]))).cautions)).toEqual(
      expect.arrayContaining(['acidosis', 'urea-share']),
    );
  });
});

describe('what cannot be is refused', () => {
  test.each([
    ['ration-empty', ration([MEADOW, 0])],
    ['amount-out-of-range', ration([MEADOW, -1])],
    ['amount-out-of-range', ration([MEADOW, Number.NaN])],
    ['dry-matter-out-of-range', ration([{ ...MEADOW, dryMatterPercent: { value: 0, origin: 'lab-test' } }, 5])],
  ] as const)('%s', (code, layers) => {
    expect(evaluateRation({ animal: DRY_COW, requirement: needs(DRY_COW), layers })).toMatchObject({
      ok: false,
      problems: [{ code }],
    });
  });
  test('waste of all that is offered', () => {
    expect(
      evaluateRation({ animal: DRY_COW, requirement: needs(DRY_COW), layers: ration([MEADOW, 5]), wastedShare: 1 }),
    ).toMatchObject({ ok: false, problems: [{ code: 'waste-out-of-range' }] });
  });
});

describe('a ration told in layer shares', () => {
  const density = (value: number) => ({ value, origin: 'measured', source: 'weighed' }) as const;
  const shared = [
    { role: 'coarse', lot: STRAW, share: 0.4, bulkDensityKgPerM3: density(40) },
    { role: 'rich', lot: ALFALFA, share: 0.35, bulkDensityKgPerM3: density(80) },
    { role: 'mixed', lot: MEADOW, share: 0.25, bulkDensityKgPerM3: density(60) },
  ] as const;
  test('the amounts add up to what is asked, as fed or as dry matter', () => {
    for (const amount of [{ asFedKg: 12 }, { dryMatterKg: 11 }]) {
      const outcome = rationFromShares({ basis: 'volume', layers: shared, amount });
      if (!outcome.ok) throw new Error('refused');
      const supply = rationSupply({ layers: outcome.value.layers });
      expect('asFedKg' in amount ? supply.asFedOfferedKg - 12 : supply.dryMatterKg - 11).toBeCloseTo(0, 9);
      expect(outcome.value.layers.map(({ role }) => role)).toEqual(['coarse', 'rich', 'mixed']);
    }
  });
  test('40/35/25 by volume of loose straw and denser alfalfa is mostly alfalfa by weight', () => {
    const outcome = rationFromShares({ basis: 'volume', layers: shared, amount: { asFedKg: 59 } });
    if (!outcome.ok) throw new Error('refused');
    // 0.40·40 + 0.35·80 + 0.25·60 = 16 + 28 + 15 = 59
    expect(outcome.value.layers.map(({ lots }) => lots[0]?.asFedKgPerHeadPerDay)).toEqual([
      expect.closeTo(16, 9),
      expect.closeTo(28, 9),
      expect.closeTo(15, 9),
    ]);
  });
  test('nothing to lay, or shares that miss 100 %, are refused', () => {
    expect(rationFromShares({ basis: 'volume', layers: shared, amount: { asFedKg: 0 } })).toMatchObject({
      ok: false,
      problems: [{ code: 'amount-out-of-range' }],
    });
    expect(rationFromShares({ basis: 'volume', layers: shared.slice(0, 2), amount: { asFedKg: 5 } })).toMatchObject({
      ok: false,
      problems: [{ code: 'shares-do-not-add-up' }],
    });
  });
});
