import { type AnimalResult, animalResults } from './analysis-sets.js';
import type { Departure } from './departures.js';
import type { TrialAnimal, TrialArm, TrialProtocol } from './trial-records.js';

/** What was recorded about the feed of an arm (or one pen of it) on one day. */
export interface FeedDay {
  readonly day: number;
  readonly armId: string;
  readonly penId: string | null;
  readonly fedRecorded: boolean;
  readonly refusalsRecorded: boolean;
  readonly wasteRecorded: boolean;
}

type GapCode = Departure['code'] | 'no-feed-record' | 'no-refusal-record' | 'no-waste-record';

export interface Gap {
  readonly code: GapCode;
  readonly day: number | null;
  readonly armId: string;
  readonly penId: string | null;
  readonly animalId: string | null;
  readonly words: string;
  /** What the judgement does about it. */
  readonly treatment: string;
}

/**
 * The gaps between the protocol and the records up to `today` (a day of the trial): weighings missed, uneven fill,
 * animals sick, moved, sold or dead, and days without a feed, refusal or waste record. A weighing is not missed before
 * its day has passed.
 */
export function findGaps({
  protocol,
  arms,
  animals,
  feedDays,
  today,
}: {
  protocol: TrialProtocol;
  arms: readonly TrialArm[];
  animals: readonly TrialAnimal[];
  feedDays: readonly FeedDay[];
  today: number;
}): Gap[] {
  const results = animalResults({ protocol, animals });
  const ofAnimals = results.flatMap((result) => gapsOfAnimal(result, protocol, today));
  const daysOver = Math.max(0, Math.min(today, protocol.lengthDays));
  const days = Array.from({ length: daysOver }, (_, day) => day);
  const ofFeed = fedPlaces(arms, animals, feedDays).flatMap((place) =>
    days.flatMap((day) => gapsOfFeed(place, day, feedDays)),
  );
  return [...ofAnimals, ...ofFeed].sort((one, other) => (one.day ?? -1) - (other.day ?? -1));
}

function gapsOfAnimal(result: AnimalResult, protocol: TrialProtocol, today: number): Gap[] {
  return result.departures
    .filter((departure) => isDue(departure, protocol, today))
    .map(({ code, day, words, asDrawn, perProtocol }) => ({
      code,
      day,
      armId: result.armId,
      penId: result.penId,
      animalId: result.animalId,
      words,
      treatment: `Animals as drawn: ${asDrawn}. Animals that followed the protocol: ${perProtocol}.`,
    }));
}

/** A weighing is not missed before its day has passed. */
function isDue({ code, day }: Departure, { startDays, endDays }: TrialProtocol, today: number): boolean {
  const startPassed = today > Math.max(...startDays);
  const endPassed = today > Math.max(...endDays);
  switch (code) {
    case 'no-start-weight':
      return startPassed;
    case 'no-end-weight':
      return endPassed;
    case 'one-of-two-weighings':
      return day !== null && day < Math.min(...endDays) ? startPassed : endPassed;
    default:
      return day === null || day <= today;
  }
}

/** An arm, or one of its pens where feed is recorded by the pen. */
interface FedPlace {
  readonly arm: TrialArm;
  readonly penId: string | null;
}

function fedPlaces(
  arms: readonly TrialArm[],
  animals: readonly TrialAnimal[],
  feedDays: readonly FeedDay[],
): FedPlace[] {
  return arms.flatMap((arm) => {
    const byPen = feedDays.some((feedDay) => feedDay.armId === arm.id && feedDay.penId !== null);
    if (!byPen) return [{ arm, penId: null }];
    const pens = new Set(animals.filter((animal) => animal.armId === arm.id).map((animal) => animal.penId));
    return [...pens].map((penId) => ({ arm, penId }));
  });
}

const MISSING_FEED_RECORDS = {
  'no-feed-record': {
    what: 'feed was recorded',
    treatment:
      'Hay fed, conversion and cost of this arm are too low by this day; they are shown with the number ' +
      'of days missing.',
  },
  'no-refusal-record': {
    what: 'refusals were recorded',
    treatment: 'Counted as nothing refused; hay eaten may be too high.',
  },
  'no-waste-record': {
    what: 'waste was recorded',
    treatment: 'Counted as nothing wasted; hay eaten may be too high.',
  },
} as const;

function gapsOfFeed({ arm, penId }: FedPlace, day: number, feedDays: readonly FeedDay[]): Gap[] {
  const record = feedDays.find((feedDay) => feedDay.day === day && feedDay.armId === arm.id && feedDay.penId === penId);
  const pen = penId === null ? '' : `, ${/^pen\b/i.test(penId) ? penId : `pen ${penId}`}`;
  const gap = (code: keyof typeof MISSING_FEED_RECORDS): Gap => ({
    code,
    day,
    armId: arm.id,
    penId,
    animalId: null,
    words: `${arm.name}${pen}: no ${MISSING_FEED_RECORDS[code].what} on day ${day}`,
    treatment: MISSING_FEED_RECORDS[code].treatment,
  });
  if (!record?.fedRecorded) return [gap('no-feed-record')];
  return [
    ...(record.refusalsRecorded ? [] : [gap('no-refusal-record')]),
    ...(record.wasteRecorded ? [] : [gap('no-waste-record')]),
  ];
}
