import { decimal, type Decimal } from '../units/decimal.js';
import type { Mass } from '../units/mass.js';
import { Money, type PricePerMass } from '../units/money.js';
import { type Refusal, refused } from '../outcome/outcome.js';
import { problem } from '../outcome/problem.js';

export interface ValueOfGain {
  readonly ok: true;
  readonly valueIn: Money;
  readonly valueOut: Money;
  readonly addedValue: Money;
  /** Added value per unit of weight gained: what a pound of gain is worth after the price slide. */
  readonly valueOfGain: PricePerMass;
}

/**
 * Value of gain: (value of the heavier animal − value of the lighter) ÷ weight gained. Clemson Extension (South
 * Carolina auctions, April 2015); Kansas State University, Beef Tips, November 2019.
 */
export function valueOfGain(input: {
  weightIn: Mass;
  priceIn: PricePerMass;
  weightOut: Mass;
  priceOut: PricePerMass;
}): ValueOfGain | Refusal {
  const gained = input.weightOut.minus(input.weightIn);
  if (!gained.isPositive())
    return refused(
      problem(
        'gain-not-positive',
        'weightOut',
        input.weightOut.toString(),
        `above ${input.weightIn.toString()}`,
        'There is no gain to value.',
      ),
    );
  const [valueIn, valueOut] = [input.priceIn.for(input.weightIn), input.priceOut.for(input.weightOut)];
  const addedValue = valueOut.minus(valueIn);
  return { ok: true, valueIn, valueOut, addedValue, valueOfGain: addedValue.per(gained) };
}

export interface BreakEven {
  readonly ok: true;
  readonly totalCost: Money;
  readonly saleWeight: Mass;
  /** Selling price that pays for the animal and its keep. */
  readonly breakEvenPrice: PricePerMass;
}

/**
 * Break-even selling price: (purchase + cost of keeping) ÷ sale weight, the sale weight after shrink; with death
 * loss, the survivors carry the cost of the dead. `deathLoss` and `shrink` are shares.
 */
export function breakEvenSale(input: {
  purchaseCost: Money;
  costOfKeeping: Money;
  finalWeight: Mass;
  shrink?: string | Decimal;
  deathLoss?: string | Decimal;
}): BreakEven | Refusal {
  const shrink = decimal(input.shrink ?? '0');
  const deathLoss = decimal(input.deathLoss ?? '0');
  for (const [field, share] of [
    ['shrink', shrink],
    ['deathLoss', deathLoss],
  ] as const) {
    if (share.lt(0) || share.gte(1))
      return refused(
        problem('share-out-of-range', field, share.toFixed(), '0 to below 1', `${field} is a share: 0.02 is 2 %.`),
      );
  }
  const saleWeight = input.finalWeight.times(decimal(1).minus(shrink));
  if (!saleWeight.isPositive())
    return refused(
      problem(
        'weight-not-positive',
        'finalWeight',
        input.finalWeight.toString(),
        'more than 0 kg',
        'A sale needs a weight.',
      ),
    );
  const totalCost = input.purchaseCost.plus(input.costOfKeeping).dividedBy(decimal(1).minus(deathLoss));
  return { ok: true, totalCost, saleWeight, breakEvenPrice: totalCost.per(saleWeight) };
}

/**
 * The most to pay per unit of weight bought, for cattle that will bring `saleValue`, after `costOfKeeping` and the
 * profit wanted.
 */
export function breakEvenPurchase(input: {
  saleValue: Money;
  costOfKeeping: Money;
  wantedProfit?: Money;
  weightIn: Mass;
}): PricePerMass {
  return input.saleValue
    .minus(input.costOfKeeping)
    .minus(input.wantedProfit ?? Money.zero(input.saleValue.currency))
    .per(input.weightIn);
}
