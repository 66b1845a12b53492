import type { AnswerOf } from '../../../platform/http/endpoint.js';
import type { createHeadChange } from '../../../records/cattle/herds/herd.schema.js';
import type { createWeighIn } from '../../../records/cattle/weigh-ins/weigh-in.schema.js';
import type { getHayLot } from '../../../records/hay/lots/hay-lot.schema.js';
import type { createHayPurchase } from '../../../records/hay/purchases/hay-purchase.schema.js';
import type { createStockCount } from '../../../records/hay/stock-counts/stock-count.schema.js';
import type { createWaterCheck } from '../../../records/yard/water-checks/water-check.schema.js';
import type { createWeatherDay } from '../../../records/yard/weather-days/weather-day.schema.js';
import type { hayPositionReport } from '../../../office/hay-position/hay-position.schema.js';
import type { z } from 'zod';
import { grouped, paid, priced, shown, spelled } from '../words.js';
import type { EnteredShown } from './form.schema.js';

type Lot = AnswerOf<typeof getHayLot>;
type Position = z.input<typeof hayPositionReport>;

/** What was entered, read back as it stands in the books. */
export function ticketWords(
  ticket: AnswerOf<typeof createHayPurchase>,
  lot: Lot,
  position: Position | null,
): EnteredShown {
  const inBooks = position?.lots.find((one) => one.hayLotId === lot.id);
  const total = position?.hay ?? position?.total;
  return {
    title: 'The ticket is in the books.',
    lines: [
      `${shown(ticket.weight, 2)} from ${ticket.vendor} into ${lot.name}, ${ticket.purchasedOn}.`,
      ...(ticket.landedCost === null
        ? []
        : [`Landed cost: ${paid(ticket.landedCost)}, ${priced(ticket.landedPrice)}.`]),
      `${lot.name} now holds ${shown(lot.balance, 1)}` +
        (inBooks === undefined ? '.' : `, worth ${paid(inBooks.value)} at ${priced(inBooks.unitCost)}.`),
      ...(total === undefined ? [] : [`All hay on hand: ${shown(total.quantity, 1)}, worth ${paid(total.value)}.`]),
    ],
    warnings: [...ticket.cautions, ...(ticket.lotCautions ?? [])].map(({ message, advice }) => `${message} ${advice}`),
  };
}

export function weighInWords(weighIn: AnswerOf<typeof createWeighIn>, herd: string): EnteredShown {
  return {
    title: 'The weights are in the books.',
    lines: [
      `${herd}, ${weighIn.weighedOn}: ${grouped(weighIn.head)} head at ${shown(weighIn.meanWeight, 1)} each` +
        `${weighIn.fill === 'shrunk' ? ', shrunk' : ''}.`,
    ],
    warnings: weighIn.warnings.map(({ message }) => message),
  };
}

export function countWords(count: AnswerOf<typeof createStockCount>, lot: Lot): EnteredShown {
  const { typed } = count.counted;
  return {
    title: 'The count is in the books.',
    lines: [
      `${lot.name}, ${count.countedOn}: ${typed.value} ${typed.unit === 'bale' ? 'bales' : typed.unit} counted, ` +
        `${shown(count.counted, 1)}. The books said ${shown(count.inBooksWhenEntered, 1)}.`,
      `${lot.name} now holds ${shown(lot.balance, 1)}.`,
    ],
    warnings: [],
  };
}

export function headWords(change: AnswerOf<typeof createHeadChange>, herd: string, head: number): EnteredShown {
  return {
    title: 'It is in the books.',
    lines: [
      `${herd}, ${change.happenedOn}: ${spelled(change.kind)}, ${grouped(Math.abs(change.head))} head.`,
      `${herd} counts ${grouped(head)} head now.`,
    ],
    warnings: [],
  };
}

export function waterWords(check: AnswerOf<typeof createWaterCheck>, place: string): EnteredShown {
  const supply =
    check.supplyPerDay === null
      ? ''
      : `, gives ${grouped(check.supplyPerDay.value)} ` + `${check.supplyPerDay.unit} a day`;
  return {
    title: 'It is in the books.',
    lines: [`${check.source} at ${place}, ${check.checkedOn}: ${spelled(check.state)}${supply}.`],
    warnings: [],
  };
}

export function weatherWords(weather: AnswerOf<typeof createWeatherDay>, ranch: string): EnteredShown {
  const { meanTemperature: mean, wind, mudDepth: mud } = weather;
  return {
    title: 'It is in the books.',
    lines: [
      `${ranch}, ${weather.onDay}: ${mean.value} ${mean.unit}, coats ${weather.wet ? 'wet' : 'dry'}` +
        `${wind === null ? '' : `, wind ${wind.value} ${wind.unit}`}` +
        `${mud === null ? '' : `, mud ${mud.value} ${mud.unit}`}.`,
    ],
    warnings: [],
  };
}
