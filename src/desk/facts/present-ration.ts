import type { LayerRole } from '../../core/laying/layer.js';
import { isFewHead } from '../../core/cautions/few-head-fed.js';
import { PRESENT_FEEDING } from '../../core/judge/present-feeding.data.js';
import { type Outcome, refused, succeeded } from '../../core/outcome/outcome.js';
import { daysBetween } from '../../core/time/calendar-day.js';
import type { FedLately } from './fed-lately.js';
import type { HerdFacts } from './herd-facts.js';
import type { RationContent } from './ration-content.js';

type Fed = Pick<FedLately, 'feedings' | 'layers'>;

/**
 * What a herd is fed at present, as a ration: the mean kilograms per head per day of each lot in each role over the
 * days of its last feedings, in the build order of the last one. What only few of the head fed that day got is not what
 * the herd is fed. `null` where nothing was fed.
 */
export function presentRationOf({ feedings, layers }: Fed): RationContent | null {
  const most = new Map<string, number>();
  for (const { happened_on: day, head_fed: head } of feedings) most.set(day, Math.max(most.get(day) ?? 0, head));
  const toMost = feedings.filter(
    ({ happened_on: day, head_fed: head }) => !isFewHead({ headFed: head, head: most.get(day) ?? head }),
  );
  return poolOf({ feedings: toMost, layers });
}

/**
 * What the animals of one day ate, where feedings went to different head: those that got only what most got, and those
 * that also got what went to fewer. Each is a ration of its own.
 */
export function rationsByHead({ feedings, layers }: Fed): RationContent[] {
  return [...new Set(feedings.map((one) => one.head_fed))].flatMap(
    (head) => poolOf({ feedings: feedings.filter((one) => one.head_fed >= head), layers }) ?? [],
  );
}

interface PerHead {
  role: LayerRole;
  lotId: string;
  freeChoice: boolean;
  kilograms: number;
  order: number;
}

/** The feedings taken together, as eaten by the same head. */
function poolOf({ feedings, layers }: Fed): RationContent | null {
  const days = new Set(feedings.map((feeding) => feeding.happened_on)).size;
  const perHead = new Map<string, PerHead>();
  feedings.forEach((feeding, index) => {
    for (const layer of layers.get(feeding.id) ?? []) {
      const key = `${layer.role} ${layer.hay_lot_id} ${layer.free_choice}`;
      perHead.set(key, {
        role: layer.role,
        lotId: layer.hay_lot_id,
        freeChoice: layer.free_choice,
        kilograms: (perHead.get(key)?.kilograms ?? 0) + Number(layer.kilograms) / feeding.head_fed / days,
        order: index * 100 + layer.position,
      });
    }
  });
  const parts = [...perHead.values()].sort((a, b) => a.order - b.order);
  const total = parts.reduce((sum, part) => sum + part.kilograms, 0);
  if (total <= 0) return null;
  return {
    basis: 'as-fed',
    amountKg: String(total),
    amountBasis: 'as-fed',
    statedWastedShare: null,
    parts: parts.map(({ role, lotId, freeChoice, kilograms }, index) => ({
      position: index + 1,
      role,
      lotId,
      sharePercent: String((kilograms / total) * 100),
      weight: null,
      freeChoice,
      density: null,
    })),
  };
}

/** The days of the last feedings, and how long ago the latest was. */
export function lastFedOf({ on, fedLately }: Pick<HerdFacts, 'on' | 'fedLately'>): {
  fromDay: string;
  untilDay: string;
  daysAgo: number;
} | null {
  const [first, last] = [fedLately?.feedings[0], fedLately?.feedings.at(-1)];
  if (first === undefined || last === undefined) return null;
  return { fromDay: first.happened_on, untilDay: last.happened_on, daysAgo: daysBetween(last.happened_on, on) };
}

/** What a herd is fed at present, or why that is not known: never fed, or too long ago. */
export function fedAtPresentOf(herd: Pick<HerdFacts, 'on' | 'fedLately'>): Outcome<RationContent> {
  const { on, fedLately } = herd;
  const content = fedLately === null ? null : presentRationOf(fedLately);
  const last = lastFedOf(herd);
  const problem = { field: 'feedings', given: last?.untilDay ?? null };
  if (content === null || last === null)
    return refused({
      ...problem,
      code: 'nothing-fed',
      allowed: `a feeding of this herd up to ${on}`,
      message: `No feeding of this herd was recorded up to ${on}.`,
    });
  const { notOlderThanDays } = PRESENT_FEEDING;
  if (last.daysAgo > notOlderThanDays.value)
    return refused({
      ...problem,
      code: 'fed-long-ago',
      allowed: `a feeding in the ${notOlderThanDays.value} days up to ${on}`,
      message:
        `The last recorded feeding of this herd is from ${last.untilDay}, ${last.daysAgo} days before ${on}: what it ` +
        'is fed now is not known.',
    });
  return succeeded(content);
}
