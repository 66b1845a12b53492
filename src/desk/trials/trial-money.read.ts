import { Injectable } from '@nestjs/common';
import { addDays } from '../../core/time/calendar-day.js';
import type { HeadStep } from '../../core/standing/head-days.js';
import { ratesOf, yardageCost } from '../../core/season/yardage.js';
import { animalsOfPeriod } from '../../core/trial/design-rows.js';
import { hasPeriods, periodsOf } from '../../core/trial/trial-design.js';
import { leavesTrial, type TrialAnimal } from '../../core/trial/trial-records.js';
import { Mass } from '../../core/units/mass.js';
import { Money, type PricePerMass } from '../../core/units/money.js';
import type { OperationTenant } from '../../platform/database/types.js';
import { asCurrency } from '../../platform/wire/quantity.schema.js';
import { CostingService } from '../../records/hay/costing/costing.service.js';
import { YardageRateRead } from '../../records/yard/yardage-rates/yardage-rate.read.js';
import type { TrialBooks } from './trial-books.read.js';
import type { WholeTrial } from './trial.read.js';

export interface TrialMoney {
  /** Cost of the hay from each lot, by arm, as drawn in the ledger. */
  hay: { armId: string; hayLotId: string; price: PricePerMass }[];
  yardage: { armId: string; cost: Money }[];
}

@Injectable()
export class TrialMoneyRead {
  constructor(
    private readonly costing: CostingService,
    private readonly rates: YardageRateRead,
  ) {}

  /** Null if the person asking sees no prices. */
  async of(tenant: OperationTenant, trial: WholeTrial, books: TrialBooks, begins: string): Promise<TrialMoney | null> {
    if (!tenant.may('prices', tenant.operationId)) return null;
    const currency = asCurrency(tenant.operation.currency);
    return {
      hay: await this.#hay(tenant, books),
      yardage: await this.#yardage(tenant, trial, books, begins, currency),
    };
  }

  async #hay(tenant: OperationTenant, books: TrialBooks): Promise<TrialMoney['hay']> {
    if (books.feedings.length === 0) return [];
    const { db, operationId } = tenant;
    const drawn = await db
      .selectFrom('stock_movement')
      .select(['id', 'source_id', 'hay_lot_id'])
      .where('operation_id', '=', operationId)
      .where('kind', '=', 'feed')
      .where(
        'source_id',
        'in',
        books.feedings.map((one) => one.id),
      )
      .execute();
    const costs = await this.costing.costsOf(tenant, books.asOf, { entryIds: drawn.map((one) => one.id) });
    const feedingOf = new Map(books.feedings.map((one) => [one.id, one]));
    const sums = new Map<string, { armId: string; hayLotId: string; cost: Money; mass: Mass }>();
    for (const movement of drawn) {
      const feeding = feedingOf.get(movement.source_id);
      const change = costs.get(movement.id);
      if (feeding === undefined || change === undefined) continue;
      const [cost, mass] = [change.inventoryChange.negated(), change.mass.negated()];
      const key = `${feeding.armId} ${movement.hay_lot_id}`;
      const known = sums.get(key);
      sums.set(key, {
        armId: feeding.armId,
        hayLotId: movement.hay_lot_id,
        cost: known === undefined ? cost.times(feeding.share) : known.cost.plus(cost.times(feeding.share)),
        mass: (known?.mass ?? Mass.zero).plus(mass.times(feeding.share)),
      });
    }
    return [...sums.values()]
      .filter((one) => !one.mass.isZero())
      .map(({ armId, hayLotId, cost, mass }) => ({ armId, hayLotId, price: cost.per(mass) }));
  }

  /** Yardage of the animals of each arm, at the rates of the herds they are in. */
  async #yardage(
    tenant: OperationTenant,
    trial: WholeTrial,
    books: TrialBooks,
    begins: string,
    currency: ReturnType<typeof asCurrency>,
  ): Promise<TrialMoney['yardage']> {
    const until = addDays(begins, Math.max(0, Math.min(books.protocol.lengthDays, books.today)));
    const rates = ratesOf(await this.rates.all(tenant), { from: begins, until: addDays(until, -1) });
    if (rates.length === 0) return [];
    const parts = stretchesOf(books, begins, until);
    return books.arms.map((arm) => {
      const costs = parts.flatMap((part) => {
        const members = part.animals.filter((animal) => animal.armId === arm.id);
        const pens = [...new Set(members.map((animal) => animal.penId))];
        return pens.map((pen) => {
          const there = members.filter((animal) => animal.penId === pen);
          const herd = trial.herds.find((one) =>
            one.pen === null ? one.arm_id === arm.id && one.herd_name === pen : one.pen === pen,
          );
          return yardageCost({
            herdId: herd?.herd_id ?? '',
            steps: stepsOf(there, part.from),
            rates,
            from: part.from,
            until: part.until,
            currency,
          }).cost;
        });
      });
      return { armId: arm.id, cost: Money.sum(costs, currency) };
    });
  }
}

interface Stretch {
  readonly from: string;
  readonly until: string;
  readonly animals: readonly TrialAnimal[];
}

/** The animals of each arm in each period that has begun; the whole trial is one stretch where it has no periods. */
function stretchesOf({ animals, protocol, designed }: TrialBooks, begins: string, until: string): Stretch[] {
  if (!hasPeriods(designed?.design) || designed === null) return [{ from: begins, until, animals }];
  const trial = { ...designed, protocol };
  return periodsOf(designed.design, protocol.lengthDays)
    .map((period) => ({
      from: addDays(begins, period.from),
      until: addDays(begins, period.until) < until ? addDays(begins, period.until) : until,
      animals: animalsOfPeriod(trial, animals, period),
    }))
    .filter((stretch) => stretch.from < stretch.until);
}

/** Head of a group from the first day on, one less from the day that an animal leaves. */
function stepsOf(animals: readonly TrialAnimal[], begins: string): HeadStep[] {
  const left = animals
    .flatMap(
      (animal) =>
        animal.events
          .filter((event) => leavesTrial(event.kind))
          .map((event) => event.day)
          .sort((one, other) => one - other)[0] ?? [],
    )
    .sort((one, other) => one - other);
  return [
    { from: begins, head: animals.length },
    ...left.map((day, index) => ({ from: addDays(begins, Math.max(0, day)), head: animals.length - index - 1 })),
  ];
}
