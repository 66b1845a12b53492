import { Injectable } from '@nestjs/common';
import { bookValue } from '../../core/feeds/book-values.js';
import { averageLabTests } from '../../core/forage/lab-test-average.js';
import { feedConversion } from '../../core/gain/feed-conversion.js';
import { HAY_KINDS } from '../../core/feeds/hay-kinds.data.js';
import { isOtherFeed } from '../../core/feeds/other-feeds.data.js';
import { decimalText } from '../../core/units/decimal.js';
import { Mass } from '../../core/units/mass.js';
import type { OperationTenant } from '../../platform/database/types.js';
import type { AnswerOf, InputOf } from '../../platform/http/endpoint.js';
import { writeMass } from '../../platform/wire/quantity.schema.js';
import { FeedingRead } from '../../records/feedings/feeding.read.js';
import { HayLotRead, type HayLotRow } from '../../records/hay/lots/hay-lot.read.js';
import { type KnownLabTest, LabTestRead, testedAs } from '../../records/hay/lab-tests/lab-test.read.js';
import { CostOfGainService } from '../cost-of-gain/cost-of-gain.service.js';
import { spanOf } from '../report-period.js';
import type { Flag } from '../report.schema.js';
import type * as api from './feed-conversion.schema.js';

type Answer = AnswerOf<typeof api.getFeedConversion>;
type Row = Answer['herds'][number];

interface DryMatter {
  percent: number;
  tested: boolean;
  /** Said where the test is one of the lot that this one was split off. */
  takenFrom: string | null;
}

const RATIO_PLACES = 2;

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
    // Which weighings carry a gain, and which do not, is said once: by the cost of gain.
    const gains = await this.costOfGain.compute(tenant, { ...query, units: 'metric' });
    const herds: Row[] = [];
    const inputs = { herds: gains.herds.length, weighIns: gains.inputs['weighIns'] ?? 0, feedings: 0 };
    for (const { herdId, herd, figures, refusedBecause, notes } of gains.herds) {
      if (figures === null) {
        herds.push({ herdId, herd, figures: null, refusedBecause, notes });
        continue;
      }
      const span = { herdIds: [herdId], from: figures.opening.day, until: figures.closing.day };
      const feedings = await this.feedings.between(tenant, span);
      inputs.feedings += feedings.length;
      const layers = [
        ...(
          await this.feedings.layersOf(
            tenant,
            feedings.map((one) => one.id),
          )
        ).values(),
      ].flat();
      const dryMatter = await this.#dryMatter(tenant, [...new Set(layers.map((layer) => layer.hay_lot_id))]);
      const known = layers.flatMap((layer) => {
        const found = dryMatter.get(layer.hay_lot_id);
        return found === undefined
          ? []
          : [{ mass: Mass.kilograms(layer.kilograms), dryMatterPercent: found.percent, tested: found.tested }];
      });
      const measured = feedings.filter((one) => one.refused_kg !== null || one.wasted_kg !== null);
      const lost =
        measured.length === 0
          ? null
          : Mass.sum(
              measured.flatMap((one) => [Mass.kilograms(one.refused_kg ?? '0'), Mass.kilograms(one.wasted_kg ?? '0')]),
            );
      const conversion = feedConversion({ fed: known, lost, gain: Mass.of(figures.totalGain.value, 'kg') });
      if (!conversion.ok) {
        herds.push({
          herdId,
          herd,
          figures: null,
          refusedBecause: conversion.problems.map(({ code, message }) => ({ code, message })),
          notes,
        });
        continue;
      }
      const ofBooks = Mass.sum(
        known.filter((one) => !one.tested).map((one) => one.mass.times(String(one.dryMatterPercent)).dividedBy(100)),
      );
      const bookShare = Number(ofBooks.ratioTo(conversion.dryMatterFed).toFixed(4));
      const lossShare = feedings.length === 0 ? 0 : measured.length / feedings.length;
      const doubts: Flag[] = [
        ...notes.filter((one) => one.code !== 'no-feed-cost'),
        ...(bookShare > 0
          ? [
              {
                code: 'dry-matter-from-book-values',
                message:
                  `${(bookShare * 100).toFixed(0)} % of the dry matter rests on book values; those lots have no ` +
                  'lab test.',
              },
            ]
          : []),
        ...[...dryMatter.values()].flatMap(({ takenFrom }) =>
          takenFrom === null ? [] : [{ code: 'test-of-the-lot-it-was-split-off', message: takenFrom }],
        ),
        ...(known.length < layers.length
          ? [
              {
                code: 'dry-matter-unknown',
                message: 'Feeds other than hay have no dry matter in the books and are left out.',
              },
            ]
          : []),
        ...(lossShare > 0 && lossShare < 1
          ? [
              {
                code: 'waste-not-always-measured',
                message:
                  `Refusals or waste were written down in ${Math.round(lossShare * 100)} % of the feedings; the ` +
                  'others count as eaten whole.',
              },
            ]
          : []),
      ];
      herds.push({
        herdId,
        herd,
        refusedBecause: [],
        notes: doubts,
        figures: {
          openingOn: figures.opening.day,
          closingOn: figures.closing.day,
          totalGain: writeMass(Mass.of(figures.totalGain.value, 'kg'), units, 'small'),
          fed: writeMass(Mass.sum(known.map((one) => one.mass)), units, 'large'),
          dryMatterFed: writeMass(conversion.dryMatterFed, units, 'large'),
          dryMatterEaten:
            conversion.dryMatterEaten === null ? null : writeMass(conversion.dryMatterEaten, units, 'large'),
          fedPerGain: decimalText(conversion.fedPerGain.toDecimalPlaces(RATIO_PLACES)),
          eatenPerGain:
            conversion.eatenPerGain === null
              ? null
              : decimalText(conversion.eatenPerGain.toDecimalPlaces(RATIO_PLACES)),
          shareOfFeedingsWithLossMeasured: lossShare,
          shareOfDryMatterFromBookValues: bookShare,
        },
      });
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

function splitOff(lot: HayLotRow, tests: readonly KnownLabTest[]): string | null {
  const from = testedAs(lot.id, tests);
  return from === null
    ? null
    : `${lot.name} has no test of its own and counts by that of ${from.hayLot}, which it was split off.`;
}
