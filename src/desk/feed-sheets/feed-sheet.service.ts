import { Injectable } from '@nestjs/common';
import { worstFirst } from '../../core/cautions/caution.js';
import { waterCautions } from '../../core/cautions/water.js';
import type { FeedSheet } from '../../core/laying/feed-sheet.js';
import { Mass } from '../../core/units/mass.js';
import { dayIn } from '../../platform/clock.js';
import type { OperationTenant } from '../../platform/database/types.js';
import { together } from '../../platform/database/together.js';
import type { AnswerOf, InputOf } from '../../platform/http/endpoint.js';
import type { UnitSystem } from '../../platform/wire/quantity.schema.js';
import { cautionAnswer } from '../../records/kit/caution.schema.js';
import { HerdRead, type HerdRow } from '../../records/cattle/herds/herd.read.js';
import { HerdStateRead } from '../../records/cattle/standing/herd-state.read.js';
import { PlaceRead } from '../../records/yard/ranches/place.read.js';
import { RanchRead } from '../../records/yard/ranches/ranch.read.js';
import { type HerdFacts, HerdFactsRead } from '../facts/herd-facts.js';
import type { LotFacts } from '../facts/lot-facts.js';
import type { LaidRation, RationRow } from '../facts/ration-content.js';
import { WaterRead } from '../facts/water.js';
import { carriedByPlan, carriedInto, type FeedingOfDay, type HerdDays, type Morning, planFor } from './day-by-day.js';
import type { ConfirmationRow } from './feed-sheet.read.js';
import type * as api from './feed-sheet.schema.js';
import { clockIn, herdSheetAnswer, laidOut, waterAnswer } from './herd-sheet.wire.js';
import { HerdDaysRead, type HerdOfSheet } from './herd-days.read.js';
import { type RationToday, sheetOfHerd, waterOfPlace } from './sheet-of-herd.js';

type Answer = AnswerOf<typeof api.feedSheetFor>;

/** A feeding on the sheet's day that was not reversed. */
export interface FedToday {
  feeding: FeedingOfDay;
  fromASheet: boolean;
}

/** A herd's sheet, or why there is none. */
export interface HerdSheet {
  facts: HerdFacts;
  today: RationToday | undefined;
  sheet: FeedSheet | undefined;
  /** What the day started with, and the days before it. */
  morning: Morning | undefined;
  days: HerdDays | undefined;
  fedToday: readonly FedToday[];
  nothingBecause: string | null;
  notJudgedBecause: string[];
  confirmed: ConfirmationRow | undefined;
}

/** What to lay, where and in which order: computed at each request from the ration in use and the day's head. */
@Injectable()
export class FeedSheetService {
  constructor(
    private readonly places: PlaceRead,
    private readonly ranches: RanchRead,
    private readonly herds: HerdRead,
    private readonly states: HerdStateRead,
    private readonly herdFacts: HerdFactsRead,
    private readonly herdDays: HerdDaysRead,
    private readonly water: WaterRead,
  ) {}

  async get(tenant: OperationTenant, { params, query }: InputOf<typeof api.feedSheetFor>): Promise<Answer> {
    const [place, ranches, herds] = await together(
      this.places.one(tenant, params.placeId),
      this.ranches.all(tenant),
      this.herds.all(tenant),
    );
    const ranch = ranches.find((one) => one.id === place.ranch_id) ?? (await this.ranches.one(tenant, place.ranch_id));
    const on = query.on ?? dayIn(ranch.time_zone, tenant.moment);
    const units = query.units ?? tenant.operation.unitPreference;
    const [here, water] = await together(
      this.#herdsAt(tenant, herds, place.id, on),
      this.water.of(tenant, [place.id], on),
    );
    const sheets = (await this.sheetsOf(tenant, here, on, place.name)).filter(({ facts }) => facts.head > 0);
    const sources = water.get(place.id) ?? [];
    const lying = await this.#placesOfLots(tenant, sheets);
    const needs = sheets.flatMap(({ sheet }) => sheet?.waterNeedLPerDay ?? []);
    const need = needs.length === 0 ? null : needs.reduce((sum, one) => sum + one, 0);
    return {
      placeId: place.id,
      place: place.name,
      ranch: ranch.name,
      onDay: on,
      units,
      herds: sheets.map((one) => herdSheetAnswer(one, { lying, units, on, timeZone: ranch.time_zone })),
      toBring: toBring(sheets, lying, units),
      water: {
        need: need === null ? null : waterAnswer(need, units),
        needUnknownFor: sheets
          .filter(({ sheet }) => (sheet?.waterNeedLPerDay ?? null) === null)
          .map(({ facts }) => facts.herd.name),
        cautions: worstFirst(
          waterOfPlace(
            sources,
            sheets.map(({ facts }) => facts),
            need,
          ).flatMap((source) => waterCautions(source)),
        ).map((one) => cautionAnswer(one, units)),
        sources: sources.flatMap(({ name, state, checkedOn, supplyLPerDay }) =>
          state === null || checkedOn === null
            ? []
            : [
                {
                  source: name,
                  state,
                  checkedOn,
                  givesADay: supplyLPerDay === null ? null : waterAnswer(supplyLPerDay, units),
                },
              ],
        ),
      },
      madeAt: tenant.moment.toISOString(),
      madeAtRanch: clockIn(ranch.time_zone, tenant.moment),
    };
  }

  async #herdsAt(tenant: OperationTenant, herds: readonly HerdRow[], placeId: string, on: string): Promise<HerdRow[]> {
    const places = await this.states.placesOn(
      tenant,
      herds.map((herd) => herd.id),
      on,
    );
    return herds.filter((herd) => places.get(herd.id) === placeId);
  }

  /** The sheets of herds on a day, computed from facts gathered once for all of them. */
  async sheetsOf(
    tenant: OperationTenant,
    herds: readonly HerdRow[],
    on: string,
    placeName: string,
  ): Promise<HerdSheet[]> {
    const [apart, known] = await together(this.herdFacts.of(tenant, herds, on), this.herdDays.upTo(tenant, herds, on));
    const facts = sharingTheBunk(apart);
    // Herds that eat from one lot: each finds what the ones before it leave.
    const taken = new Map<string, Mass>();
    return facts.map((herd): HerdSheet => {
      const of = known.get(herd.herd.id);
      const base = {
        facts: herd,
        confirmed: of?.confirmed,
        fedToday: fedTodayOf(of),
        notJudgedBecause: [],
      };
      const none = { ...base, today: undefined, sheet: undefined, morning: undefined, days: undefined };
      if (of?.ration === undefined)
        return { ...none, nothingBecause: `No ration is in use for this herd on ${on}. Ask the manager.` };
      if (of.laidOut?.ok !== true) return { ...none, nothingBecause: of.laidOut?.because ?? '' };
      if (herd.head < 1) return { ...none, nothingBecause: `The herd has no head on ${on}.` };
      const morning = carriedInto(on, of.days);
      const today = rationToday({ row: of.ration, laid: of.laidOut.laid }, { on, of, morning }, taken);
      const made = sheetOfHerd(herd, today, placeName);
      if (!isFed(base))
        for (const line of made.sheet.layers.flatMap((layer) => layer.lines))
          taken.set(line.lotId, (taken.get(line.lotId) ?? Mass.zero).plus(line.fed));
      return { ...base, today, morning, days: of.days, ...made, nothingBecause: null };
    });
  }

  async #placesOfLots(tenant: OperationTenant, sheets: readonly HerdSheet[]): Promise<Map<string, string>> {
    const lots = sheets.flatMap(({ today }) => today?.laid.parts.map((part) => part.facts.row) ?? []);
    const places = await this.places.byId(tenant, [...new Set(lots.flatMap((lot) => lot.place_id ?? []))]);
    return new Map(
      lots.flatMap((lot) => {
        const place = places.get(lot.place_id ?? '');
        return place === undefined ? [] : [[lot.id, place.name] as const];
      }),
    );
  }
}

/** The day's ration with its starting point and what is left in its lots. */
function rationToday(
  { row, laid }: { row: RationRow; laid: LaidRation },
  { on, of, morning }: { on: string; of: HerdOfSheet; morning: Morning },
  taken: ReadonlyMap<string, Mass>,
): RationToday {
  // On a sheet that was fed already, its own draw must not make the lot look short.
  const left = ({ balance, lot }: LotFacts): Mass =>
    of.confirmed === undefined
      ? notBelowZero(balance.minus(taken.get(lot.lotId) ?? Mass.zero))
      : balance.plus(drawnBy(of.confirmed, lot.lotId));
  const plan = planFor(on, morning, of.days);
  const carried = morning.rounding === row.bale_rounding ? morning.carried : new Map<string, Mass>();
  return {
    row,
    laid: {
      ...laid,
      parts: laid.parts.map((part) => ({ ...part, facts: { ...part.facts, balance: left(part.facts) } })),
    },
    carriedIn: plan === null ? carried : carriedByPlan(plan),
    plan,
  };
}

function fedTodayOf(of: HerdOfSheet | undefined): FedToday[] {
  return (of?.fedToday ?? []).map((feeding) => ({
    feeding,
    fromASheet: of?.confirmedFeedings.has(feeding.feedingId) === true,
  }));
}

/** Already fed, from its sheet or without it: nothing more to load for it. */
function isFed({ confirmed, fedToday }: Pick<HerdSheet, 'confirmed' | 'fedToday'>): boolean {
  return confirmed !== undefined || fedToday.length > 0;
}

/** What a confirmed sheet took from a lot, as kept when it was confirmed. */
function drawnBy(confirmed: ConfirmationRow, lotId: string): Mass {
  const kept = confirmed.sheet as { fedKg?: Record<string, string> };
  return Mass.kilograms(kept.fedKg?.[lotId] ?? '0');
}

/** Herds at one place share one bunk: each gets its part of the length, by head. */
function sharingTheBunk(facts: readonly HerdFacts[]): HerdFacts[] {
  return facts.map((one) => {
    const { feedingLengthM } = one.space;
    const { placeId } = one.standing.state;
    if (feedingLengthM === null || placeId === null) return one;
    const all = facts
      .filter(({ standing }) => standing.state.placeId === placeId)
      .reduce((sum, { head }) => sum + head, 0);
    return all === 0 ? one : { ...one, space: { ...one.space, feedingLengthM: (feedingLengthM * one.head) / all } };
  });
}

function notBelowZero(mass: Mass): Mass {
  return mass.isNegative() ? Mass.zero : mass;
}

/**
 * What to load for a place with several herds: the sum of each lot, and how many bales would do if they shared an open
 * one.
 */
function toBring(
  sheets: readonly HerdSheet[],
  lying: ReadonlyMap<string, string>,
  units: UnitSystem,
): Answer['toBring'] {
  const open = sheets.filter((one) => one.sheet !== undefined && !isFed(one));
  if (open.length < 2) return [];
  const lines = open.flatMap(({ sheet, today }) =>
    (sheet?.layers.flatMap((layer) => layer.lines) ?? []).map((line) => ({
      line,
      baleWeight: today?.laid.parts.find((part) => part.lotId === line.lotId)?.facts.baleWeight ?? null,
      herdId: today?.row.herd_id,
    })),
  );
  return [...new Set(lines.map(({ line }) => line.lotId))].map((lotId) => {
    const own = lines.filter(({ line }) => line.lotId === lotId);
    const fed = Mass.sum(own.map(({ line }) => line.fed));
    const baled = own.every(({ line }) => line.bales !== null);
    const baleWeight = own[0]?.baleWeight ?? null;
    // A herd's leftover counts once, however many layers it goes into.
    const over = Mass.sum([
      ...new Map(
        own.map(({ line, herdId }) => [herdId, line.bales?.carriedIn ?? Mass.zero] as const).reverse(),
      ).values(),
    ]);
    const shared =
      baleWeight === null || own.some(({ line }) => line.bales?.rounding !== 'open-enough')
        ? null
        : Math.max(0, fed.minus(over).ratioTo(baleWeight).ceil().toNumber());
    return {
      hayLotId: lotId,
      hayLot: own[0]?.line.lotName ?? '',
      liesAt: lying.get(lotId) ?? null,
      lay: laidOut(fed, units),
      open: baled ? own.reduce((sum, { line }) => sum + (line.bales?.bales ?? 0), 0) : null,
      openIfShared: baled ? shared : null,
    };
  });
}
