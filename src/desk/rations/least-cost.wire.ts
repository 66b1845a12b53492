import { counted } from '../../core/units/counted.js';
import type { SafeRation } from '../../core/ration/safe-ration.js';
import type { LeastCostRation } from '../../core/ration/solve.js';
import type { WholeBaleAnswer, WholeBaleRation } from '../../core/ration/whole-bale-ration.js';
import { conflictWordsIn, shadowPriceIn, unusedLotIn } from '../../core/ration/least-cost-words.js';
import { figureIn, sentence, wordsIn } from '../../core/units/wording.js';
import { decimalText } from '../../core/units/decimal.js';
import type { Currency, Money } from '../../core/units/money.js';
import type { AnswerOf, InputOf } from '../../platform/http/endpoint.js';
import { type UnitSystem, formatMass, formatMoney, formatPrice } from '../../platform/wire/quantity.schema.js';
import type { HerdFacts } from '../facts/herd-facts.js';
import { massOfKilograms } from '../facts/ration-content.js';
import { cautionAnswer } from '../../records/kit/caution.schema.js';
import { dailyAmount, judgementAnswer, linesAnswer, notesAnswer, proteinAmount } from '../judge/judgement.js';
import { type Judging, OFFER_PREFIX, QUOTE_PREFIX } from './least-cost-judgement.js';
import type * as api from './least-cost.schema.js';

type Answer = AnswerOf<typeof api.leastCostRationFor>;
type Body = InputOf<typeof api.leastCostRationFor>['body'];

/** The question: for which herd and how long, and the currency and units of the answer. */
interface Asked {
  readonly herd: HerdFacts;
  readonly body: Body;
  readonly currency: Currency;
  readonly units: UnitSystem;
  readonly judging: Judging;
}

type Solved = Extract<LeastCostRation, { readonly status: 'solved' }>;
type Infeasible = Extract<LeastCostRation, { readonly status: 'infeasible' }>;

export function leastCostAnswer(found: SafeRation, asked: Asked): Answer {
  const { herd, body, currency, units } = asked;
  return {
    herdId: herd.herd.id,
    herd: herd.herd.name,
    onDay: herd.on,
    head: herd.head,
    days: body.days,
    units,
    currency,
    excluded: found.excluded.map(({ lotName, because, missing, words }) => ({
      name: lotName,
      because,
      missing: [...missing],
      words: wordsIn(units, words),
    })),
    need: needAnswer(found, asked),
    ...judgementsOf(found, asked),
    ...(found.status === 'solved' ? solvedAnswer(found, asked) : conflictAnswer(found, units)),
  };
}

type Found = Omit<
  Answer,
  'herdId' | 'herd' | 'onDay' | 'head' | 'days' | 'units' | 'currency' | 'excluded' | 'need' | 'judgement' | 'cautions'
>;

function needAnswer(found: SafeRation, { judging, units }: Asked): Answer['need'] {
  const { span } = judging;
  const { requirement } = found;
  const worst = found.status === 'solved' ? judging.worstWeek(found.layers) : null;
  return {
    fromDay: span.from,
    untilDay: span.until,
    weather: span.weather,
    perHead: {
      dryMatterIntake: formatMass(massOfKilograms(requirement.dryMatterIntakeKgPerDay), units, 'small'),
      netEnergyMaintenanceTotal: dailyAmount(requirement.netEnergyMaintenanceTotalMcalPerDay, 'Mcal/d', 3),
      netEnergyGain: dailyAmount(requirement.netEnergyGainMcalPerDay, 'Mcal/d', 3),
      metabolizableProtein: proteinAmount('metabolizableProtein', requirement.metabolizableProteinGPerDay, units, 3),
      crudeProtein: proteinAmount('crudeProtein', requirement.crudeProteinGPerDay, units, 3),
    },
    worstWeek:
      worst === null
        ? null
        : {
            fromDay: worst.from,
            untilDay: worst.until,
            lines: linesAnswer(worst.lines, units),
          },
    notes: notesAnswer(requirement.notes, units),
  };
}

function judgementsOf(found: SafeRation, { judging, units }: Asked): Pick<Answer, 'judgement' | 'cautions'> {
  if (found.status !== 'solved')
    return { judgement: null, cautions: judging.cautionsOfTheWater().map((one) => cautionAnswer(one, units)) };
  const judged = withLeastSulfur(judging.judge(found.layers), found);
  return {
    judgement: judgementAnswer(judged, units),
    cautions: judged.cautions.map((one) => cautionAnswer(one, units)),
  };
}

/** Where no ration keeps the grams of sulfur, the caution about them says that no other would bring less. */
function withLeastSulfur(judged: ReturnType<Judging['judge']>, { leastSulfur = false }: SafeRation): typeof judged {
  if (!leastSulfur) return judged;
  const cautions = judged.cautions.map((one) =>
    one.code === 'sulfur-mature-cow' ? { ...one, message: sentence`${one.message} ${NO_LESS_SULFUR}` } : one,
  );
  return { ...judged, cautions };
}

const NO_LESS_SULFUR = 'No ration of these feeds that meets the needs brings less; other water or other hay would.';

function conflictAnswer({ conflict }: Infeasible, units: UnitSystem): Found {
  return {
    status: 'infeasible',
    layers: [],
    wholeBales: null,
    perHead: null,
    costPerHeadDay: null,
    costForThePeriod: null,
    shadowPrices: [],
    unused: [],
    conflict: conflict.map(({ row, words, missesBy, unit, asks }) => ({
      row,
      words: conflictWordsIn(units, { words, missesBy, unit, asks }),
      missesBy: missesBy === null ? null : Number(figureIn(units, { value: missesBy, unit }).value.toFixed(4)),
      unit: figureIn(units, { value: 0, unit }).unit,
    })),
  };
}

function solvedAnswer(found: Solved, asked: Asked): Found {
  const { units } = asked;
  const totalKg = found.layers.flatMap((layer) => layer.lots).reduce((sum, lot) => sum + lot.asFedKgPerHeadPerDay, 0);
  return {
    status: 'solved',
    wholeBales: formatWholeBales(found.wholeBales, asked),
    conflict: [],
    perHead: formatMass(massOfKilograms(totalKg), units, 'small'),
    costPerHeadDay: formatMoney(found.costPerHeadDay),
    costForThePeriod: formatMoney(forThePeriod(found.costPerHeadDay, asked)),
    layers: layersAnswer(found, totalKg, asked),
    shadowPrices: found.shadowPrices.map((price) => {
      const { perUnit, unit, words } = shadowPriceIn(units, price);
      const amount = decimalText(perUnit.amount.toDecimalPlaces(6));
      return { row: price.row, perUnit: { amount, currency: perUnit.currency }, unit, words };
    }),
    unused: found.unusedLots.map(({ lotId, lotName, role, comesInAt }) => ({
      ...idsOf(lotId),
      name: lotName,
      role,
      comesInAt: comesInAt === null ? null : formatPrice(comesInAt, units),
      words: unusedLotIn(units, { lotId, lotName, role, comesInAt }, asked.currency),
    })),
  };
}

function layersAnswer({ layers }: Solved, totalKg: number, { herd, body, units }: Asked): Answer['layers'] {
  return layers.map((layer) => ({
    role: layer.role,
    parts: layer.lots.map(({ lot, asFedKgPerHeadPerDay: kilograms }) => ({
      ...idsOf(lot.lotId),
      name: lot.lotName,
      perHead: formatMass(massOfKilograms(kilograms), units, 'small'),
      asFedSharePercent: Number(((kilograms / totalKg) * 100).toFixed(3)),
      forThePeriod: formatMass(massOfKilograms(kilograms).times(herd.head).times(body.days), units, 'large'),
    })),
  }));
}

function idsOf(lotId: string): { hayLotId: string | null; hayQuoteId: string | null } {
  const onOffer = lotId.startsWith(QUOTE_PREFIX) || lotId.startsWith(OFFER_PREFIX);
  return {
    hayLotId: onOffer ? null : lotId,
    hayQuoteId: lotId.startsWith(OFFER_PREFIX) ? lotId.slice(OFFER_PREFIX.length) : null,
  };
}

function forThePeriod(perHeadDay: Money, { herd, body }: Asked): Money {
  return perHeadDay.times(herd.head).times(body.days);
}

type WholeBales = NonNullable<Answer['wholeBales']>;

function formatWholeBales(found: WholeBaleAnswer | null, asked: Asked): WholeBales | null {
  if (found === null) return null;
  const everyDays = asked.body.wholeBales?.everyDays ?? 1;
  if (!found.ok)
    return {
      everyDays,
      parts: [],
      costPerHeadDay: null,
      costOfRounding: null,
      missed: [],
      words: [],
      judgement: null,
      refusedBecause: `There is no such ration: ${found.detail}.`,
    };
  const { ration } = found;
  const { units } = asked;
  const missed = missedDemands(ration, units);
  return {
    everyDays,
    costPerHeadDay: formatMoney(ration.costPerHeadDay),
    costOfRounding: {
      perHeadDay: formatMoney(ration.costOfRounding),
      forThePeriod: formatMoney(forThePeriod(ration.costOfRounding, asked)),
    },
    missed,
    judgement: judgementAnswer(asked.judging.judge(asked.judging.layersOfBales(ration)), units),
    refusedBecause: null,
    parts: ration.parts.map(({ lotId, lotName, role, bales, asFedKgPerHeadPerDay, asFedKgPerFeeding }) => ({
      ...idsOf(lotId),
      name: lotName,
      role,
      bales,
      perFeeding: formatMass(massOfKilograms(asFedKgPerFeeding), units, 'small'),
      perHead: formatMass(massOfKilograms(asFedKgPerHeadPerDay), units, 'small'),
    })),
    words: wholeBaleWords(ration, missed, everyDays, asked),
  };
}

function missedDemands({ missed }: WholeBaleRation, units: UnitSystem): WholeBales['missed'] {
  return missed.map(({ row, words, missesBy, unit, ofNeed }) => ({
    row,
    words: wordsIn(units, words),
    missesBy: Number(figureIn(units, { value: missesBy, unit }).value.toPrecision(4)),
    unit: figureIn(units, { value: 0, unit }).unit,
    percentOfDemand: ofNeed === null || ofNeed === 0 ? null : Number(((missesBy / Math.abs(ofNeed)) * 100).toFixed(2)),
  }));
}

/** What is laid, what rounding costs, what falls short, and what could not be counted in bales. */
function wholeBaleWords(
  ration: WholeBaleRation,
  missed: WholeBales['missed'],
  everyDays: number,
  { herd, currency }: Asked,
): string[] {
  const laid = ration.parts.map(({ lotName, bales }) =>
    bales === null ? `${lotName} by weight` : `${counted(bales, 'bale')} of ${lotName}`,
  );
  const misses = missed.map(
    ({ words, missesBy, unit, percentOfDemand }) =>
      `${words} by ${missesBy} ${unit}${percentOfDemand === null ? '' : ` (${percentOfDemand} %)`}`,
  );
  return [
    `For ${herd.head} head, one feeding for ${counted(everyDays, 'day')}: ` + `${laid.join(', ') || 'nothing'}.`,
    costWords(ration.costOfRounding, currency),
    missed.length === 0 ? 'Every demand is met.' : `Missed: ${misses.join('; ')}.`,
    ...(ration.notInBales.length === 0
      ? []
      : [`Not counted in bales because no bale weight is known: ${ration.notInBales.join(', ')}.`]),
  ];
}

function costWords(costOfRounding: Money, currency: Currency): string {
  return costOfRounding.amount.isNegative()
    ? `It costs ${formatMoney(costOfRounding.negated()).amount} ${currency} per head per day less than the ration by ` +
        'weight, because it misses demands.'
    : `Whole bales cost ${formatMoney(costOfRounding).amount} ${currency} per head per day more than the ration by ` +
        'weights.';
}
