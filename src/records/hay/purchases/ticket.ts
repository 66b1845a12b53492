import { isRefusal } from '../../../core/outcome/outcome.js';
import { loadWeight } from '../../../core/stock/bale-weighing.js';
import type { HayPrice } from '../../../core/stock/landed-cost.js';
import { KILOGRAM_PLACES, Mass, type MassUnit } from '../../../core/units/mass.js';
import { type Currency, Money, PricePerMass } from '../../../core/units/money.js';
import type { z } from 'zod';
import { ruleBroken } from '../../../platform/http/problem.js';
import { toMass, type UnitSystem, formatDecimal, formatMass } from '../../../platform/wire/quantity.schema.js';
import type { receivedWeight, ticketPrice, weighingOut } from './ticket.schema.js';
import type { Words } from '../../../platform/database/types.js';

const WANTED_RELATIVE_HALF_WIDTH = 0.05;

export const TICKET_POINTERS: Readonly<Record<string, string>> = {
  bales: '#/baleCount',
  weightReceived: '#/weight',
  price: '#/price/amount',
};

type WeightBody = { weight: z.output<typeof receivedWeight>; baleCount?: number | undefined };

/** What the scale showed, as a mass and as typed. */
export function weightReceived(body: WeightBody): { mass: Mass; value: string; unit: MassUnit } {
  const { weight } = body;
  switch (weight.basis) {
    case 'net':
      return { mass: toMass(weight.net), value: weight.net.value, unit: weight.net.unit };
    case 'scale-ticket': {
      const mass = toMass(weight.gross).minus(toMass(weight.tare));
      if (!mass.isPositive())
        throw ruleBroken(
          '#/weight/tare',
          'tare-not-below-gross',
          weight.tare.value,
          `less than ${weight.gross.value} ${weight.gross.unit}`,
          'The empty truck cannot weigh as much as the full one.',
        );
      return { mass, value: formatDecimal(mass.in(weight.gross.unit), KILOGRAM_PLACES), unit: weight.gross.unit };
    }
    case 'weighed-bales': {
      if (body.baleCount === undefined)
        throw ruleBroken(
          '#/baleCount',
          'bales-missing',
          null,
          'the number of bales',
          'A weight from weighed bales needs the number of bales.',
        );
      if (weight.balesWeighed > body.baleCount)
        throw ruleBroken(
          '#/weight/balesWeighed',
          'more-weighed-than-bought',
          weight.balesWeighed,
          `at most ${body.baleCount}`,
          'More bales were weighed than bought.',
        );
      const mass = toMass(weight.meanBaleWeight).times(body.baleCount);
      return {
        mass,
        value: formatDecimal(mass.in(weight.meanBaleWeight.unit), KILOGRAM_PLACES),
        unit: weight.meanBaleWeight.unit,
      };
    }
  }
}

/** The load and its bales, for what can be. */
export function massOf(
  { baleCount, weight }: WeightBody,
  mass: Mass,
): { mass: Mass; bales: number | undefined; pointer: string } {
  return { mass, bales: baleCount, pointer: weight.basis === 'weighed-bales' ? '#/weight/meanBaleWeight' : '#/weight' };
}

/** The price, as the core takes it. */
export function priceOf(price: z.output<typeof ticketPrice>, currency: Currency): HayPrice {
  if (price.basis === 'per-mass')
    return { basis: 'per-mass', price: PricePerMass.of(price.amount, currency, price.per) };
  return { basis: price.basis, price: Money.of(price.amount, currency) };
}

type PriceBody = z.output<typeof ticketPrice>;
interface PriceColumns {
  basis: Words['PriceBasis'];
  price_value: string;
  price_unit: Words['PriceUnit'];
}

/** The price as typed, as the price tables keep it. */
export function typedPrice(price: PriceBody): PriceColumns {
  return {
    basis: price.basis,
    price_value: price.amount,
    price_unit: price.basis === 'per-mass' ? price.per : price.basis === 'per-bale' ? 'bale' : 'lot',
  };
}

/** What was typed about weighed bales, as a ticket's row stores it. */
export interface WeighingColumns {
  bale_count: number | null;
  bale_weight_value: string | null;
  bale_weight_unit: MassUnit | null;
  bales_weighed: number | null;
  bale_weight_sd: string | null;
}

function weighingColumns(body: WeightBody): WeighingColumns {
  const weighed = body.weight.basis === 'weighed-bales' ? body.weight : undefined;
  return {
    bale_count: body.baleCount ?? null,
    bale_weight_value: weighed?.meanBaleWeight.value ?? null,
    bale_weight_unit: weighed?.meanBaleWeight.unit ?? null,
    bales_weighed: weighed?.balesWeighed ?? null,
    bale_weight_sd:
      weighed?.standardDeviation === undefined
        ? null
        : formatDecimal(toMass(weighed.standardDeviation).in(weighed.meanBaleWeight.unit), KILOGRAM_PLACES),
  };
}

/** What was typed and weighed of a load that came in, as the tables of purchases and harvests keep it. */
export function ticketColumns(
  body: WeightBody & { readonly moisturePercent?: string | undefined; readonly note?: string | undefined },
  received: ReturnType<typeof weightReceived>,
) {
  return {
    ...weighingColumns(body),
    weight_basis: body.weight.basis,
    weight_kg: received.mass.kilograms.toFixed(),
    weight_value: received.value,
    weight_unit: received.unit,
    weight_typed: JSON.stringify(body.weight),
    moisture_pct: body.moisturePercent ?? null,
    note: body.note ?? null,
  };
}

/** How sure the weight of a load is, and whether enough bales were weighed (Cochran 1977: see the core). */
export function weighingOf(row: WeighingColumns, units: UnitSystem): z.input<typeof weighingOut> | null {
  if (
    row.bale_weight_value === null ||
    row.bale_weight_unit === null ||
    row.bales_weighed === null ||
    row.bale_count === null
  )
    return null;
  const unit = row.bale_weight_unit;
  const head = {
    meanBaleWeight: { value: row.bale_weight_value, unit },
    balesWeighed: row.bales_weighed,
    standardDeviation: row.bale_weight_sd,
  };
  if (row.bale_weight_sd === null || row.bales_weighed < 2) {
    return {
      ...head,
      balesWanted: null,
      likelyWeight: null,
      warnings: [
        {
          code: 'spread-unknown',
          message:
            `${row.bales_weighed} of ${row.bale_count} bales were weighed and no standard deviation is known, so ` +
            'nothing can be said about how sure the weight is. Weigh at least two bales and give the spread.',
        },
      ],
    };
  }
  const known = loadWeight({
    bales: row.bale_count,
    weighed: row.bales_weighed,
    mean: Mass.of(row.bale_weight_value, unit),
    standardDeviation: Mass.of(row.bale_weight_sd, unit),
    wantedRelativeHalfWidth: WANTED_RELATIVE_HALF_WIDTH,
  });
  if (isRefusal(known))
    return {
      ...head,
      balesWanted: null,
      likelyWeight: null,
      warnings: known.problems.map(({ code, message }) => ({ code, message })),
    };
  return {
    ...head,
    balesWanted: known.balesToWeigh,
    likelyWeight: { low: formatMass(known.low, units, 'large'), high: formatMass(known.high, units, 'large') },
    warnings: known.warnings.map(({ code, message }) => ({ code, message })),
  };
}

/** The price of a row as it was entered: its unit tells the basis. */
export function priceAsStated({ price_value: amount, price_unit: per }: Omit<PriceColumns, 'basis'>): PriceBody {
  if (per === 'bale') return { basis: 'per-bale', amount };
  return per === 'lot' ? { basis: 'lump-sum', amount } : { basis: 'per-mass', amount, per };
}
