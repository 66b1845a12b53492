import { type BudgetDoubts, drawWinter, likelyRange, yardOf } from '../../src/core/budget/likely-range.js';
import type { HayBudgetInput } from '../../src/core/budget/hay-budget.js';
import { publishedFeedingWaste, publishedStorageLoss, statedLoss } from '../../src/core/budget/loss-figures.js';
import { seededRandom, type SeededRandom } from '../../src/core/trial/seeded-random.js';
import { decimal } from '../../src/core/units/decimal.js';
import { Mass } from '../../src/core/units/mass.js';

const pick = <T>(random: SeededRandom, choices: readonly [T, ...T[]]): T =>
  choices[random.nextBelow(choices.length)] ?? choices[0];

/** An invented ranch: one to four herds, one to six lots, with half to one and a half times the hay needed. */
export function inventedYard(random: SeededRandom): { input: HayBudgetInput; doubts: BudgetDoubts } {
  const days = 120 + random.nextBelow(90);
  const herds = Array.from({ length: 1 + random.nextBelow(4) }, (_, index) => ({
    herdId: `herd ${index}`,
    head: 20 + random.nextBelow(200),
    intake: 5 + random.nextBelow(9),
    waste: pick(random, [
      publishedFeedingWaste('ring-feeder'),
      publishedFeedingWaste('bunk'),
      statedLoss(decimal('0.1'), 'invented'),
    ]),
  }));
  const needed = herds.reduce(
    (sum, one) => sum + (one.head * one.intake * days) / 0.88 / (1 - one.waste.typical.toNumber()),
    0,
  );
  const count = 1 + random.nextBelow(6);
  const lots = Array.from({ length: count }, (_, index) => {
    const storage = pick(random, ['under-roof', 'tarp', 'outdoors-on-ground'] as const);
    return {
      lotId: `lot ${index}`,
      storage,
      loss: publishedStorageLoss(storage),
      balanceSpread: pick(random, [0.01, 0.02, 0.05]),
      balance: (needed / count) * (0.5 + random.nextBelow(100) / 100),
    };
  });
  return {
    input: {
      from: '2026-11-15',
      until: new Date(Date.UTC(2026, 10, 15 + days)).toISOString().slice(0, 10),
      currency: 'USD',
      prices: [],
      substituteKinds: true,
      herds: herds.map(({ herdId, head, intake, waste }) => ({
        herdId,
        headEvents: [{ day: '2026-11-01', kind: 'in', head }],
        dryMatterIntakePerHeadDay: Mass.of(String(intake), 'kg'),
        dryMatter: '0.88',
        waste: waste.typical,
        kinds: [{ hayKind: 'meadow', share: '1' }],
      })),
      lots: lots.map(({ lotId, balance, loss }) => ({
        lotId,
        hayKind: 'meadow',
        balance: Mass.of(balance.toFixed(0), 'kg'),
        storedOn: '2026-07-20',
        countedOn: '2026-11-15',
        seasonLoss: loss.typical,
      })),
    },
    doubts: {
      herds: herds.map(({ herdId, waste }) => ({ herdId, waste, coldCounts: true })),
      lots: lots.map(({ lotId, storage, loss, balanceSpread }) => ({ lotId, storage, loss, balanceSpread })),
    },
  };
}

/**
 * How often the likely range covers what happens: the mean over ranches, and the lowest. The winters that happen are
 * drawn with seeds other than the range's own.
 */
export function coverageOfLikelyRange({ yards, draws, seed }: { yards: number; draws: number; seed: string }): {
  runOut: number;
  short: number;
  least: number;
} {
  const random = seededRandom({ seed });
  const shares = Array.from({ length: yards }, () => {
    const { input, doubts } = inventedYard(random);
    const yard = yardOf(input);
    const range = likelyRange(yard, doubts);
    const [low, high] = [range.short.low.kilograms.toNumber(), range.short.high.kilograms.toNumber()];
    let [runOut, short] = [0, 0];
    for (let draw = 0; draw < draws; draw += 1) {
      const outcome = yard.run(drawWinter(doubts, input, random));
      const day = outcome.runsOutAfterDays === null ? null : dayAfter(input.from, outcome.runsOutAfterDays);
      if ((day ?? LASTS) >= (range.runsOutOn.earliest ?? LASTS) && (day ?? LASTS) <= (range.runsOutOn.latest ?? LASTS))
        runOut += 1;
      if (outcome.shortKg >= low - 1 && outcome.shortKg <= high + 1) short += 1;
    }
    return { runOut: runOut / draws, short: short / draws };
  });
  const mean = (of: (one: (typeof shares)[number]) => number): number =>
    shares.reduce((sum, one) => sum + of(one), 0) / yards;
  return {
    runOut: mean((one) => one.runOut),
    short: mean((one) => one.short),
    least: Math.min(...shares.map((one) => one.runOut)),
  };
}

const LASTS = '9999-12-31';

function dayAfter(from: string, days: number): string {
  return new Date(Date.parse(`${from}T00:00:00Z`) + days * 86_400_000).toISOString().slice(0, 10);
}
