/*
 * Size, coverage and power of whole judgements by design: trials are drawn with a known truth, written as weights and
 * events, and judged as the books would be. Power is beside what the plan of that design promises.
 */
import { judgeTrial } from '../../src/core/trial/judge-trial.js';
import { planTrial } from '../../src/core/trial/plan-trial.js';
import { seededRandom } from '../../src/core/trial/seeded-random.js';
import { DEFAULT_DAILY_GAIN_SPREAD } from '../../src/core/trial/trial.data.js';
import type { TrialAnimal, TrialArm } from '../../src/core/trial/trial-records.js';
import { animal, trial } from '../core/trial/support.js';

interface Design {
  readonly name: string;
  readonly changes: number;
  /** Pens of an arm; none where each animal is fed by itself. */
  readonly pens: number;
  readonly headPerUnit: number;
  readonly unitsPerArm: number;
}

const DESIGNS: readonly Design[] = [
  { name: 'animals fed alone', changes: 1, pens: 0, headPerUnit: 1, unitsPerArm: 20 },
  { name: 'one herd an arm', changes: 1, pens: 1, headPerUnit: 20, unitsPerArm: 1 },
  { name: 'pens', changes: 1, pens: 5, headPerUnit: 8, unitsPerArm: 5 },
  { name: 'pens, two changes', changes: 2, pens: 5, headPerUnit: 8, unitsPerArm: 5 },
];
const HERD_SPREADS = [0, 0.06, 0.12];
const DEATHS = [0, 0.05];
const EFFECT = 0.2;
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

export function designFigures(trials: number, seed: string): DesignFigure[] {
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
        return {
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

function oneTrial(
  design: Design,
  given: { spread: number; deaths: number; effect: number; random: ReturnType<typeof seededRandom> },
): { anyFound: boolean; firstFavored: boolean; held: boolean | null } {
  const { spread, deaths, effect, random } = given;
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
  const judged = judgeTrial(
    trial(animals, { arms, unit: design.pens === 0 ? 'animal' : 'pen', feeds: [], otherCosts: [], valueOfGain: null }),
  );
  if (!judged.ok) throw new Error(judged.problems.map((problem) => problem.code).join());
  const { comparisons } = judged;
  return {
    anyFound: comparisons.some((one) => one.verdict.favours !== null),
    firstFavored: comparisons[0]?.verdict.favours === 'change',
    held: comparisons.some((one) => one.answer === null)
      ? null
      : comparisons.every(({ answer }, index) => {
          const truth = index === 0 ? effect : 0;
          return answer !== null && answer.low <= truth && truth <= answer.high;
        }),
  };
}

function promised(design: Design, spread: number, deaths: number): number | null {
  const plan = planTrial({
    question: 'How surely?',
    arms: armsOf(design),
    unit: design.pens === 0 ? 'animal' : 'pen',
    unitsPerArm: design.unitsPerArm,
    headPerUnit: design.headPerUnit,
    lengthDays: 60,
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
