import type { AnimalClass, AnimalSex, BreedType } from '../requirements/requirement-set.js';
import type { CalendarDay } from '../time/calendar-day.js';

/** Bulls with the herd, or insemination. */
export const BREEDING_SERVICES = ['bull', 'insemination'] as const;
export type BreedingService = (typeof BREEDING_SERVICES)[number];

/** What a dated fact of a herd says, by its kind. */
export type StatedFact =
  | {
      /** Exposed from `on` to `lastOn`, both included. Without a service it is the mean day of conception alone. */
      readonly kind: 'bred';
      readonly lastOn: CalendarDay;
      readonly service: BreedingService | null;
    }
  | { readonly kind: 'pregnancy-check'; readonly headChecked: number; readonly headOpen: number }
  /** The first calf came on `on`. */
  | { readonly kind: 'calved'; readonly medianOn: CalendarDay | null; readonly lastOn: CalendarDay | null }
  | { readonly kind: 'weaned' }
  /** `null`: no score holds from that day on. */
  | { readonly kind: 'condition'; readonly score: number | null }
  /** Not over a scale: by eye, tape or sale sheet. Full weight, kg. */
  | { readonly kind: 'weight'; readonly kg: number }
  | { readonly kind: 'class'; readonly cattleClass: AnimalClass }
  /** Shrunk gain wanted, kg/d; `null`: none is wanted from that day on. */
  | { readonly kind: 'target-gain'; readonly kgPerDay: number | null }
  | { readonly kind: 'place'; readonly placeId: string | null };

/** One thing recorded about a herd, on its day. Of two of a kind on the same day the later entry holds. */
export type HerdFact = StatedFact & {
  readonly id: string;
  readonly on: CalendarDay;
  readonly recordedAt: string;
  /** True of what the herd was entered with. */
  readonly opening?: boolean;
};
export const HERD_FACT_KINDS = [
  'bred',
  'pregnancy-check',
  'calved',
  'weaned',
  'condition',
  'weight',
  'class',
  'target-gain',
  'place',
] as const satisfies readonly HerdFact['kind'][];
export type HerdFactKind = HerdFact['kind'];
export type FactOf<Kind extends HerdFactKind> = Extract<HerdFact, { readonly kind: Kind }>;

/** A herd over the scale: the mean as full or shrunk weight, kg. */
export interface HerdWeighing {
  readonly on: CalendarDay;
  readonly meanKg: number;
  /** Head that went over the scale; the whole herd where it is not known. */
  readonly head?: number;
  readonly fill: 'full' | 'shrunk';
}

/** Cattle that came (above zero) or went (below), and their mean full weight, kg, where it is known. */
export interface HerdFlow {
  readonly on: CalendarDay;
  readonly head: number;
  readonly meanKg: number | null;
}

/** Everything that the books hold about a herd and its standing. */
export interface HerdOnFile {
  readonly sex: AnimalSex;
  readonly breedType: BreedType;
  readonly matureKg: number | null;
  readonly peakMilkKg: number | null;
  /** The full weight that the herd was entered with, and the day on which it was taken. */
  readonly entry: { readonly kg: number; readonly on: CalendarDay };
  /** What the herd was entered as. It holds until a fact of the same kind. */
  readonly entered: { readonly cattleClass: AnimalClass };
  readonly facts: readonly HerdFact[];
  readonly weighings: readonly HerdWeighing[];
  readonly flows: readonly HerdFlow[];
}

/** Oldest first; within a day, in the order in which they were entered. */
function inOrder<Fact extends HerdFact>(facts: readonly Fact[]): Fact[] {
  const key = ({ on, recordedAt, id }: Fact): string => `${on} ${recordedAt} ${id}`;
  return [...facts].sort((one, other) => (key(one) < key(other) ? -1 : 1));
}

export function factsOf<Kind extends HerdFactKind>(facts: readonly HerdFact[], kind: Kind): FactOf<Kind>[] {
  return inOrder(facts.filter((fact): fact is FactOf<Kind> => fact.kind === kind));
}

/**
 * The gain wanted on a day. What a herd was entered with, or what was wanted by the day of its first weight, also
 * covers the days before; one that was first wanted later does not, or it would change weights of the past.
 */
export function gainWantedOn(
  { facts, entry }: Pick<HerdOnFile, 'facts' | 'entry'>,
  day: CalendarDay,
): FactOf<'target-gain'> | undefined {
  const wanted = factOn(factsOf(facts, 'target-gain'), day);
  return wanted === undefined || (wanted.since === null && wanted.fact.on > entry.on) ? undefined : wanted.fact;
}

/**
 * The fact of a kind that holds on a day: the newest up to it; before the first one, the first one itself, since what
 * a herd was entered with also covers the days before.
 */
export function factOn<Fact extends HerdFact>(
  facts: readonly Fact[],
  day: CalendarDay,
): { readonly fact: Fact; readonly since: CalendarDay | null } | undefined {
  const fact = facts.findLast((one) => one.on <= day);
  if (fact !== undefined) return { fact, since: fact.on };
  const [first] = facts;
  // Of several on the first day the last entry holds.
  const before = facts.findLast((one) => one.on === first?.on);
  return before === undefined ? undefined : { fact: before, since: null };
}
