import { Injectable } from '@nestjs/common';
import { type FeedConversion, feedConversion } from '../../core/gain/feed-conversion.js';
import { decimalText } from '../../core/units/decimal.js';
import { Mass } from '../../core/units/mass.js';
import { type FedWithin, FedWithinRead } from '../../desk/facts/fed-within.js';
import { type LotDryMatter, LotFactsRead } from '../../desk/facts/lot-facts.js';
import type { OperationTenant } from '../../platform/database/types.js';
import type { AnswerOf, InputOf } from '../../platform/http/endpoint.js';
import { formatMass, toMass, type UnitSystem } from '../../platform/wire/quantity.schema.js';
import { CostOfGainService } from '../cost-of-gain/cost-of-gain.service.js';
import { accountUntil } from '../cost-of-gain/herd-row.js';
import { spanOf } from '../report-period.js';
import type { Flag } from '../report.schema.js';
import type * as api from './feed-conversion.schema.js';

type Answer = AnswerOf<typeof api.getFeedConversion>;
type Row = Answer['herds'][number];
type Figures = NonNullable<Row['figures']>;

type CostedHerd = Awaited<ReturnType<CostOfGainService['compute']>>['herds'][number];
/** A herd that gained between two weighings; its masses are in the units asked for. */
type GainedHerd = CostedHerd & { figures: NonNullable<CostedHerd['figures']> };

/** What was laid of a lot on a day, with its dry matter as the review of that day has it. */
interface Draw {
  mass: Mass;
  dryMatter: LotDryMatter;
}

interface FedToHerd {
  feedings: number;
  feedingsWithLossMeasured: number;
  /** Refused and wasted, as fed; null where none was recorded. */
  lost: Mass | null;
  draws: Draw[];
}

/** Each 0 to 1. */
interface Shares {
  lossMeasured: number;
  fromBookValues: number;
}

const RATIO_PLACES = 2;
const SHARE_PLACES = 4;

@Injectable()
export class FeedConversionService {
  constructor(
    private readonly costOfGain: CostOfGainService,
    private readonly fedWithin: FedWithinRead,
    private readonly lots: LotFactsRead,
  ) {}

  async report(tenant: OperationTenant, { query }: InputOf<typeof api.getFeedConversion>): Promise<Answer> {
    spanOf(query);

    const units = query.units ?? tenant.operation.unitPreference;
    // Cost of gain alone decides which weighings give a gain.
    const gains = await this.costOfGain.compute(tenant, { ...query, units });
    const herds: Row[] = [];
    const inputs = { herds: gains.herds.length, weighIns: gains.inputs['weighIns'] ?? 0, feedings: 0 };
    for (const gained of gains.herds) {
      const { herdId, herd, figures, refusedBecause, notes } = gained;
      if (figures === null) {
        herds.push({ herdId, herd, figures, refusedBecause: refusedBecause.map(ofConversion), notes });
        continue;
      }
      const fed = await this.#fedBetween(tenant, herdId, {
        from: figures.opening.day,
        until: figures.closing.day,
        accountUntil: accountUntil(figures.closing, query.until),
      });
      inputs.feedings += fed.feedings;
      herds.push(converted({ ...gained, figures }, fed, units));
    }
    return {
      operationId: gains.operationId,
      operation: gains.operation,
      invented: gains.invented,
      units,
      inputs,
      flags: [],
      method:
        'Dry matter fed from the opening weighing to the day before the closing one, over the gain between them; ' +
        'what was laid for several days counts over these, until the next like it was laid. The dry matter of a lot ' +
        'is that of the ration review of each day: by samples taken up to then, whenever their results came in ' +
        '(several of one lot averaged), or by book values. Eaten is fed less refused and wasted at the mean dry ' +
        'matter of what was fed. The weight of the dead counts as gained up to their death (deads out), and in a ' +
        'second figure not at all (deads in). What was reversed as of one of these days was not fed.',
      from: query.from,
      until: query.until,
      weighingWindowDays: query.windowDays,
      herds,
    };
  }

  /** What a herd was fed over [from, until), and how much was recorded as lost. */
  async #fedBetween(
    tenant: OperationTenant,
    herdId: string,
    span: { from: string; until: string; accountUntil: string },
  ): Promise<FedToHerd> {
    const around = await this.fedWithin.of(tenant, herdId, span);
    const fed = around.filter(({ share }) => share.gt(0));
    const lotIds = [...new Set(fed.flatMap(({ layers }) => layers.map((layer) => layer.hay_lot_id)))];
    const lotOn = await this.lots.dryMatterThrough(tenant, lotIds);
    return {
      feedings: fed.length,
      ...measuredLoss(fed),
      draws: fed.flatMap(({ feeding, layers, share }) =>
        layers.map(({ hay_lot_id: lotId, kilograms }) => ({
          mass: Mass.kilograms(kilograms).times(share),
          dryMatter: lotOn(lotId, feeding.happened_on),
        })),
      ),
    };
  }
}

/** The reasons from cost of gain, worded for a conversion. */
function ofConversion({
  code,
  message,
  headChangeId,
}: CostedHerd['refusedBecause'][number]): Row['refusedBecause'][number] {
  return code === 'gain-not-positive'
    ? {
        code,
        headChangeId: headChangeId ?? null,
        message: 'The herd did not gain between the weighings: a feed conversion has no meaning.',
      }
    : { code, headChangeId: headChangeId ?? null, message };
}

/** Refused and wasted, from feedings whose loss was recorded; null if none was. */
function measuredLoss(fed: readonly FedWithin[]): Pick<FedToHerd, 'feedingsWithLossMeasured' | 'lost'> {
  const measured = fed.filter(({ feeding }) => feeding.refused_kg !== null || feeding.wasted_kg !== null);
  const lost = measured.flatMap(({ feeding, share }) =>
    [feeding.refused_kg, feeding.wasted_kg].map((kilograms) => Mass.kilograms(kilograms ?? '0').times(share)),
  );
  return { feedingsWithLossMeasured: measured.length, lost: measured.length === 0 ? null : Mass.sum(lost) };
}

/** The row of a herd with a gain: its conversion, or why there is none. */
function converted({ herdId, herd, figures, notes }: GainedHerd, fed: FedToHerd, units: UnitSystem): Row {
  const gain = toMass(figures.totalGain);
  const weightOfDead = figures.deadsIn === undefined ? Mass.zero : toMass(figures.deadsIn.weightOfDead);
  const drawn = fed.draws.map(({ mass, dryMatter }) => ({ mass, dryMatterPercent: dryMatter.percent }));
  const conversion = feedConversion({ fed: drawn, lost: fed.lost, gain });
  if (!conversion.ok)
    return {
      herdId,
      herd,
      figures: null,
      refusedBecause: conversion.problems.map(({ code, message }) => ({ code, headChangeId: null, message })),
      notes,
    };
  const shares: Shares = {
    lossMeasured: fed.feedings === 0 ? 0 : fed.feedingsWithLossMeasured / fed.feedings,
    fromBookValues: shareFromBookValues(fed.draws, conversion.dryMatterFed),
  };
  return {
    herdId,
    herd,
    refusedBecause: [],
    notes: [...notes.filter((one) => one.code !== 'no-feed-cost'), ...doubtsOf(fed, shares)],
    figures: {
      openingOn: figures.opening.day,
      closingOn: figures.closing.day,
      totalGain: formatMass(gain, units, 'small'),
      fed: formatMass(Mass.sum(fed.draws.map((one) => one.mass)), units, 'large'),
      ...conversionAnswer(conversion, units),
      deadsIn: deadsInAnswer(conversion, gain, weightOfDead, units),
      shareOfFeedingsWithLossMeasured: shares.lossMeasured,
      shareOfDryMatterFromBookValues: shares.fromBookValues,
    },
  };
}

/** The same feed over the gain without the weight of the dead. */
function deadsInAnswer(
  { dryMatterFed, dryMatterEaten }: FeedConversion,
  withDead: Mass,
  weightOfDead: Mass,
  units: UnitSystem,
): Figures['deadsIn'] {
  const gain = withDead.minus(weightOfDead);
  const over = (feed: Mass | null): string | null =>
    feed === null || !gain.isPositive() ? null : decimalText(feed.ratioTo(gain).toDecimalPlaces(RATIO_PLACES));
  return {
    weightOfDead: formatMass(weightOfDead, units, 'small'),
    totalGain: formatMass(gain, units, 'small'),
    fedPerGain: over(dryMatterFed),
    eatenPerGain: over(dryMatterEaten),
  };
}

function conversionAnswer(
  { dryMatterFed, dryMatterEaten, fedPerGain, eatenPerGain }: FeedConversion,
  units: UnitSystem,
): Pick<Figures, 'dryMatterFed' | 'dryMatterEaten' | 'fedPerGain' | 'eatenPerGain'> {
  return {
    dryMatterFed: formatMass(dryMatterFed, units, 'large'),
    dryMatterEaten: dryMatterEaten === null ? null : formatMass(dryMatterEaten, units, 'large'),
    fedPerGain: decimalText(fedPerGain.toDecimalPlaces(RATIO_PLACES)),
    eatenPerGain: eatenPerGain === null ? null : decimalText(eatenPerGain.toDecimalPlaces(RATIO_PLACES)),
  };
}

/** Share of the dry matter fed that comes from lots without a lab test. */
function shareFromBookValues(draws: readonly Draw[], dryMatterFed: Mass): number {
  const ofBooks = Mass.sum(
    draws
      .filter(({ dryMatter }) => dryMatter.origin === 'book-value')
      .map(({ mass, dryMatter }) => mass.times(String(dryMatter.percent)).dividedBy(100)),
  );
  return Number(ofBooks.ratioTo(dryMatterFed).toFixed(SHARE_PLACES));
}

/** What a reader should know before relying on the dry matter and the loss. */
function doubtsOf(fed: FedToHerd, { lossMeasured, fromBookValues }: Shares): Flag[] {
  return [
    ...(fromBookValues > 0
      ? [
          {
            code: 'dry-matter-from-book-values',
            message:
              `${(fromBookValues * 100).toFixed(0)} % of the dry matter rests on book values; of those lots no ` +
              'sample had been taken by the day when they were fed.',
          },
        ]
      : []),
    ...splitOffFrom(fed.draws).map((message) => ({ code: 'test-of-the-lot-it-was-split-off', message })),
    ...(lossMeasured > 0 && lossMeasured < 1
      ? [
          {
            code: 'waste-not-always-measured',
            message:
              `Refusals or waste were recorded in ${Math.round(lossMeasured * 100)} % of the feedings; the ` +
              'others count as eaten whole.',
          },
        ]
      : []),
  ];
}

/** One sentence for each lot that uses, or used, the test of another. */
function splitOffFrom(draws: readonly Draw[]): string[] {
  const words = draws.flatMap(({ dryMatter: { lot, testTakenFrom } }) =>
    testTakenFrom === null
      ? []
      : [`${lot} has no test of its own and uses that of ${testTakenFrom.hayLot}, from which it was split off.`],
  );
  return [...new Set(words)];
}
