import { analyzeDesign, designModel, type DesignRow } from '../../../src/core/trial/design-analysis.js';
import { plannedLayout, powerByNoncentralT, sightOfDesign } from '../../../src/core/trial/design-power.js';
import { drawFeedings } from '../../../src/core/trial/draw-design.js';
import { answersOfTrial, judgeTrial } from '../../../src/core/trial/judge-trial.js';
import type { TrialToJudge } from '../../../src/core/trial/judgement/judgement.js';
import { OneRandomFactor } from '../../../src/core/trial/one-random-factor.js';
import { planTrial, type TrialPlanRequest } from '../../../src/core/trial/plan-trial.js';
import { weighingDaysOfPeriods } from '../../../src/core/trial/protocol-sheet.js';
import { seededRandom } from '../../../src/core/trial/seeded-random.js';
import type { PeriodDesign, TrialDesign } from '../../../src/core/trial/trial-design.js';
import type { TrialAnimal } from '../../../src/core/trial/trial-records.js';
import reference from '../../reference/statistics/mixed-models.json';
import { arms, herd, trial, weigh } from './support.js';

const ids = { usualId: 'usual', changeId: 'layered' };
const row = (more: Partial<DesignRow>): DesignRow => ({
  penId: 'pen',
  group: 'pen',
  period: 1,
  armId: 'usual',
  before: null,
  head: 1,
  startWeightKg: 250,
  gainKgPerDay: 0,
  ...more,
});

describe('the mixed model with one random factor', () => {
  it('finds what is published for nine people on four stools', () => {
    const { rows, coefficients, standardErrors, degreesOfFreedom, betweenSd, residualSd, t } = reference.blocks;
    const response = rows.flat();
    const model = OneRandomFactor.of({
      columns: [0, 1, 2, 3].map((type) => response.map((_, at) => (type === 0 || at % 4 === type ? 1 : 0))),
      groups: rows.flatMap((four, person) => four.map(() => `person ${person}`)),
      ofInterest: 1,
    });
    const fit = model?.fit(response);
    coefficients.forEach((value, at) => expect(fit?.coefficients[at]).toBeCloseTo(value, 6));
    standardErrors.forEach((value, at) => expect(fit?.standardErrors[at]).toBeCloseTo(value, 6));
    expect(fit?.degreesOfFreedom).toBe(degreesOfFreedom);
    expect(Math.sqrt(fit?.betweenVariance ?? NaN)).toBeCloseTo(betweenSd, 6);
    expect(Math.sqrt(fit?.residualVariance ?? NaN)).toBeCloseTo(residualSd, 6);
    expect((fit?.coefficients[1] ?? NaN) / (fit?.standardErrors[1] ?? NaN)).toBeCloseTo(t, 5);
  });

  it('is the paired t test where pens stand in pairs', () => {
    const { usual, change, t, degreesOfFreedom, low, high } = reference.pairs;
    const of = (armId: string, gains: readonly number[]) =>
      gains.map((gainKgPerDay, block) =>
        row({ penId: `${armId} ${block}`, group: `block ${block}`, armId, gainKgPerDay }),
      );
    const found = analyzeDesign([...of('usual', usual), ...of('layered', change)], ids, 0.95);
    expect(found?.difference).toMatchObject({ method: 'mixed-model', degreesOfFreedom });
    expect(found?.difference.t).toBeCloseTo(t, 9);
    expect(found?.difference.low).toBeCloseTo(low, 9);
    expect(found?.difference.high).toBeCloseTo(high, 9);
    expect(found?.carryOver).toBeNull();
  });

  it('finds what the likelihood itself has where herds begin one after another, with and without all records', () => {
    const { gains, cases } = reference.steps;
    for (const { without, effect, standardError, betweenSd, residualSd, degreesOfFreedom } of cases) {
      const rows = gains.flatMap((four, herd) =>
        four.flatMap((gainKgPerDay, period) =>
          without.some(([one, other]) => one === herd && other === period)
            ? []
            : [
                row({
                  penId: `herd ${herd}`,
                  group: `herd ${herd}`,
                  period: period + 1,
                  armId: period > herd ? 'layered' : 'usual',
                  gainKgPerDay,
                }),
              ],
        ),
      );
      const found = analyzeDesign(rows, ids, 0.95);
      expect(found?.difference.difference).toBeCloseTo(effect, 6);
      expect(found?.difference.standardError).toBeCloseTo(standardError, 6);
      expect(found?.difference.degreesOfFreedom).toBe(degreesOfFreedom);
      expect(found?.betweenSdKgPerDay).toBeCloseTo(betweenSd, 5);
      expect(found?.residualSdKgPerDay).toBeCloseTo(residualSd, 6);
    }
  });

  it('has no answer where the feeding cannot be told from the herds', () => {
    const two = (period: number) => [
      row({ penId: 'a', group: 'a', period, gainKgPerDay: 0.4 + period / 10 }),
      row({ penId: 'b', group: 'b', period, armId: 'layered', gainKgPerDay: 0.5 + period / 7 }),
    ];
    expect(analyzeDesign([...two(1), ...two(2), ...two(3)], ids, 0.95)).toBeNull();
    expect(analyzeDesign(two(1), ids, 0.95)).toBeNull();
    expect(analyzeDesign([], ids, 0.95)).toBeNull();
  });
});

const SWITCHBACK: PeriodDesign = { kind: 'switchback', periods: 6, washoutDays: 7 };
const PERIOD_DAYS = 28;

/**
 * Two herds that change over, each of `head`: gains of every period after its washout are the herd's own, the season's,
 * the feeding's and, where `lingers`, what the feeding before still does. `first` is what herd a begins with.
 */
function twoHerds({
  effect,
  noise = () => 0,
  lingers = 0,
  head = 5,
  more = {},
  feedings = [
    { penId: 'a', block: null, armIds: ['usual', 'layered', 'usual', 'layered', 'usual', 'layered'] },
    { penId: 'b', block: null, armIds: ['layered', 'usual', 'layered', 'usual', 'layered', 'usual'] },
  ],
}: {
  effect: number;
  noise?: () => number;
  lingers?: number;
  head?: number;
  more?: Partial<TrialToJudge>;
  feedings?: NonNullable<TrialToJudge['designed']>['feedings'];
}): TrialToJudge {
  const lengthDays = SWITCHBACK.periods * PERIOD_DAYS;
  const animals = feedings.flatMap(({ penId, armIds }, herd) => {
    const gains = armIds.map(
      (armId, period) =>
        0.4 +
        0.2 * herd -
        0.02 * period +
        (armId === 'layered' ? effect : 0) +
        (armIds[period - 1] === 'layered' ? lingers : 0) +
        noise(),
    );
    return Array.from({ length: head }, (_, number): TrialAnimal => {
      let weight = 240 + 3 * number;
      const weighings = gains.flatMap((gain, period) => {
        const from = period * PERIOD_DAYS;
        // Fill changes in the washout: that must be no gain.
        weight += armIds[period] === 'layered' ? 9 : -9;
        const begun = weigh(from + SWITCHBACK.washoutDays, weight);
        weight += gain * (PERIOD_DAYS - SWITCHBACK.washoutDays);
        return [begun, weigh(from + PERIOD_DAYS, weight)];
      });
      return {
        id: `${penId}-${number}`,
        armId: armIds[0] ?? '',
        penId,
        weighings: [weigh(0, 240), ...weighings],
        events: [],
      };
    });
  });
  return trial(animals, {
    unit: 'pen',
    designed: { design: SWITCHBACK, feedings },
    protocol: { lengthDays, startDays: [0], endDays: [lengthDays], fill: 'full', hoursOffFeed: 0 },
    ...more,
  });
}

function judged(of: TrialToJudge) {
  const found = judgeTrial(of);
  if (!found.ok) throw new Error(JSON.stringify(found.problems));
  const [comparison] = found.comparisons;
  if (comparison === undefined) throw new Error('no comparison');
  return { found, comparison };
}

describe('two herds that change over', () => {
  it('get an answer where one herd an arm gets none', () => {
    const random = seededRandom({ seed: '9' });
    const { found, comparison } = judged(twoHerds({ effect: 0.15, noise: () => 0.02 * random.nextNormal() }));
    expect(comparison.answer).toMatchObject({ method: 'mixed-model', degreesOfFreedom: 4 });
    expect(comparison.answer?.difference).toBeCloseTo(0.15, 1);
    expect(comparison.verdict).toMatchObject({ verdict: 'favours', favours: 'change' });
    expect(comparison.designed).toMatchObject({ kind: 'switchback', pens: 2, periods: 6 });
    expect(comparison.twoHerds).toBeNull();
    const words = comparison.verdict.sentences.join('\n');
    expect(words).toContain(
      '2 pens or herds changed between usual feeding and layered feeding, over 6 periods of 28 days',
    );
    expect(words).toContain('gain counts over the last 21 days of each');
    expect(found.arms.map((arm) => arm.headDrawn)).toEqual([30, 30]);
    expect(found.arms.map((arm) => arm.headDays)).toEqual([840, 840]);
    const side = judged({ ...twoHerds({ effect: 0.15 }), designed: null });
    expect(side.comparison.answer).toBeNull();
  });

  it('gives back exactly what was put in, whatever the herds, the season and the fill do', () => {
    // By hand: noise of ±0.001 that sums to nothing within each herd, period and feeding would leave the effect as it
    // is; a single value moves it by its share. So the answer with one herd-period moved by 0.06 is off by 0.06 times
    // its weight in the difference, ±1/6 in twelve cells (one sixth for each of the six cells of a feeding).
    let cell = -1;
    const { comparison } = judged(
      twoHerds({
        effect: 0.15,
        noise: () => {
          cell += 1;
          return cell === 1 ? 0.06 : 0;
        },
      }),
    );
    expect(comparison.answer?.difference).toBeCloseTo(0.15 + 0.06 / 6, 9);
  });

  it('tells what lingers, and its caution', () => {
    const random = seededRandom({ seed: '12' });
    const noise = () => 0.004 * random.nextNormal();
    const { found, comparison } = judged(twoHerds({ effect: 0.1, lingers: 0.08, noise }));
    expect(comparison.designed?.carryOver?.effect.difference).toBeCloseTo(0.08, 1);
    expect(comparison.designed?.carryOver?.allowedFor.difference).toBeCloseTo(0.1, 1);
    expect(found.cautions.map((one) => one.code)).toContain('trial.carry-over');
    const clean = judged(twoHerds({ effect: 0.1, noise })).found.cautions.map((one) => one.code);
    expect(clean).not.toContain('trial.carry-over');
  });

  it('counts a death on the feeding of its day, and nothing of that animal after it', () => {
    const base = twoHerds({ effect: 0.1 });
    const animals = base.animals.map((one) =>
      one.id === 'a-0'
        ? {
            ...one,
            weighings: one.weighings.filter((weighing) => weighing.day <= 40),
            events: [{ day: 40, kind: 'died' as const }],
          }
        : one,
    );
    const { found } = judged({ ...base, animals });
    // Herd a is on the change on day 40 (its second period): 1 of 5 head there died, and four periods lack that head.
    expect(found.arms.map((arm) => [arm.armId, arm.headDied, arm.headDrawn])).toEqual([
      ['usual', 0, 28],
      ['layered', 1, 28],
    ]);
    expect(found.arms.map((arm) => arm.headDays)).toEqual([28 * 28, 27 * 28 + 12]);
  });

  it('cannot tell before there are periods enough, and says why', () => {
    const { comparison } = judged(
      twoHerds({ effect: 0.1, more: { upToDay: 30, look: { planned: null, number: 1, final: false } } }),
    );
    expect(comparison.answer).toBeNull();
    expect(comparison.verdict.sentences.join(' ')).toContain('need three periods or more');
  });

  it('keeps the error of its verdict where herds differ much, and where they do not', () => {
    for (const spread of [0, 0.12]) {
      const random = seededRandom({ seed: '44', stream: String(Math.round(spread * 100)) });
      const layout = plannedLayout({ design: SWITCHBACK, arms, unitsPerArm: 1 });
      const model = designModel(layout, ids);
      const runs = Array.from({ length: 2000 }, () => {
        const own = new Map(layout.map((one) => [one.group, 0]));
        for (const group of own.keys()) own.set(group, spread * random.nextNormal());
        const fit = model?.fit(layout.map((one) => (own.get(one.group) ?? 0) + 0.06 * random.nextNormal()));
        return Math.abs((fit?.coefficients[1] ?? NaN) / (fit?.standardErrors[1] ?? NaN));
      });
      // Student's 97.5 % point on 4 degrees of freedom: 2.776 (tables). Of 2,000 trials 5 % ± 3 standard errors.
      const size = runs.filter((t) => t > 2.776).length / runs.length;
      expect(Math.abs(size - 0.05)).toBeLessThan(0.015);
    }
  });
});

describe('drawing of designs', () => {
  it.each([
    ['switchback', { kind: 'switchback', periods: 4, washoutDays: 7 } as const, ['p', 'q', 'r', 's']],
    ['stepped start', { kind: 'stepped-start', periods: 3, washoutDays: 0 } as const, ['p', 'q', 'r', 's']],
  ])('deals orders evenly and every pen once (%s)', (_name, design, penIds) => {
    const seen = new Set<string>();
    for (let seed = 0; seed < 40; seed += 1) {
      const drawn = drawFeedings({ design, penIds, arms }, seededRandom({ seed: String(seed) }));
      expect(drawn.map((one) => one.penId).sort()).toEqual(penIds);
      const orders = drawn.map((one) => one.armIds.join(' '));
      expect(new Set(orders.map((order) => orders.filter((other) => other === order).length))).toEqual(new Set([2]));
      if (design.kind === 'stepped-start')
        expect(drawn.every((one) => one.armIds[0] === 'usual' && one.armIds.at(-1) === 'layered')).toBe(true);
      seen.add(
        drawn
          .map((one) => `${one.penId} ${one.armIds.join(' ')}`)
          .sort()
          .join('; '),
      );
    }
    // Of four pens two begin with each: six ways, and forty draws miss one of them once in 250 times at most.
    expect(seen.size).toBe(6);
  });

  it('gives every block every feeding', () => {
    const design: TrialDesign = {
      kind: 'blocked',
      blocks: [
        { name: 'north ranch', pens: ['n1', 'n2'] },
        { name: 'south ranch', pens: ['s1', 's2'] },
      ],
    };
    const drawn = drawFeedings({ design, penIds: ['n1', 'n2', 's1', 's2'], arms }, seededRandom({ seed: '3' }));
    for (const name of ['north ranch', 'south ranch'])
      expect(
        drawn
          .filter((one) => one.block === name)
          .flatMap((one) => one.armIds)
          .sort(),
      ).toEqual(['layered', 'usual']);
  });
});

const plan = (more: Partial<TrialPlanRequest>): TrialPlanRequest => ({
  question: 'Does layering pay?',
  arms,
  unit: 'pen',
  unitsPerArm: 1,
  headPerUnit: 40,
  lengthDays: 168,
  dailyGainSd: { kgPerDay: 0.16, source: 'stated' },
  penToPenSdKgPerDay: 0.05,
  weighingSd: { kg: 5.7, source: 'stated' },
  losses: { cattle: 0, pens: 0, source: 'none' },
  twoWeighingDays: true,
  fill: 'full',
  hoursOffFeed: 0,
  interimWeighingDays: [],
  hopedDifferenceKgPerDay: 0.15,
  meanStartWeightKg: 250,
  looks: null,
  design: SWITCHBACK,
  classOfAnimals: 'heifers',
  season: 'winter',
  hay: 'hay',
  wordsIn: 'lb',
  ...more,
});

describe('plans of designs', () => {
  it('has, by simulation of its own analysis, the power that the noncentral t has where that is exact', () => {
    const complete: TrialDesign[] = [SWITCHBACK, { kind: 'blocked', blocks: [] }];
    for (const design of complete) {
      const planned = { design, arms, unitsPerArm: 4, sdWithin: 0.08, sdBetween: 0.1, alpha: 0.05, lost: 0 };
      const sight = sightOfDesign(planned);
      for (const difference of [0.05, 0.1, 0.15])
        // Three standard errors of a share in 1,000 trials at most.
        expect(Math.abs((sight?.powerAt(difference) ?? NaN) - powerByNoncentralT(planned, difference))).toBeLessThan(
          0.048,
        );
    }
  });

  it('has the error of a stepped start that Hussey and Hughes give', () => {
    // Contemporary Clinical Trials 28:182-191, formula 8:
    // var = I σ² (σ² + T τ²) / ((I U − W) σ² + (U² + I T U − T W − I V) τ²),
    // U the cells on the change, W the squares of each period's number of them, V the squares of each herd's.
    // Three herds, four periods: U = 6, W = 1 + 4 + 9 = 14, V = 9 + 4 + 1 = 14.
    const [between, within] = [0.06 ** 2, 0.08 ** 2];
    const variance =
      (3 * within * (within + 4 * between)) / ((3 * 6 - 14) * within + (36 + 3 * 4 * 6 - 4 * 14 - 3 * 14) * between);
    const layout = [0, 1, 2].flatMap((herd) =>
      [1, 2, 3, 4].map((period) => ({
        group: `herd ${herd}`,
        period,
        armId: period > herd + 1 ? 'layered' : 'usual',
        before: null,
      })),
    );
    const found = designModel(layout, ids)?.errorPerSd(1, between / within) ?? NaN;
    expect((0.08 * found) ** 2).toBeCloseTo(variance, 12);
  });

  it('says what two herds can see, and how many periods it would take', () => {
    const found = planTrial(plan({}));
    if (!found.ok) throw new Error(JSON.stringify(found.problems));
    expect(found.design).toMatchObject({ kind: 'switchback', degreesOfFreedom: 4 });
    expect(found.words.join('\n')).toContain('2 pens or herds in 6 periods of 28 days');
    const longer = planTrial(plan({ lengthDays: 280, design: { ...SWITCHBACK, periods: 10 } }));
    expect(longer.ok && found.ok && (longer.smallestVisibleDifferenceKgPerDay ?? 9)).toBeLessThan(
      found.smallestVisibleDifferenceKgPerDay ?? 0,
    );
    expect(found.protocol.steps.filter((step) => step.code === 'change-over').map((step) => step.day)).toEqual([
      29, 57, 85, 113, 141,
    ]);
  });

  it('weighs after each washout and at the end of each period', () => {
    expect(weighingDaysOfPeriods({ kind: 'switchback', periods: 2, washoutDays: 7 }, 56, true)).toEqual([
      7, 8, 28, 29, 35, 36,
    ]);
    expect(weighingDaysOfPeriods({ kind: 'stepped-start', periods: 2, washoutDays: 0 }, 56, false)).toEqual([28]);
  });

  it.each([
    ['animals', { unit: 'animal', headPerUnit: 1 } as const],
    ['looks', { looks: { fractions: [0.5, 1], kind: 'pocock-type' }, interimWeighingDays: [84] } as const],
    ['three arms', { arms: [...arms, { id: 'third', name: 'third', role: 'change' }] } as const],
    ['uneven periods', { lengthDays: 170 }],
    ['a washout as long as the period', { design: { ...SWITCHBACK, washoutDays: 27 } }],
    ['two herds in two periods', { lengthDays: 56, design: { ...SWITCHBACK, periods: 2 } }],
    ['more steps than herds', { design: { kind: 'stepped-start', periods: 6, washoutDays: 0 } } as const],
    ['one block', { design: { kind: 'blocked', blocks: [{ name: 'here', pens: ['a', 'b'] }] } } as const],
    [
      'a block without one of the feedings',
      {
        unitsPerArm: 2,
        design: {
          kind: 'blocked',
          blocks: [
            { name: 'here', pens: ['a'] },
            { name: 'there', pens: ['b', 'c', 'd'] },
          ],
        },
      } as const,
    ],
  ])('refuses %s', (_name, more) => {
    const found = planTrial(plan(more));
    expect(found.ok).toBe(false);
    expect(!found.ok && found.problems.map((one) => one.code)).toContain('trial.design');
  });
});

describe('the answer alone', () => {
  it('is that of the whole judgement', () => {
    const random = seededRandom({ seed: '81' });
    const asked = [
      twoHerds({ effect: 0.15, noise: () => 0.05 * random.nextNormal() }),
      twoHerds({ effect: 0, more: { upToDay: 30, look: { planned: null, number: 1, final: false } } }),
      trial(herd({ perArm: 12, difference: 0.1, sd: 0.16, seed: '5' })),
      trial(herd({ perArm: 12, difference: 0.1, sd: 0.16, seed: '5', pensPerArm: 3 })),
    ];
    for (const one of asked) {
      const { comparison } = judged(one);
      const answers = answersOfTrial(one);
      if ('problems' in answers) throw new Error(JSON.stringify(answers.problems));
      expect(answers).toHaveLength(1);
      expect(answers[0]?.answer).toEqual(comparison.answer);
      if (answers[0]?.verdict) expect(comparison.verdict).toMatchObject(answers[0].verdict);
    }
  });
});
