import { counted } from '../units/counted.js';
import type { Mass } from '../units/mass.js';
import { WEIGHING_GUIDES } from './weighing-guides.data.js';

export interface WeighingCaution {
  readonly code: 'short-period' | 'gut-fill' | 'weights-not-alike';
  readonly value: number;
  readonly limit: number;
  readonly message: string;
  readonly source: string;
}

/**
 * Cautions about a daily gain from two weighings: too few days, more gain than forage explains, full against shrunk
 * weights.
 */
export function weighingCautions(input: {
  days: number;
  dailyGain: Mass;
  startState: 'full' | 'shrunk';
  endState: 'full' | 'shrunk';
}): WeighingCaution[] {
  const { days, dailyGain, startState, endState } = input;
  const { shortPeriod, gutFillDailyGainKg, methodGapDailyGainKg } = WEIGHING_GUIDES;
  const cautions: WeighingCaution[] = [];
  if (days < shortPeriod.stableDays) {
    cautions.push({
      code: 'short-period',
      value: days,
      limit: shortPeriod.stableDays,
      source: shortPeriod.source,
      message:
        `Over ${counted(days, 'day')} gut fill can sway the daily gain; it was still unsettled at ` +
        `${shortPeriod.unstableDays} days and settled by ${shortPeriod.stableDays}.`,
    });
  }
  const gain = dailyGain.kilograms.toNumber();
  if ((startState === 'full' || endState === 'full') && gain >= gutFillDailyGainKg.value) {
    cautions.push({
      code: 'gut-fill',
      value: gain,
      limit: gutFillDailyGainKg.value,
      source: gutFillDailyGainKg.source,
      message:
        `${gain.toFixed(2)} kg a day from full weights is as much as the ` + 'study attributed to gut fill on forage.',
    });
  }
  if (startState !== endState) {
    cautions.push({
      code: 'weights-not-alike',
      value: gain,
      limit: methodGapDailyGainKg.high,
      source: methodGapDailyGainKg.source,
      message: 'One weight is full and the other shrunk: put both on the same basis before you read the gain.',
    });
  }
  return cautions;
}
