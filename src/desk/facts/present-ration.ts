import type { LayerRole } from '../../core/laying/layer.js';
import { isFewHead } from '../../core/cautions/few-head-fed.js';
import { feedingsOfAnimals, headByFeeding } from '../../core/judge/fed-groups.js';
import { PRESENT_FEEDING } from '../../core/judge/present-feeding.data.js';
import { type Outcome, refused, succeeded } from '../../core/outcome/outcome.js';
import { daysBetween } from '../../core/time/calendar-day.js';
import type { FeedingRow } from '../../records/feedings/feeding.read.js';
import type { FedLately } from './fed-lately.js';
import type { HerdFacts } from './herd-facts.js';
import type { RationContent } from './ration-content.js';

type Fed = Pick<FedLately, 'feedings' | 'layers' | 'headOn'>;
type Eaten = readonly { readonly feeding: FeedingRow; readonly head: number }[];

/**
 * What a herd is fed at present, as a ration: the mean kilograms per head per day of each lot in each role over the
 * days of its last feedings, in the build order of the last one. What only few of the head fed that day got is not what
 * the herd is fed. `null` where nothing was fed.
 */
export function presentRationOf({ feedings, layers, headOn }: Fed): RationContent | null {
  const days = [...new Set(feedings.map((one) => one.happened_on))];
  const eaten = days.flatMap((day) => {
    const ofDay = eatenOn(
      feedings.filter((one) => one.happened_on === day),
      headOn.get(day) ?? 0,
    );
    const most = Math.max(...ofDay.map(({ head }) => head));
    return ofDay.filter(({ head }) => !isFewHead({ headFed: head, head: most }));
  });
  return poolOf(eaten, layers);
}

/** The feedings of one day, each with the head that its feed is divided by. */
export function eatenOn(feedings: readonly FeedingRow[], headOfHerd: number): Eaten {
  const fed = feedings.map((feeding) => ({ feeding, headFed: feeding.head_fed }));
  const head = headByFeeding(fed, headOfHerd);
  return fed.map((one) => ({ feeding: one.feeding, head: head.get(one) ?? one.headFed }));
}

/** What single animals ate in one day, where feedings went to different cattle. Each is a ration of its own. */
export function rationsOfAnimals({ feedings, layers }: Omit<Fed, 'headOn'>, head: number): RationContent[] {
  const fed = feedings.map((feeding) => ({ feeding, headFed: feeding.head_fed }));
  return feedingsOfAnimals(fed, head).flatMap(
    (got) =>
      poolOf(
        got.map(({ feeding, headFed }) => ({ feeding, head: headFed })),
        layers,
      ) ?? [],
  );
}

interface PerHead {
  role: LayerRole;
  lotId: string;
  freeChoice: boolean;
  kilograms: number;
  order: number;
}

/** Feedings taken together, over their days. */
function poolOf(eaten: Eaten, layers: Fed['layers']): RationContent | null {
  const days = new Set(eaten.map(({ feeding }) => feeding.happened_on)).size;
  const perHead = new Map<string, PerHead>();
  eaten.forEach(({ feeding, head }, index) => {
    for (const layer of layers.get(feeding.id) ?? []) {
      const key = `${layer.role} ${layer.hay_lot_id} ${layer.free_choice}`;
      perHead.set(key, {
        role: layer.role,
        lotId: layer.hay_lot_id,
        freeChoice: layer.free_choice,
        kilograms: (perHead.get(key)?.kilograms ?? 0) + Number(layer.kilograms) / head / days,
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
