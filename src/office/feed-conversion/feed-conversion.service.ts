import { Injectable } from '@nestjs/common';
import { bookValue } from '../../core/feeds/book-values.js';
import { averageLabTests } from '../../core/forage/lab-test-average.js';
import { type FeedConversion, feedConversion } from '../../core/gain/feed-conversion.js';
import { HAY_KINDS } from '../../core/feeds/hay-kinds.data.js';
import { isOtherFeed } from '../../core/feeds/other-feeds.data.js';
import { decimalText } from '../../core/units/decimal.js';
import { Mass } from '../../core/units/mass.js';
import type { OperationTenant } from '../../platform/database/types.js';
import type { AnswerOf, InputOf } from '../../platform/http/endpoint.js';
import { type UnitSystem, formatMass } from '../../platform/wire/quantity.schema.js';
import { FeedingRead, type FeedingRow } from '../../records/feedings/feeding.read.js';
import { HayLotRead, type HayLotRow } from '../../records/hay/lots/hay-lot.read.js';
import { type KnownLabTest, LabTestRead, testedAs } from '../../records/hay/lab-tests/lab-test.read.js';
import { CostOfGainService } from '../cost-of-gain/cost-of-gain.service.js';
import { spanOf } from '../report-period.js';
import type { Flag } from '../report.schema.js';
import type * as api from './feed-conversion.schema.js';

type Answer = AnswerOf<typeof api.getFeedConversion>;
type Row = Answer['herds'][number];
type Figures = NonNullable<Row['figures']>;

type CostedHerd = Awaited<ReturnType<CostOfGainService['compute']>>['herds'][number];
/** A herd that gained between two weighings; its masses are in kilograms. */
type GainedHerd = CostedHerd & { figures: NonNullable<CostedHerd['figures']> };

interface DryMatter {
  percent: number;
  tested: boolean;
  /** Set where the test is of the lot that this one was split off from. */
  takenFrom: string | null;
}

/** A draw from a lot whose dry matter is known. */
interface KnownDraw {
  mass: Mass;
  dryMatterPercent: number;
  tested: boolean;
}

interface FedToHerd {
  feedings: number;
  feedingsWithLossMeasured: number;
  /** Refused and wasted, as fed; null where none was recorded. */
  lost: Mass | null;
  /** All draws, including those of feeds whose dry matter is not known. */
  layers: number;
  known: KnownDraw[];
  /** One sentence for each lot that uses the test of another. */
  testsTakenFrom: string[];
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
    private readonly feedings: FeedingRead,
    private readonly lots: HayLotRead,
    private readonly labTests: LabTestRead,
  ) {}

  async report(tenant: OperationTenant, { query }: InputOf<typeof api.getFeedConversion>): Promise<Answer> {
    spanOf(query);

    const units = query.units ?? tenant.operation.unitPreference;
    // Cost of gain alone decides which weighings give a gain.
    const gains = await this.costOfGain.compute(tenant, { ...query, units: 'metric' });
    const herds: Row[] = [];
    const inputs = { herds: gains.herds.length, weighIns: gains.inputs['weighIns'] ?? 0, feedings: 0 };
    for (const gained of gains.herds) {
      const { herdId, herd, figures, refusedBecause, notes } = gained;
      if (figures === null) {
        herds.push({ herdId, herd, figures, refusedBecause: refusedBecause.map(ofConversion), notes });
        continue;
      }
      const fed = await this.#fedBetween(tenant, herdId, figures.opening.day, figures.closing.day);
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
        'Dry matter fed from the opening weighing to the day before the closing one, by the lab tests known ' +
        'now (several of one lot averaged) or book values, over the gain between them; eaten is fed less ' +
        'refused and wasted at the mean dry matter of what was fed.',
      from: query.from,
      until: query.until,
      weighingWindowDays: query.windowDays,
      herds,
    };
  }

  /** What a herd was fed over [from, until), and how much was recorded as lost. */
  async #fedBetween(tenant: OperationTenant, herdId: string, from: string, until: string): Promise<FedToHerd> {
    const feedings = await this.feedings.between(tenant, { herdIds: [herdId], from, until });
    const layersByFeeding = await this.feedings.layersOf(
      tenant,
      feedings.map((one) => one.id),
    );
    const layers = [...layersByFeeding.values()].flat();
    const dryMatter = await this.#dryMatter(tenant, [...new Set(layers.map((layer) => layer.hay_lot_id))]);
    return {
      feedings: feedings.length,
      ...measuredLoss(feedings),
      layers: layers.length,
      known: layers.flatMap((layer) => {
        const found = dryMatter.get(layer.hay_lot_id);
        return found === undefined
          ? []
          : [{ mass: Mass.kilograms(layer.kilograms), dryMatterPercent: found.percent, tested: found.tested }];
      }),
      testsTakenFrom: [...dryMatter.values()].flatMap(({ takenFrom }) => (takenFrom === null ? [] : [takenFrom])),
    };
  }

  async #dryMatter(tenant: OperationTenant, lotIds: readonly string[]): Promise<Map<string, DryMatter>> {
    const lots = await this.lots.named(
      tenant,
      lotIds.map((id) => ({ id, pointer: '#' })),
    );
    const tests = await this.labTests.knownAt(tenant, lotIds, tenant.moment.toISOString());
    return new Map(
      [...lots.values()].flatMap((lot): [string, DryMatter][] => {
        const own = tests.get(lot.id) ?? [];
        if (own.length > 0)
          return [
            [
              lot.id,
              { percent: averageLabTests(own).analysis.dryMatterPercent, tested: true, takenFrom: splitOff(lot, own) },
            ],
          ];
        if (isOtherFeed(lot.hay_kind)) return [];
        const book = bookValue(HAY_KINDS[lot.hay_kind].bookValueKey);
        return book === undefined
          ? []
          : [[lot.id, { percent: book.analysis.dryMatterPercent, tested: false, takenFrom: null }]];
      }),
    );
  }
}

/** The reasons from cost of gain, worded for a conversion. */
function ofConversion({ code, message }: Row['refusedBecause'][number]): Row['refusedBecause'][number] {
  return code === 'gain-not-positive'
    ? { code, message: 'The herd did not gain between the weighings: a feed conversion has no meaning.' }
    : { code, message };
}

/** Refused and wasted, from feedings whose loss was recorded; null if none was. */
function measuredLoss(feedings: readonly FeedingRow[]): Pick<FedToHerd, 'feedingsWithLossMeasured' | 'lost'> {
  const measured = feedings.filter((one) => one.refused_kg !== null || one.wasted_kg !== null);
  const lost = measured.flatMap((one) => [Mass.kilograms(one.refused_kg ?? '0'), Mass.kilograms(one.wasted_kg ?? '0')]);
  return { feedingsWithLossMeasured: measured.length, lost: measured.length === 0 ? null : Mass.sum(lost) };
}

/** The row of a herd with a gain: its conversion, or why there is none. */
function converted({ herdId, herd, figures, notes }: GainedHerd, fed: FedToHerd, units: UnitSystem): Row {
  const gain = Mass.of(figures.totalGain.value, 'kg');
  const conversion = feedConversion({ fed: fed.known, lost: fed.lost, gain });
  if (!conversion.ok)
    return {
      herdId,
      herd,
      figures: null,
      refusedBecause: conversion.problems.map(({ code, message }) => ({ code, message })),
      notes,
    };
  const shares: Shares = {
    lossMeasured: fed.feedings === 0 ? 0 : fed.feedingsWithLossMeasured / fed.feedings,
    fromBookValues: shareFromBookValues(fed.known, conversion.dryMatterFed),
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
      fed: formatMass(Mass.sum(fed.known.map((one) => one.mass)), units, 'large'),
      ...conversionAnswer(conversion, units),
      shareOfFeedingsWithLossMeasured: shares.lossMeasured,
      shareOfDryMatterFromBookValues: shares.fromBookValues,
    },
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
function shareFromBookValues(known: readonly KnownDraw[], dryMatterFed: Mass): number {
  const ofBooks = Mass.sum(
    known.filter((one) => !one.tested).map((one) => one.mass.times(String(one.dryMatterPercent)).dividedBy(100)),
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
              `${(fromBookValues * 100).toFixed(0)} % of the dry matter rests on book values; those lots have no ` +
              'lab test.',
          },
        ]
      : []),
    ...fed.testsTakenFrom.map((message) => ({ code: 'test-of-the-lot-it-was-split-off', message })),
    ...(fed.known.length < fed.layers
      ? [
          {
            code: 'dry-matter-unknown',
            message: 'Feeds other than hay have no dry matter in the books and are left out.',
          },
        ]
      : []),
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

function splitOff(lot: HayLotRow, tests: readonly KnownLabTest[]): string | null {
  const from = testedAs(lot.id, tests);
  return from === null
    ? null
    : `${lot.name} has no test of its own and uses that of ${from.hayLot}, from which it was split off.`;
}
