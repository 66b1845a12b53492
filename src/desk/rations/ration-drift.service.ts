import { Injectable } from '@nestjs/common';
import type { CautionsOfDay } from '../../core/judge/one-meal.js';
import { addDays, daysBetween } from '../../core/time/calendar-day.js';
import { type LayerOfDay, rationDrift, type RationDrift } from '../../core/laying/drift.js';
import type { OperationTenant } from '../../platform/database/types.js';
import type { AnswerOf, InputOf } from '../../platform/http/endpoint.js';
import { Problem } from '../../platform/http/problem.js';
import { type UnitSystem, formatMass } from '../../platform/wire/quantity.schema.js';
import { HerdRead } from '../../records/cattle/herds/herd.read.js';
import { FeedingRead, type LayerRow } from '../../records/feedings/feeding.read.js';
import { type HerdFacts, HerdFactsRead } from '../facts/herd-facts.js';
import { type LotFacts, LotFactsRead } from '../facts/lot-facts.js';
import { contentOf, layOut, massOfKilograms, type RationContent, type RationRow } from '../facts/ration-content.js';
import { type FedOver, fedOverDays, fedUntil } from '../facts/present-ration.js';
import { isFedOn } from '../../core/judge/days-fed-for.js';
import { PRESENT_FEEDING } from '../../core/judge/present-feeding.data.js';
import { rationInUseOn } from '../facts/ration-of-day.js';
import { weatherAnswer, weatherChoiceOf } from '../facts/weather.schema.js';
import { judgementAnswer } from '../judge/judgement.js';
import { judgeContent, judgePresent } from '../judge/ration-judge.js';
import type * as api from './ration-drift.schema.js';
import { FedDaysRead, operationOf } from './fed-days.read.js';
import { RationRead } from './ration.read.js';

type Answer = AnswerOf<typeof api.rationDriftAt>;
const DAYS_MAX = 366;

type Query = InputOf<typeof api.rationDriftAt>['query'];

/** The rations in use, as written and as their lots are now. */
interface Planned {
  layers: ReadonlyMap<string, LayerOfDay[]>;
  contents: ReadonlyMap<string, RationContent>;
  lots: ReadonlyMap<string, LotFacts>;
}

interface DayFed {
  onDay: string;
  ration: RationRow | undefined;
  fed: LayerOfDay[];
  planned: LayerOfDay[];
  blended: boolean;
  drift: RationDrift | undefined;
}

/** What the feed sheets planned and what the hands recorded, side by side. */
@Injectable()
export class RationDriftService {
  constructor(
    private readonly herds: HerdFactsRead,
    private readonly feedings: FeedingRead,
    private readonly rations: RationRead,
    private readonly lots: LotFactsRead,
    private readonly cattle: HerdRead,
    private readonly fedDays: FedDaysRead,
  ) {}

  async report(tenant: OperationTenant, { params, query }: InputOf<typeof api.rationDriftAt>): Promise<Answer> {
    if (query.until < query.from || daysBetween(query.from, query.until) >= DAYS_MAX) {
      throw new Problem('invalid-input', undefined, [
        {
          parameter: 'until',
          code: 'span-out-of-range',
          given: query.until,
          allowed: `${query.from} to ${addDays(query.from, DAYS_MAX - 1)}`,
          message: 'The span ends before it begins, or is longer than a year.',
        },
      ]);
    }

    const facts = await this.herds.one(tenant, params.herdId, query.until, weatherChoiceOf(query));
    const { herd } = facts;
    // What was laid before the span may be what they had on its first days.
    const feedings = await this.feedings.between(tenant, {
      herdIds: [herd.id],
      from: addDays(query.from, -PRESENT_FEEDING.notOlderThanDays.value),
      until: addDays(query.until, 1),
    });
    const fedLayers = await this.feedings.layersOf(
      tenant,
      feedings.map((feeding) => feeding.id),
    );
    const inUse = (await this.rations.inUseBetween(tenant, [herd.id], query.from, query.until)).get(herd.id) ?? [];
    const planned = await this.#planned(
      tenant,
      inUse,
      [...fedLayers.values(), ...(facts.fedLately?.layers.values() ?? [])].flat().map((layer) => layer.hay_lot_id),
      query,
    );
    const headOn = await this.cattle.headThrough(tenant, [herd.id], query.until);
    const over = fedOverDays(
      {
        earlier: feedings,
        layers: fedLayers,
        headOn: new Map(feedings.map(({ happened_on: day }) => [day, headOn(herd.id, day)])),
      },
      fedUntil(facts),
    );
    const days = daysOf(over, fedLayers, inUse, { ...planned, ...query });
    const asked = { herds: [facts], lots: planned.lots, tests: query.tests };
    const judgedDays = (await this.fedDays.ofLastWeek(tenant, operationOf(tenant), asked)).get(herd.id) ?? [];
    const units = query.units ?? tenant.operation.unitPreference;
    return {
      herdId: herd.id,
      herd: herd.name,
      from: query.from,
      until: query.until,
      units,
      daysNotFed: daysInUse(inUse, query.from, query.until) - days.filter((day) => day.ration !== undefined).length,
      ...driftAnswer(days, planned.lots, units),
      judged: judgedAnswer(tenant, facts, { inUse, planned, query, units, days: judgedDays }),
    };
  }

  async #planned(
    tenant: OperationTenant,
    rations: readonly RationRow[],
    fedLotIds: readonly string[],
    { until, tests }: Pick<Query, 'until' | 'tests'>,
  ): Promise<Planned> {
    const layers = await this.rations.layersOf(tenant, rations);
    const lotIds = [...new Set([...fedLotIds, ...[...layers.values()].flat().map((layer) => layer.hay_lot_id)])];
    const lots = await this.lots.named(
      tenant,
      lotIds.map((id) => ({ id, pointer: '#' })),
      until,
      tests,
    );
    const planned = new Map<string, LayerOfDay[]>();
    const contents = new Map(rations.map((one) => [one.id, contentOf(one, layers.get(one.id) ?? [])]));
    for (const [rationId, content] of contents) {
      const laid = layOut(content, lots);
      if (laid.ok)
        planned.set(
          rationId,
          laid.value.parts.map((part) => ({
            lotId: part.lotId,
            role: part.role,
            dryMatterKgPerHead: (part.asFedKgPerHead * part.facts.lot.dryMatterPercent.value) / 100,
          })),
        );
    }
    return { layers: planned, contents, lots };
  }
}

function daysOf(
  feedings: readonly FedOver[],
  layers: ReadonlyMap<string, LayerRow[]>,
  rations: readonly RationRow[],
  planned: Planned & Pick<Query, 'from' | 'until'>,
): DayFed[] {
  const span = Array.from({ length: daysBetween(planned.from, planned.until) + 1 }, (_, day) =>
    addDays(planned.from, day),
  );
  return span.flatMap((onDay): DayFed[] => {
    const ofDay = feedings.filter(({ fedFor }) => isFedOn(fedFor, onDay));
    if (ofDay.length === 0) return [];
    // Several feedings of a day are stacked in order.
    const fed = ofDay.flatMap(({ feeding, head, fedFor }) =>
      (layers.get(feeding.id) ?? []).map((layer) => ({
        lotId: layer.hay_lot_id,
        role: layer.role,
        dryMatterKgPerHead:
          (Number(layer.kilograms) * (planned.lots.get(layer.hay_lot_id)?.lot.dryMatterPercent.value ?? 0)) /
          100 /
          head /
          fedFor.days,
      })),
    );
    const ration = rationInUseOn(rations, onDay);
    const meant = ration === undefined ? [] : (planned.layers.get(ration.id) ?? []);
    return [
      {
        onDay,
        ration,
        fed,
        planned: meant,
        blended: ofDay.some(({ feeding }) => feeding.blended),
        drift: ration === undefined ? undefined : rationDrift({ planned: meant, fed }),
      },
    ];
  });
}

/** What was fed and what was planned, both judged the same way on the last day. */
function judgedAnswer(
  tenant: OperationTenant,
  facts: HerdFacts,
  {
    inUse,
    planned,
    query,
    units,
    days,
  }: {
    inUse: readonly RationRow[];
    planned: Planned;
    query: Query;
    units: UnitSystem;
    days: readonly CautionsOfDay[];
  },
): Answer['judged'] {
  const row = rationInUseOn(inUse, query.until);
  const content = row === undefined ? undefined : planned.contents.get(row.id);
  const asked = {
    ...query,
    statedWastedShare: content?.statedWastedShare ?? null,
    showCost: tenant.may('prices', tenant.operationId),
  };
  return {
    weather: weatherAnswer(facts, query.coldMethod, units),
    fed: judgementAnswer(judgePresent(facts, planned.lots, { ...asked, days }).judged, units),
    ration:
      row === undefined || content === undefined
        ? null
        : {
            rationId: row.id,
            ration: row.name,
            ...judgementAnswer(
              judgeContent(facts, content, planned.lots, { ...asked, fedAtPresent: true }).judged,
              units,
            ),
          },
  };
}

/** Mean over the days, each lot and role in order of first appearance. */
function meanOf(days: readonly LayerOfDay[][]): LayerOfDay[] {
  const sums = new Map<string, LayerOfDay>();
  for (const layer of days.flat()) {
    const key = `${layer.role} ${layer.lotId}`;
    sums.set(key, {
      ...layer,
      dryMatterKgPerHead: (sums.get(key)?.dryMatterKgPerHead ?? 0) + layer.dryMatterKgPerHead / days.length,
    });
  }
  return [...sums.values()];
}

function daysInUse(rations: readonly RationRow[], from: string, until: string): number {
  let days = 0;
  for (const ration of rations) {
    const first = (ration.in_use_from ?? from) > from ? (ration.in_use_from ?? from) : from;
    const end = ration.in_use_until !== null && ration.in_use_until <= until ? ration.in_use_until : addDays(until, 1);
    days += Math.max(0, daysBetween(first, end));
  }
  return days;
}

type DriftOfDays = Omit<Answer, 'herdId' | 'herd' | 'from' | 'until' | 'units' | 'daysNotFed' | 'judged'>;

const percent = (share: number | null): number | null => (share === null ? null : Number((share * 100).toFixed(2)));
const roundedOrNull = (value: number | null): number | null => (value === null ? null : Number(value.toFixed(2)));

function driftAnswer(days: readonly DayFed[], lots: ReadonlyMap<string, LotFacts>, units: UnitSystem): DriftOfDays {
  const compared = days.filter((day) => day.ration !== undefined);
  const whole = rationDrift({
    planned: meanOf(compared.map((day) => day.planned)),
    fed: meanOf(compared.map((day) => day.fed)),
  });
  const name = (lotId: string): string => lots.get(lotId)?.lot.lotName ?? '';
  const mass = (kilograms: number): ReturnType<typeof formatMass> =>
    formatMass(massOfKilograms(kilograms), units, 'small');
  return {
    daysFed: days.length,
    daysWithoutRation: days.length - compared.length,
    planned: mass(whole.plannedDryMatterKgPerHead),
    fed: mass(whole.fedDryMatterKgPerHead),
    difference: mass(whole.dryMatterDifferenceKgPerHead),
    differencePercent: roundedOrNull(whole.dryMatterDifferencePercent),
    misplacedSharePercent: percent(whole.misplacedShare),
    byLot: whole.byLot.map((lot) => ({ hayLotId: lot.lotId, hayLot: name(lot.lotId), ...sharesAnswer(lot) })),
    byRole: whole.byRole.map((one) => ({ role: one.role, ...sharesAnswer(one) })),
    order: orderAnswer(compared, name),
    days: days.map((day) => dayAnswer(day, mass)),
  };
}

function sharesAnswer({ plannedShare, fedShare, shareDifference }: Omit<RationDrift['byRole'][number], 'role'>) {
  return {
    plannedSharePercent: percent(plannedShare) ?? 0,
    fedSharePercent: percent(fedShare) ?? 0,
    differencePoints: percent(shareDifference) ?? 0,
  };
}

/** Feedings in which two layers were in the reverse of their planned order, and how often each pair was. */
function orderAnswer(compared: readonly DayFed[], name: (lotId: string) => string): Answer['order'] {
  const outOfOrder = compared.filter((day) => (day.drift?.outOfOrder.length ?? 0) > 0);
  const pairs = new Map<string, { plannedLower: string; plannedUpper: string; feedings: number }>();
  for (const pair of outOfOrder.flatMap((day) => day.drift?.outOfOrder ?? [])) {
    const key = `${pair.plannedLower} ${pair.plannedUpper}`;
    pairs.set(key, {
      plannedLower: name(pair.plannedLower),
      plannedUpper: name(pair.plannedUpper),
      feedings: (pairs.get(key)?.feedings ?? 0) + 1,
    });
  }
  return {
    feedingsOutOfOrder: outOfOrder.length,
    feedingsBlended: compared.filter((day) => day.blended).length,
    pairs: [...pairs.values()].sort((a, b) => b.feedings - a.feedings),
  };
}

function dayAnswer(
  { onDay, ration, fed, drift, blended }: DayFed,
  mass: (kilograms: number) => ReturnType<typeof formatMass>,
): Answer['days'][number] {
  return {
    onDay,
    ration: ration?.name ?? null,
    planned: drift === undefined ? null : mass(drift.plannedDryMatterKgPerHead),
    fed: mass(fed.reduce((sum, layer) => sum + layer.dryMatterKgPerHead, 0)),
    differencePercent: roundedOrNull(drift?.dryMatterDifferencePercent ?? null),
    misplacedSharePercent: percent(drift?.misplacedShare ?? null),
    outOfOrder: (drift?.outOfOrder.length ?? 0) > 0,
    blended,
  };
}
