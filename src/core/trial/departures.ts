import type { AnimalWeights, MeanWeight } from './animal-weights.js';
import { TRIAL_CHOICES } from './trial.data.js';
import type { TrialAnimal, TrialProtocol } from './trial-records.js';

type DepartureCode =
  | 'no-start-weight'
  | 'no-end-weight'
  | 'one-of-two-weighings'
  | 'uneven-fill'
  | 'sick'
  | 'moved'
  | 'wrong-feed'
  | 'died'
  | 'sold'
  | 'lost';

export interface Departure {
  readonly code: DepartureCode;
  readonly day: number | null;
  readonly words: string;
  /** How the animal counts in the analysis by arm as drawn (intention to treat). */
  readonly asDrawn: 'counted' | 'counted to its last weighing' | 'listed, no gain known';
  /** How it counts in the analysis of those that followed the protocol. */
  readonly perProtocol: 'counted' | 'left out';
}

const EVENT_WORDS: Record<'sick' | 'moved' | 'wrong-feed' | 'died' | 'sold' | 'lost', string> = {
  sick: 'was sick or treated',
  moved: 'was moved out of its arm',
  'wrong-feed': "got another arm's feed",
  died: 'died',
  sold: 'was sold',
  lost: 'was lost from the trial',
};

/** Where the records of one animal depart from the protocol, without how the analyses count it. */
type Found = Pick<Departure, 'code' | 'day' | 'words'> & Partial<Pick<Departure, 'perProtocol'>>;

/**
 * Every departure of one animal from the protocol. `asDrawn` is how the animal counts in the analysis by arm as drawn;
 * a trial whose end is not due yet has no end weights to miss.
 */
export function departuresOf({
  animal,
  weights,
  protocol,
  endIsDue,
  asDrawn,
}: {
  animal: TrialAnimal;
  weights: AnimalWeights;
  protocol: TrialProtocol;
  endIsDue: boolean;
  asDrawn: Departure['asDrawn'];
}): Departure[] {
  const found = [
    ...missedWeighings(animal, weights, protocol, endIsDue),
    ...unevenFill(animal, weights),
    ...eventsOf(animal),
  ];
  return found.map(({ code, day, words, perProtocol = 'left out' }) => ({ code, day, words, asDrawn, perProtocol }));
}

function missedWeighings(
  { id }: TrialAnimal,
  { start, end }: AnimalWeights,
  { startDays, endDays }: TrialProtocol,
  endIsDue: boolean,
): Found[] {
  return [
    ...(start === null ? [{ code: 'no-start-weight', day: null, words: `${id} has no start weight` } as const] : []),
    ...(end === null && endIsDue
      ? [{ code: 'no-end-weight', day: null, words: `${id} has no end weight` } as const]
      : []),
    ...oneOfTwo(id, start, startDays, 'start'),
    ...(endIsDue ? oneOfTwo(id, end, endDays, 'end') : []),
  ];
}

function oneOfTwo(id: string, weight: MeanWeight | null, planned: readonly number[], name: 'start' | 'end'): Found[] {
  if (weight === null) return [];
  const got = new Set(weight.weighings.map((weighing) => weighing.day)).size;
  if (got >= planned.length) return [];
  return [
    {
      code: 'one-of-two-weighings',
      day: weight.day,
      words: `${id} was weighed on ${got} of ${planned.length} ${name} days`,
      perProtocol: 'counted',
    },
  ];
}

function unevenFill({ id }: TrialAnimal, { start, finish }: AnimalWeights): Found[] {
  const fills = [...(start?.weighings ?? []), ...(finish?.weighings ?? [])];
  if (fills.length === 0) return [];
  const hours = fills.map((weighing) => weighing.hoursOffFeed);
  const [fewest, most] = [Math.min(...hours), Math.max(...hours)];
  const mixed = new Set(fills.map((weighing) => weighing.fill)).size > 1;
  if (!mixed && most - fewest <= TRIAL_CHOICES.unevenFillHours.value) return [];
  return [
    {
      code: 'uneven-fill',
      day: finish?.day ?? start?.day ?? null,
      words:
        `${id} was weighed at different fill at start and end: ` +
        `${mixed ? 'full and shrunk weights' : `${fewest} and ${most} hours off feed`}`,
    },
  ];
}

function eventsOf({ id, events }: TrialAnimal): Found[] {
  return events.map(({ kind, day, note }) => ({
    code: kind,
    day,
    words: `${id} ${EVENT_WORDS[kind]} on day ${day}${note ? ` (${note})` : ''}`,
  }));
}
