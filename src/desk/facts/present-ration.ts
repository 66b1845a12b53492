import type { LayerRole } from '../../core/laying/layer.js';
import { isFewHead } from '../../core/cautions/few-head-fed.js';
import { eatenOfDay, type PlannedDay } from '../../core/judge/evened-bales.js';
import { feedingsOfAnimals, headByFeeding } from '../../core/judge/fed-groups.js';
import { daysFedFor, type FedAtOnce, type FedFor, type FedUntil, isFedOn } from '../../core/judge/days-fed-for.js';
import { PRESENT_FEEDING } from '../../core/judge/present-feeding.data.js';
import { type Outcome, refused, succeeded } from '../../core/outcome/outcome.js';
import type { RequirementNote } from '../../core/requirements/requirement-set.js';
import { addDays, daysBetween } from '../../core/time/calendar-day.js';
import { type FeedingRow, wasLaid } from '../../records/feedings/feeding.read.js';
import type { FedLately } from './fed-lately.js';
import type { HerdFacts } from './herd-facts.js';
import type { RationContent } from './ration-content.js';

type Fed = Pick<FedLately, 'earlier' | 'layers' | 'headOn'>;
type Eaten = readonly { readonly feeding: FeedingRow; readonly head: number }[];

/** A feeding with the head that it is divided by and the days that it was laid for. */
export interface FedOver extends FedAtOnce {
  readonly feeding: FeedingRow;
  readonly head: number;
  readonly fedFor: FedFor;
}

/**
 * Feedings spread over the days that they were laid for. What only few of the head fed that day got is not what the
 * herd is fed.
 */
export function fedOverDays({ earlier, layers, headOn }: Fed, until: FedUntil): FedOver[] {
  const known = earlier.filter((one) => one.happened_on <= until.on);
  const eaten = [...new Set(known.map((one) => one.happened_on))].flatMap((day) => {
    const ofDay = eatenOn(
      known.filter((one) => one.happened_on === day),
      headOn.get(day) ?? 0,
    );
    const most = Math.max(...ofDay.map(({ head }) => head));
    return ofDay.filter(({ head }) => !isFewHead({ headFed: head, head: most }));
  });
  const fed = eaten.map(({ feeding, head }) => {
    const laid = (layers.get(feeding.id) ?? []).filter(wasLaid);
    return {
      feeding,
      head,
      day: feeding.happened_on,
      method: feeding.method,
      kilogramsPerHead: laid.reduce((sum, layer) => sum + Number(layer.kilograms), 0) / head,
    };
  });
  const days = daysFedFor(fed, until);
  return fed.flatMap((one) => {
    const fedFor = days.get(one);
    return fedFor === undefined ? [] : [{ ...one, fedFor }];
  });
}

/**
 * What a herd is fed at present, as a ration: the mean kilograms per head per day of each lot in each role over its
 * last week of feeding, in the build order of the last one. `null` where nothing was fed.
 */
export function presentRationOf(fed: Fed, until: FedUntil): RationContent | null {
  const over = fedOverDays(fed, until);
  const ends = over.map(({ fedFor }) => addDays(fedFor.day, fedFor.days - 1)).map((end) => min(end, until.on));
  const last = ends.reduce((latest, end) => (end > latest ? end : latest), '');
  if (last === '') return null;
  return rationOfDays(
    over,
    Array.from({ length: PRESENT_FEEDING.days.value }, (_, index) =>
      addDays(last, index + 1 - PRESENT_FEEDING.days.value),
    ),
    fed.layers,
  );
}

const min = (one: string, other: string): string => (one < other ? one : other);

/** The mean of those of these days on which there was feed. */
export function rationOfDays(
  over: readonly FedOver[],
  days: readonly string[],
  layers: Fed['layers'],
): RationContent | null {
  const fedOn = days.filter((day) => over.some(({ fedFor }) => isFedOn(fedFor, day)));
  const parts = over.map((one) => ({
    ...one,
    share: fedOn.filter((day) => isFedOn(one.fedFor, day)).length / one.fedFor.days / fedOn.length,
  }));
  return poolOf(
    parts.filter(({ share }) => share > 0),
    layers,
  );
}

/** What to know of a last feeding whose days are not over, or over by its amount with nothing laid since. */
export function laidForDaysNote(herd: PresentOf): RequirementNote | null {
  const { on, fedLately } = herd;
  if (fedLately === null) return null;
  const over = fedOverDays(fedLately, fedUntil(herd));
  const running = over.findLast(({ fedFor }) => fedFor.isRunning);
  if (running === undefined) return null;
  const { day, days } = running.fedFor;
  const isOver = addDays(day, days - 1) <= on;
  return {
    code: 'laid-for-several-days',
    message:
      `What was laid on ${day} was for several days, and nothing like it was laid since: it is counted over ${days} ` +
      `days, ${isOver ? `which is until ${on}` : 'as long as it would last'}. It is ` +
      'known for certain when the next feeding is entered.',
    source: 'feedings of the herd',
  };
}

/** The feedings of one day, each with the head that its feed is divided by. */
export function eatenOn(feedings: readonly FeedingRow[], headOfHerd: number): Eaten {
  const fed = feedings.map((feeding) => ({ feeding, headFed: feeding.head_fed }));
  const head = headByFeeding(fed, headOfHerd);
  return fed.map((one) => ({ feeding: one.feeding, head: head.get(one) ?? one.headFed }));
}

/** What single animals ate in one day, where feedings went to different cattle. Each is a ration of its own. */
export function rationsOfAnimals(
  { feedings, layers }: Pick<FedLately, 'feedings' | 'layers'>,
  head: number,
): RationContent[] {
  const fed = feedings.map((feeding) => ({ feeding, headFed: feeding.head_fed }));
  return feedingsOfAnimals(fed, head).flatMap(
    (got) =>
      poolOf(
        got.map(({ feeding, headFed }) => ({ feeding, head: headFed, share: 1 })),
        layers,
      ) ?? [],
  );
}

/** A day's feed beside whole bales as it is eaten (see `eatenOfDay`); `null` where that is as it was laid. */
export function asEaten(content: RationContent, planned: PlannedDay): RationContent | null {
  const kilograms = ({ sharePercent }: RationContent['parts'][number]): number =>
    (Number(content.amountKg) * Number(sharePercent ?? 0)) / 100;
  const laidOf = (lotId: string): number =>
    content.parts.filter((part) => part.lotId === lotId).reduce((sum, part) => sum + kilograms(part), 0);
  const lotIds = new Set(content.parts.map((part) => part.lotId));
  const eaten = eatenOfDay(
    [...lotIds].map((lotId) => ({ lotId, asFedKg: laidOf(lotId), dryMatterShare: 1, isStarchyGrain: false })),
    planned,
  );
  if (eaten === null) return null;
  const laid = content.parts.map((part) => ({
    ...part,
    kg: (kilograms(part) * (eaten.get(part.lotId) ?? 0)) / (laidOf(part.lotId) || 1),
  }));
  const before = [...eaten]
    .filter(([lotId, kg]) => kg > 0 && !lotIds.has(lotId))
    .map(([lotId, kg]) => ({ lotId, kg, role: 'mixed' as const, weight: null, freeChoice: false, density: null }));
  const parts = [...before, ...laid].filter(({ kg }) => kg > 0);
  const total = parts.reduce((sum, part) => sum + part.kg, 0);
  if (total <= 0) return null;
  return {
    ...content,
    amountKg: String(total),
    parts: parts.map(({ kg, ...part }, index) => ({
      ...part,
      position: index + 1,
      sharePercent: String((kg / total) * 100),
    })),
  };
}

interface PerHead {
  role: LayerRole;
  lotId: string;
  freeChoice: boolean;
  kilograms: number;
  order: number;
}

/** Feedings taken together, each by the share of it that counts. */
function poolOf(
  eaten: readonly (Eaten[number] & { readonly share: number })[],
  layers: Fed['layers'],
): RationContent | null {
  const perHead = new Map<string, PerHead>();
  eaten.forEach(({ feeding, head, share }, index) => {
    for (const layer of layers.get(feeding.id) ?? []) {
      const key = `${layer.role} ${layer.hay_lot_id} ${layer.free_choice}`;
      perHead.set(key, {
        role: layer.role,
        lotId: layer.hay_lot_id,
        freeChoice: layer.free_choice,
        kilograms: (perHead.get(key)?.kilograms ?? 0) + (Number(layer.kilograms) / head) * share,
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

type PresentOf = Pick<HerdFacts, 'on' | 'fedLately' | 'bodyWeight' | 'rationInBales'>;

/** What is known of a herd on its day that tells how long its last feeding lasts. */
export function fedUntil({ on, bodyWeight, rationInBales }: Omit<PresentOf, 'fedLately'>): FedUntil {
  const laid = rationInBales?.parts.filter(({ freeChoice }) => !freeChoice);
  return {
    on,
    bodyWeightKg: bodyWeight.kilograms.toNumber(),
    planKgPerHead: laid === undefined ? null : laid.reduce((sum, { asFedKg }) => sum + asFedKg, 0),
  };
}

/** What a herd is fed at present, or why that is not known: never fed, or too long ago. */
export function fedAtPresentOf(herd: PresentOf): Outcome<RationContent> {
  const { on, fedLately } = herd;
  const content = fedLately === null ? null : presentRationOf(fedLately, fedUntil(herd));
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
