import type { GainCost, GainFigures, Closeout } from '../../core/closeout/closeout.js';
import { interestWords } from '../../core/closeout/interest.js';
import { inCattleUnit } from '../../core/gain/cattle-price.js';
import type { Refusal } from '../../core/outcome/outcome.js';
import { counted } from '../../core/units/counted.js';
import type { Money, PricePerMass } from '../../core/units/money.js';
import type { OperationTenant } from '../../platform/database/types.js';
import type { AnswerOf } from '../../platform/http/endpoint.js';
import {
  formatDecimal,
  formatMass,
  formatMoney,
  formatPrice,
  type UnitSystem,
} from '../../platform/wire/quantity.schema.js';
import { correctionAnswer, correctionFlags, inWords } from '../corrections.js';
import { refusalOf } from '../cost-of-gain/herd-row.js';
import { methodChangeFlags } from '../method-change.js';
import type { Flag } from '../report.schema.js';
import { closeoutLines } from './closeout-lines.js';
import { sameFillWords } from './closeout-terms.js';
import type * as api from './closeout.schema.js';
import type { WorkedCloseout } from './closeout.service.js';

type Answer = Omit<AnswerOf<typeof api.getHerdCloseout>, 'closed'>;

export function answerOf(tenant: OperationTenant, worked: WorkedCloseout): Answer {
  const { found, units, herd, span, currency } = worked;
  const money = (amount: Money | null): ReturnType<typeof formatMoney> | null =>
    amount === null ? null : formatMoney(amount);
  const { cattle, costs } = found;
  return {
    operationId: tenant.operationId,
    operation: tenant.operation.name,
    invented: tenant.operation.invented,
    currency,
    units,
    method:
      `Cattle at the money of their head changes, hay and other feed at their booked cost (${worked.method}), ` +
      'yardage by head-day, other costs by their bills, late bills by who ate of the lot whenever they came. Gain: ' +
      'weight out and standing less weight in (total cost over total gain: Nebraska Extension G2095, 2023); the ' +
      'dead count as gained up to their death (deads out) or not (deads in), terms of the trade, from memory. ' +
      'Breakeven: what was laid out, over the weight that is paid for. What was reversed as of one of these days is ' +
      'not there.',
    inputs: {
      headChanges: worked.changes.length,
      feedings: worked.fed.length,
      herdCosts: worked.herdCosts.length,
      lateBills: worked.late.length,
      yardageRates: worked.yardageRates,
    },
    flags: flagsOf(worked),
    from: span.from,
    until: span.until,
    herdId: herd.id,
    herd: herd.name,
    costingMethod: worked.method,
    head: headAnswer(found),
    lines: closeoutLines(found, {
      ...worked,
      ...span,
      operationId: tenant.operationId,
      herdId: herd.id,
    }),
    totals: {
      cattleIn: money(cattle.moneyIn),
      cattleOut: money(cattle.moneyOut),
      feed: formatMoney(costs.feed),
      costs: formatMoney(costs.total),
    },
    hay: {
      fed: formatMass(worked.hayFed, units, 'large'),
      atCost: formatMoney(costs.hay),
      atMarket: money(worked.atMarket),
    },
    interest: {
      terms: worked.terms === null ? 'No interest rate was stated' : interestWords(worked.terms),
      days: costs.interest.days,
      onCattle: formatMoney(costs.interest.onCattle),
      onCosts: formatMoney(costs.interest.onCosts),
    },
    gain: gainAnswer(found.gain, worked),
    gainAtSameFill: gainAnswer(found.gainAtSameFill, worked),
    sameFill: sameFillWords(worked.sameFill),
    breakEven: breakEvenAnswer(found, units),
    profit: profitAnswer(found.profit),
    profitWithHayAtMarket: profitAnswer(found.profitAtMarket),
    correctionsOfEarlier: worked.corrections.map((one) => correctionAnswer(one, units)),
    correctedOfEarlier: {
      otherCosts: formatMoney(worked.correctedMoney.costs),
      cattle: formatMoney(worked.correctedMoney.cattle),
    },
  };
}

function headAnswer({ head }: Closeout): Answer['head'] {
  const { opening, cameIn, died, wentOut, closing, headDays, deathLossPercent: lost } = head;
  const deathLossPercent = lost === null ? null : formatDecimal(lost, 2);
  return { opening, cameIn, died, wentOut, closing, headDays, deathLossPercent };
}

function gainAnswer(found: GainFigures | Refusal, { units, changes }: WorkedCloseout): Answer['gain'] {
  if (!('deadsOut' in found)) {
    const flows = changes.map(({ id }) => ({ headChangeId: id }));
    return {
      figures: null,
      refusedBecause: found.problems.map((one) => {
        const { code, headChangeId, message } = refusalOf(one, flows);
        return { code, headChangeId: headChangeId ?? null, message };
      }),
    };
  }
  const cost = (one: GainCost): NonNullable<Answer['gain']['figures']>['deadsOut'] => ({
    gain: formatMass(one.gain, units, 'small'),
    feed: formatPrice(one.feed, units, 'small'),
    feedAndYardage: formatPrice(one.feedAndYardage, units, 'small'),
    all: formatPrice(one.all, units, 'small'),
  });
  return {
    figures: {
      deadsOut: cost(found.deadsOut),
      deadsIn: found.deadsIn === null ? null : cost(found.deadsIn),
      dailyGain: formatMass(found.dailyGain, units, 'small'),
      weightOfDead: formatMass(found.weightOfDead, units, 'small'),
    },
    refusedBecause: [],
  };
}

function breakEvenAnswer({ breakEven }: Closeout, units: UnitSystem): Answer['breakEven'] {
  if (breakEven === null) return null;
  const per = units === 'us' ? 'cwt' : 'kg';
  const price = (one: PricePerMass): NonNullable<Answer['breakEven']>['deadsIn'] => ({
    amount: inCattleUnit(one, per).toFixed(per === 'cwt' ? 2 : 4),
    currency: one.currency,
    per,
  });
  return {
    saleWeight: formatMass(breakEven.saleWeight, units, 'small'),
    deadsIn: price(breakEven.deadsIn),
    deadsOut: breakEven.deadsOut === null ? null : price(breakEven.deadsOut),
  };
}

function profitAnswer(profit: Closeout['profit']): Answer['profit'] {
  const money = (amount: Money | null): ReturnType<typeof formatMoney> | null =>
    amount === null ? null : formatMoney(amount);
  return profit === null
    ? null
    : {
        total: formatMoney(profit.total),
        perHeadIn: money(profit.perHeadIn),
        perHeadOut: money(profit.perHeadOut),
      };
}

function corrected(code: string, what: string, amount: Money): Flag[] {
  return amount.isZero()
    ? []
    : [{ code, message: `${what} of earlier days were reversed in these: ${inWords(amount)}, in no figure.` }];
}

/** What is missing or doubtful. */
function flagsOf(worked: WorkedCloseout): Flag[] {
  const { found, corrections, correctedMoney, unpricedHay, daysWithoutRate } = worked;
  const lacking = (what: 'price' | 'weight'): number =>
    found.missing.filter((one) => one.what === what && one.of === 'head-change').length;
  const stated = (at: 'opening' | 'closing'): boolean =>
    found.missing.some((one) => one.what === 'price' && one.of === at);
  const standing = (at: 'opening' | 'closing', words: string): Flag[] =>
    stated(at)
      ? [
          {
            code: `no-${at}-value`,
            message: `${counted(found.head[at], 'head', 'head')} ${words}; state their ${at}Value for a profit.`,
          },
        ]
      : [];
  return [
    ...standing('opening', 'stood there before the first day'),
    ...standing('closing', 'stand there after the last day'),
    ...(lacking('price') > 0
      ? [
          {
            code: 'no-price',
            message: `${counted(lacking('price'), 'head change')} without a price: enter it for profit and breakeven.`,
          },
        ]
      : []),
    ...(lacking('weight') > 0
      ? [{ code: 'no-weight', message: `${counted(lacking('weight'), 'head change')} without a weight.` }]
      : []),
    ...(unpricedHay.length > 0
      ? [{ code: 'no-market-price', message: `No market price was stated for ${unpricedHay.join(', ')}.` }]
      : []),
    ...(daysWithoutRate > 0
      ? [{ code: 'no-yardage-rate', message: `${counted(daysWithoutRate, 'day')} with cattle had no yardage rate.` }]
      : []),
    ...methodChangeFlags(worked.methodChanges, worked.span),
    ...correctionFlags(corrections),
    ...corrected('corrected-costs-of-earlier-days', 'Costs', correctedMoney.costs),
    ...corrected('corrected-cattle-of-earlier-days', 'Cattle at money', correctedMoney.cattle),
  ];
}
