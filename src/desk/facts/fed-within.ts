import { Injectable } from '@nestjs/common';
import { daysWithin } from '../../core/judge/days-fed-for.js';
import { PRESENT_FEEDING } from '../../core/judge/present-feeding.data.js';
import { addDays } from '../../core/time/calendar-day.js';
import { decimal, type Decimal } from '../../core/units/decimal.js';
import type { Books } from '../../platform/database/books.js';
import { together } from '../../platform/database/together.js';
import { HerdRead } from '../../records/cattle/herds/herd.read.js';
import { HerdStateRead } from '../../records/cattle/standing/herd-state.read.js';
import { FeedingRead, type FeedingRow, type LayerRow } from '../../records/feedings/feeding.read.js';
import { fedOverDays } from './present-ration.js';

/** A feeding, and the share of it that was for the days that are asked about; none, where it was for others. */
export interface FedWithin {
  feeding: FeedingRow;
  layers: readonly LayerRow[];
  share: Decimal;
}

/** Longer than that nothing counts as laid for, neither before the days that are asked about nor after them. */
export const DAYS_AROUND = PRESENT_FEEDING.notOlderThanDays.value;

/**
 * What a herd was fed over some days: bales set out for several days count over the days until the next ones, as they
 * do for the judge, so that a day on which somebody weighs or asks cuts them in two.
 */
@Injectable()
export class FedWithinRead {
  constructor(
    private readonly feedings: FeedingRead,
    private readonly herds: HerdRead,
    private readonly states: HerdStateRead,
  ) {}

  /**
   * Of [from, until), with the feedings around it; oldest first.
   * @param knownUntil the last day whose feedings are known; without it, all that were entered are
   * @param accountUntil the last day of the account that asks, as for `FedSpan`; without it, nothing reversed counts
   */
  async of(
    books: Books,
    herdId: string,
    {
      from,
      until,
      knownUntil,
      accountUntil,
    }: { from: string; until: string; knownUntil?: string; accountUntil?: string },
  ): Promise<FedWithin[]> {
    // The next feeding tells how long the last one was for.
    const [after, known] = [addDays(until, DAYS_AROUND), knownUntil === undefined ? null : addDays(knownUntil, 1)];
    const span = {
      herdIds: [herdId],
      from: addDays(from, -DAYS_AROUND),
      until: known !== null && known < after ? known : after,
      accountUntil,
      ...(accountUntil === undefined ? {} : { accountFrom: from }),
    };
    const [feedings, layers, headOn, states] = await together(
      this.feedings.between(books, span),
      this.feedings.layersBetween(books, span),
      this.herds.headThrough(books, [herdId], span.until),
      this.states.throughTime(books, [herdId]),
    );
    const lastDay = feedings.at(-1)?.happened_on ?? from;
    const on = lastDay < until ? addDays(until, -1) : lastDay;
    const weightKg = states.get(herdId)?.on(on).weight.kg;
    const over = fedOverDays(
      {
        earlier: feedings,
        layers,
        headOn: new Map(feedings.map(({ happened_on: day }) => [day, headOn(herdId, day)])),
      },
      { on, bodyWeightKg: weightKg ?? null },
    );
    const fedFor = new Map(over.map((one) => [one.feeding, one.fedFor]));
    return feedings.map((feeding) => {
      // What only few of the head got is not what the herd lives on for days.
      const own = fedFor.get(feeding) ?? { day: feeding.happened_on, days: 1 };
      const within = daysWithin(own, { from, until });
      return { feeding, layers: layers.get(feeding.id) ?? [], share: decimal(within).div(own.days) };
    });
  }
}
