/*
 * Size, coverage and power of whole judgements by design: trials are drawn with a known truth, written as weights and
 * events, and judged as the books would be. Power is beside what the plan of that design promises.
 */
import { answersOfTrial } from '../../src/core/trial/judge-trial.js';
import { planTrial } from '../../src/core/trial/plan-trial.js';
import { seededRandom } from '../../src/core/trial/seeded-random.js';
import { DEFAULT_DAILY_GAIN_SPREAD } from '../../src/core/trial/trial.data.js';
import { drawFeedings } from '../../src/core/trial/draw-design.js';
import type { TrialToJudge } from '../../src/core/trial/judgement/judgement.js';
import { hasPeriods, type TrialDesign } from '../../src/core/trial/trial-design.js';
import type { TrialAnimal, TrialArm } from '../../src/core/trial/trial-records.js';
import { animal, trial, weigh } from '../core/trial/support.js';

interface Design {
  readonly name: string;
  readonly changes: number;
  /** Pens of an arm; none where each animal is fed by itself. */
  readonly pens: number;
  readonly headPerUnit: number;
  readonly unitsPerArm: number;
  /** Periods or blocks; arms side by side if absent. */
  readonly design?: TrialDesign;
}

function pairs(count: number): TrialDesign {
  const numbers = Array.from({ length: count }, (_, index) => index);
  return {
    kind: 'blocked',
    blocks: numbers.map((index) => ({ name: `block ${index}`, pens: [`pen ${2 * index}`, `pen ${2 * index + 1}`] })),
  };
}

const DESIGNS: readonly Design[] = [
  { name: 'animals fed alone', changes: 1, pens: 0, headPerUnit: 1, unitsPerArm: 20 },
  { name: 'one herd an arm', changes: 1, pens: 1, headPerUnit: 20, unitsPerArm: 1 },
  { name: 'pens', changes: 1, pens: 5, headPerUnit: 8, unitsPerArm: 5 },
  { name: 'pens, two changes', changes: 2, pens: 5, headPerUnit: 8, unitsPerArm: 5 },
  {
    name: 'two herds that change over',
    changes: 1,
    pens: 1,
    headPerUnit: 20,
    unitsPerArm: 1,
    design: { kind: 'switchback', periods: 6, washoutDays: 0 },
  },
  {
    name: 'four herds, stepped start',
    changes: 1,
    pens: 2,
    headPerUnit: 20,
    unitsPerArm: 2,
    design: { kind: 'stepped-start', periods: 5, washoutDays: 0 },
  },
  { name: 'pairs of pens', changes: 1, pens: 5, headPerUnit: 8, unitsPerArm: 5, design: pairs(5) },
];
const HERD_SPREADS = [0, 0.06, 0.12];
const DEATHS = [0, 0.05];
const EFFECT = 0.2;
const PERIOD_DAYS = 28;
const SD = DEFAULT_DAILY_GAIN_SPREAD.sdKgPerDay;

interface DesignFigure {
  readonly figure: 'design';
  readonly design: string;
  readonly herdSpreadKgPerDay: number;
  readonly deathsShare: number;
  readonly trials: number;
  /** Share of trials without an effect in which any change was favored or disfavored. */
  readonly size: number;
  /** Share of answered trials in which every interval held its truth; null where none was answered. */
  readonly coverage: number | null;
  readonly power: number;
  readonly planned: number | null;
}

export function designFigures(
  trials: number,
  seed: string,
  progress: (figure: DesignFigure) => void = () => undefined,
): DesignFigure[] {
  return DESIGNS.flatMap((design) =>
    // Animals that are fed alone in one yard share whatever befalls it: no herd sets their arms apart.
    HERD_SPREADS.filter((spread) => design.pens > 0 || spread === 0).flatMap((spread) =>
      DEATHS.map((deaths, index) => {
        const random = seededRandom({
          seed: `${seed}${index}${spread * 100}`,
          stream: String(DESIGNS.indexOf(design)),
        });
        const runs = (effect: number) =>
          Array.from({ length: trials }, () => oneTrial(design, { spread, deaths, effect, random }));
        const [none, some] = [runs(0), runs(EFFECT)];
        const answered = [...none, ...some].filter((run) => run.held !== null);
        const share = <Run>(of: readonly Run[], is: (run: Run) => boolean) => of.filter(is).length / of.length;
        const found = {
          figure: 'design' as const,
          design: design.name,
          herdSpreadKgPerDay: spread,
          deathsShare: deaths,
          trials,
          size: share(none, (run) => run.anyFound),
          coverage: answered.length === 0 ? null : share(answered, (run) => run.held === true),
          power: share(some, (run) => run.firstFavored),
          planned: promised(design, spread, deaths),
        };
        progress(found);
        return found;
      }),
    ),
  );
}

function armsOf({ changes }: Design): TrialArm[] {
  return Array.from({ length: changes + 1 }, (_, index) => ({
    id: `arm ${index}`,
    name: `feeding ${index}`,
    role: index === 0 ? 'usual' : 'change',
  }));
}

interface Drawn {
  readonly spread: number;
  readonly deaths: number;
  readonly effect: number;
  readonly random: ReturnType<typeof seededRandom>;
}

function oneTrial(design: Design, drawn: Drawn): { anyFound: boolean; firstFavored: boolean; held: boolean | null } {
  const given = design.design ? byDesign(design, design.design, drawn) : sideBySide(design, drawn);
  const answers = answersOfTrial(given);
  if ('problems' in answers) throw new Error(answers.problems.map((problem) => problem.code).join());
  return {
    anyFound: answers.some((one) => (one.verdict?.favours ?? null) !== null),
    firstFavored: answers[0]?.verdict?.favours === 'change',
    held: answers.some((one) => one.answer === null)
      ? null
      : answers.every(({ answer }, index) => {
          const truth = index === 0 ? drawn.effect : 0;
          return answer !== null && answer.low <= truth && truth <= answer.high;
        }),
  };
}

const NO_MONEY = { feeds: [], otherCosts: [], valueOfGain: null };

function sideBySide(design: Design, { spread, deaths, effect, random }: Drawn): TrialToJudge {
  const arms = armsOf(design);
  const animals = arms.flatMap((arm, number) =>
    Array.from({ length: design.unitsPerArm }, (_, unit) => {
      const mean = 0.4 + (number === 1 ? effect : 0) + spread * random.nextNormal();
      return Array.from({ length: design.headPerUnit }, (_head, head): TrialAnimal => {
        const id = `${arm.id} ${unit} ${head}`;
        const penId = design.pens === 0 ? null : `${arm.id} pen ${unit}`;
        const startKg = 250 + 15 * random.nextNormal();
        const drawn = animal(id, arm.id, mean + SD * random.nextNormal(), { startKg, penId });
        if (random.nextUint32() / 2 ** 32 >= deaths) return drawn;
        return { ...drawn, weighings: drawn.weighings.slice(0, 2), events: [{ day: 20, kind: 'died' }] };
      });
    }).flat(),
  );
  return trial(animals, { arms, unit: design.pens === 0 ? 'animal' : 'pen', ...NO_MONEY });
}

/**
 * Pens, or blocks of pens, with a level of their own (`spread`) and, as the plan takes for the worst case, as much that
 * is new in each period; animals differ in each period as they do between each other. One that dies does so in the
 * middle of the trial.
 */
function byDesign(of: Design, design: TrialDesign, { spread, deaths, effect, random }: Drawn): TrialToJudge {
  const arms = armsOf(of);
  const penIds = Array.from({ length: arms.length * of.unitsPerArm }, (_, index) => `pen ${index}`);
  const feedings = drawFeedings({ design, penIds, arms }, random);
  const periods = hasPeriods(design) ? design.periods : 1;
  const levels = new Map<string, number>();
  const animals = feedings.flatMap(({ penId, block, armIds }) => {
    const own = levels.get(block ?? penId) ?? spread * random.nextNormal();
    levels.set(block ?? penId, own);
    const means = armIds.map((id) => 0.4 + own + spread * random.nextNormal() + (id === 'arm 1' ? effect : 0));
    return Array.from({ length: of.headPerUnit }, (_, head): TrialAnimal => {
      let weight = 250 + 15 * random.nextNormal();
      const weighings = [weigh(0, weight)];
      for (const [period, mean] of means.entries()) {
        weight += PERIOD_DAYS * (mean + SD * random.nextNormal());
        weighings.push(weigh((period + 1) * PERIOD_DAYS, weight));
      }
      const dies = random.nextUint32() / 2 ** 32 < deaths;
      const day = (PERIOD_DAYS * periods) / 2 - 1;
      return {
        id: `${penId} ${head}`,
        armId: armIds[0] ?? '',
        penId,
        weighings: dies ? weighings.filter((one) => one.day < day) : weighings,
        events: dies ? [{ day, kind: 'died' }] : [],
      };
    });
  });
  const lengthDays = PERIOD_DAYS * periods;
  const protocol = { lengthDays, startDays: [0], endDays: [lengthDays], fill: 'full' as const, hoursOffFeed: 0 };
  return trial(animals, { arms, unit: 'pen', designed: { design, feedings }, protocol, ...NO_MONEY });
}

function promised(design: Design, spread: number, deaths: number): number | null {
  const plan = planTrial({
    question: 'How surely?',
    arms: armsOf(design),
    unit: design.pens === 0 ? 'animal' : 'pen',
    unitsPerArm: design.unitsPerArm,
    headPerUnit: design.headPerUnit,
    lengthDays: hasPeriods(design.design) ? PERIOD_DAYS * design.design.periods : 60,
    design: design.design ?? null,
    dailyGainSd: { kgPerDay: SD, source: DEFAULT_DAILY_GAIN_SPREAD.source },
    penToPenSdKgPerDay: spread,
    weighingSd: { kg: 0, source: 'in the spread of gain' },
    losses: { cattle: deaths, pens: 0, source: 'the deaths drawn' },
    twoWeighingDays: true,
    fill: 'full',
    hoursOffFeed: 0,
    interimWeighingDays: [],
    hopedDifferenceKgPerDay: EFFECT,
    meanStartWeightKg: 250,
    looks: null,
    classOfAnimals: 'heifers',
    season: 'winter',
    hay: 'hay',
    wordsIn: 'kg',
  });
  if (!plan.ok) throw new Error(plan.problems.map((problem) => problem.code).join());
  return plan.powerAtHopedDifference;
}
