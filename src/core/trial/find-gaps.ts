import { animalResults, type Departure } from './analysis-sets.js';
import type { TrialAnimal, TrialArm, TrialProtocol } from './trial-records.js';

/** What was written down about the feed of an arm (or one pen of it) on one day. */
export interface FeedDay {
  readonly day: number;
  readonly armId: string;
  readonly penId: string | null;
  readonly fedRecorded: boolean;
  readonly refusalsRecorded: boolean;
  readonly wasteRecorded: boolean;
}

export type GapCode = Departure['code'] | 'no-feed-record' | 'no-refusal-record' | 'no-waste-record';

export interface Gap {
  readonly code: GapCode;
  readonly day: number | null;
  readonly armId: string;
  readonly penId: string | null;
  readonly animalId: string | null;
  readonly words: string;
  /** What the judgement will do about it. */
  readonly treatment: string;
}

function treatmentOf(departure: Departure): string {
  return `Animals as drawn: ${departure.asDrawn}. Animals that followed the protocol: ${departure.perProtocol}.`;
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
  const startPassed = today > Math.max(...protocol.startDays);
  const endPassed = today > Math.max(...protocol.endDays);
  const ofAnimals = animalResults({ protocol, animals }).flatMap((result) =>
    result.departures
      .filter((departure) => {
        if (departure.code === 'no-start-weight') return startPassed;
        if (departure.code === 'no-end-weight') return endPassed;
        if (departure.code === 'one-of-two-weighings')
          return departure.day !== null && departure.day < Math.min(...protocol.endDays) ? startPassed : endPassed;
        return departure.day === null || departure.day <= today;
      })
      .map((departure): Gap => ({
        code: departure.code,
        day: departure.day,
        armId: result.armId,
        penId: result.penId,
        animalId: result.animalId,
        words: departure.words,
        treatment: treatmentOf(departure),
      })),
  );
  const places = arms.flatMap((arm) => {
    const pens = [...new Set(animals.filter((animal) => animal.armId === arm.id).map((animal) => animal.penId))];
    const byPen = feedDays.some((feedDay) => feedDay.armId === arm.id && feedDay.penId !== null);
    return byPen ? pens.map((penId) => ({ arm, penId })) : [{ arm, penId: null }];
  });
  const lastDay = Math.min(today, protocol.lengthDays) - 1;
  const ofFeed = places.flatMap(({ arm, penId }) =>
    Array.from({ length: Math.max(0, lastDay + 1) }, (_, day) => day).flatMap((day): Gap[] => {
      const record = feedDays.find(
        (feedDay) => feedDay.day === day && feedDay.armId === arm.id && feedDay.penId === penId,
      );
      const place = `${arm.name}${penId === null ? '' : `, ${/^pen\b/i.test(penId) ? penId : `pen ${penId}`}`}`;
      const gap = (code: GapCode, what: string, treatment: string): Gap => ({
        code,
        day,
        armId: arm.id,
        penId,
        animalId: null,
        words: `${place}: no ${what} on day ${day}`,
        treatment,
      });
      if (!record?.fedRecorded)
        return [
          gap(
            'no-feed-record',
            'feed was written down',
            'Hay fed, conversion and cost of this arm are too low by this day; they are shown with the number ' +
              'of days missing.',
          ),
        ];
      return [
        ...(record.refusalsRecorded
          ? []
          : [
              gap(
                'no-refusal-record',
                'refusals were written down',
                'Counted as nothing refused; hay eaten may be too high.',
              ),
            ]),
        ...(record.wasteRecorded
          ? []
          : [
              gap('no-waste-record', 'waste was written down', 'Counted as nothing wasted; hay eaten may be too high.'),
            ]),
      ];
    }),
  );
  return [...ofAnimals, ...ofFeed].sort((one, other) => (one.day ?? -1) - (other.day ?? -1));
}
