import { Injectable } from '@nestjs/common';
import { addDays, daysBetween } from '../../core/time/calendar-day.js';
import { Mass } from '../../core/units/mass.js';
import type { OperationTenant } from '../../platform/database/types.js';
import { together } from '../../platform/database/together.js';
import { HerdRead, type HerdRow } from '../../records/cattle/herds/herd.read.js';
import { FeedingRead, type LayerRow } from '../../records/feedings/feeding.read.js';
import { type LotFacts, LotFactsRead } from '../facts/lot-facts.js';
import { contentOf, type LaidRation, layOut, type RationRow } from '../facts/ration-content.js';
import { RationRead } from '../rations/ration.read.js';
import type { ConfirmedFeeding, FeedingOfDay, HerdDays, RunningPlan } from './day-by-day.js';
import {
  type ConfirmationRow,
  type ConfirmedLotRow,
  FeedSheetRead,
  type StandingConfirmation,
  type StandingFeeding,
} from './feed-sheet.read.js';

/** How many days back to look at what was fed and planned. */
const DAYS_BACK = 120;
/** If a ration has been in use for longer and nothing was confirmed, counting starts over after this many days. */
const DAYS_OF_A_COUNT = 28;

/** How a ration is laid out, or why it cannot be. */
type LaidOut = { ok: true; laid: LaidRation } | { ok: false; because: string };

/** A herd with everything that its sheet for a day is based on. */
export interface HerdOfSheet {
  days: HerdDays;
  ration: RationRow | undefined;
  laidOut: LaidOut | undefined;
  /** The first confirmed sheet of the day. */
  confirmed: ConfirmationRow | undefined;
  /** All confirmed feedings of the day. */
  confirmedFeedings: ReadonlySet<string>;
  fedToday: readonly FeedingOfDay[];
}

/** The days up to one: which ration, how many head, what was fed, what was confirmed and what was reversed. */
@Injectable()
export class HerdDaysRead {
  constructor(
    private readonly rations: RationRead,
    private readonly lots: LotFactsRead,
    private readonly herds: HerdRead,
    private readonly feedings: FeedingRead,
    private readonly sheets: FeedSheetRead,
  ) {}

  async upTo(tenant: OperationTenant, herds: readonly HerdRow[], on: string): Promise<Map<string, HerdOfSheet>> {
    const ids = herds.map((herd) => herd.id);
    const from = addDays(on, -DAYS_BACK);
    const [{ rations, layers, lots }, head, { history, fed }] = await together(
      this.#rationsBetween(tenant, ids, from, on),
      this.herds.changes(tenant, ids, on),
      this.#historyOf(tenant, ids, from, on),
    );
    const laidOut = new Map(
      [...rations.values()].flat().map((row) => [row.id, laidOutOf(row, layers.get(row.id) ?? [], lots)] as const),
    );
    return new Map(
      ids.map((herdId) => {
        const own = rations.get(herdId) ?? [];
        const rationOn = (day: string): RationRow | undefined =>
          own.find((row) => (row.in_use_from ?? '') <= day && (row.in_use_until === null || row.in_use_until > day));
        const confirmed = history.confirmed.filter((row) => row.herd_id === herdId);
        const feedings = history.feedings.filter((row) => row.herd_id === herdId).map((row) => feedingOf(row, fed));
        const ofDay = confirmed.filter((row) => row.happened_on === on);
        const ration = rationOn(on);
        return [
          herdId,
          {
            ration,
            laidOut: ration === undefined ? undefined : laidOut.get(ration.id),
            confirmed: ofDay[0],
            confirmedFeedings: new Set(ofDay.map((row) => row.feeding_id)),
            fedToday: feedings.filter((one) => one.day === on),
            days: {
              confirmed: confirmed.map((row) => confirmedOf(row, history.lots.get(row.id) ?? [])),
              feedings,
              reversed: history.reversed
                .filter((row) => row.herd_id === herdId)
                .map((row) => ({ day: row.happened_on, recordedAt: row.recorded_at, reversedAt: row.reversed_at })),
              rationOn: (day) => {
                const row = rationOn(day);
                const laid = row === undefined ? undefined : laidOut.get(row.id);
                return row === undefined || laid?.ok !== true ? undefined : { row, laid: laid.laid };
              },
              headOn: (day) =>
                head.filter((one) => one.herdId === herdId && one.on <= day).reduce((sum, one) => sum + one.head, 0),
              firstDay: firstDayOf(own, from),
            },
          } satisfies HerdOfSheet,
        ] as const;
      }),
    );
  }

  async #rationsBetween(
    tenant: OperationTenant,
    herdIds: readonly string[],
    from: string,
    on: string,
  ): Promise<{
    rations: Awaited<ReturnType<RationRead['inUseBetween']>>;
    layers: Awaited<ReturnType<RationRead['layersOf']>>;
    lots: Map<string, LotFacts>;
  }> {
    const rations = await this.rations.inUseBetween(tenant, herdIds, from, on);
    const layers = await this.rations.layersOf(tenant, [...rations.values()].flat());
    const lotIds = [...new Set([...layers.values()].flat().map((layer) => layer.hay_lot_id))];
    const named = lotIds.map((id) => ({ id, pointer: '#' }));
    return { rations, layers, lots: await this.lots.named(tenant, named, on) };
  }

  async #historyOf(
    tenant: OperationTenant,
    herdIds: readonly string[],
    from: string,
    on: string,
  ): Promise<{ history: Awaited<ReturnType<FeedSheetRead['history']>>; fed: Map<string, LayerRow[]> }> {
    const history = await this.sheets.history(tenant, herdIds, from, on);
    const fed = await this.feedings.layersOf(
      tenant,
      history.feedings.map((row) => row.id),
    );
    return { history, fed };
  }
}

function laidOutOf(
  row: RationRow,
  layers: Parameters<typeof contentOf>[1],
  lots: ReadonlyMap<string, LotFacts>,
): LaidOut {
  const laid = layOut(contentOf(row, layers), lots);
  return laid.ok
    ? { ok: true, laid: laid.value }
    : { ok: false, because: laid.problems.map((one) => one.message).join(' ') };
}

function firstDayOf(rations: readonly RationRow[], from: string): string {
  const first = rations[0]?.in_use_from ?? from;
  const before = daysBetween(first, from);
  return before <= 0 ? first : addDays(first, Math.ceil(before / DAYS_OF_A_COUNT) * DAYS_OF_A_COUNT);
}

function confirmedOf(row: StandingConfirmation, lots: readonly ConfirmedLotRow[]): ConfirmedFeeding {
  const byLot = (kilograms: (lot: ConfirmedLotRow) => string): Map<string, Mass> =>
    new Map(lots.map((lot) => [lot.hay_lot_id, Mass.kilograms(kilograms(lot))]));
  return {
    confirmationId: row.id,
    feedingId: row.feeding_id,
    day: row.happened_on,
    recordedAt: row.recorded_at,
    rounding: row.bale_rounding,
    need: needKept(row),
    fed: byLot((lot) => lot.fed_kg),
    opened: new Map(lots.map((lot) => [lot.hay_lot_id, lot.bales_opened === null ? null : Number(lot.bales_opened)])),
    carriedOut: byLot((lot) => lot.carried_out_kg),
    plan: planKept(row),
  };
}

/** The plan behind a sheet; one kept before plans told what hay lies in front of the cattle is made anew. */
function planKept({ sheet }: ConfirmationRow): RunningPlan | null {
  const { plan } = sheet as { plan?: Omit<RunningPlan, 'made'> & { made: { days: readonly object[] } } };
  return plan?.made.days.every((day) => 'hayShare' in day) === true ? (plan as RunningPlan) : null;
}

/** What the sheet asked for from each lot, as kept with the confirmation. */
function needKept({ sheet }: ConfirmationRow): Map<string, Mass> {
  const kept = sheet as {
    layers?: { lines: { hayLotId: string; needKg: string }[] }[];
    freeChoice?: { hayLotId: string; needKg: string }[];
  };
  const need = new Map<string, Mass>();
  const lines = [...(kept.layers ?? []).flatMap((layer) => layer.lines), ...(kept.freeChoice ?? [])];
  for (const { hayLotId, needKg } of lines)
    need.set(hayLotId, (need.get(hayLotId) ?? Mass.zero).plus(Mass.kilograms(needKg)));
  return need;
}

function feedingOf(row: StandingFeeding, layers: ReadonlyMap<string, LayerRow[]>): FeedingOfDay {
  const fed = new Map<string, Mass>();
  for (const { hay_lot_id: lotId, kilograms } of layers.get(row.id) ?? [])
    fed.set(lotId, (fed.get(lotId) ?? Mass.zero).plus(Mass.kilograms(kilograms)));
  return {
    feedingId: row.id,
    day: row.happened_on,
    at: row.happened_at,
    by: row.entered_by,
    headFed: row.head_fed,
    fed,
    recordedAt: row.recorded_at,
  };
}
