import { Injectable } from '@nestjs/common';
import { worstFirst } from '../../core/cautions/caution.js';
import { waterCautions } from '../../core/cautions/water.js';
import type { FeedSheet } from '../../core/laying/feed-sheet.js';
import { fromBaseUnit } from '../../core/units/unit.js';
import { Mass } from '../../core/units/mass.js';
import { dayIn } from '../../platform/clock.js';
import type { OperationTenant } from '../../platform/database/types.js';
import type { AnswerOf, InputOf } from '../../platform/http/endpoint.js';
import { type UnitSystem, unitFor, formatMass } from '../../platform/wire/quantity.schema.js';
import { cautionAnswer } from '../../records/kit/caution.schema.js';
import { HerdRead, type HerdRow } from '../../records/cattle/herds/herd.read.js';
import { PlaceRead } from '../../records/yard/ranches/place.read.js';
import { RanchRead } from '../../records/yard/ranches/ranch.read.js';
import { type HerdFacts, HerdFactsRead } from '../facts/herd-facts.js';
import { type LotFacts, LotFactsRead } from '../facts/lot-facts.js';
import { WaterRead } from '../facts/water.js';
import { contentOf, layOut, massOfKilograms } from '../facts/ration-content.js';
import { RationRead } from '../rations/ration.read.js';
import { type ConfirmationRow, FeedSheetRead } from './feed-sheet.read.js';
import type * as api from './feed-sheet.schema.js';
import { type RationToday, sheetOfHerd, waterOfPlace } from './sheet-of-herd.js';

type Answer = AnswerOf<typeof api.feedSheetFor>;
type HerdAnswer = Answer['herds'][number];

/** A herd's sheet, or why there is none. */
export interface HerdSheet {
  facts: HerdFacts;
  today: RationToday | undefined;
  sheet: FeedSheet | undefined;
  nothingBecause: string | null;
  notJudgedBecause: string[];
  confirmed: ConfirmationRow | undefined;
}

/** What to lay, where, in which order: worked out afresh at each reading from the ration in use and today's head. */
@Injectable()
export class FeedSheetService {
  constructor(
    private readonly places: PlaceRead,
    private readonly ranches: RanchRead,
    private readonly herds: HerdRead,
    private readonly herdFacts: HerdFactsRead,
    private readonly lots: LotFactsRead,
    private readonly rations: RationRead,
    private readonly water: WaterRead,
    private readonly sheets: FeedSheetRead,
  ) {}

  async get(tenant: OperationTenant, { params, query }: InputOf<typeof api.feedSheetFor>): Promise<Answer> {
    const place = await this.places.one(tenant, params.placeId);
    const ranch = await this.ranches.one(tenant, place.ranch_id);
    const on = query.on ?? dayIn(ranch.time_zone, tenant.moment);
    const units = query.units ?? tenant.operation.unitPreference;
    const here = (await this.herds.all(tenant)).filter((herd) => herd.place_id === place.id);
    const sheets = (await this.sheetsOf(tenant, here, on, place.name)).filter(({ facts }) => facts.head > 0);
    const sources = (await this.water.of(tenant, [place.id], on)).get(place.id) ?? [];
    const lying = await this.#placesOfLots(tenant, sheets);
    const needs = sheets.flatMap(({ sheet }) => sheet?.waterNeedLPerDay ?? []);
    const need = needs.length === 0 ? null : needs.reduce((sum, one) => sum + one, 0);
    return {
      placeId: place.id,
      place: place.name,
      ranch: ranch.name,
      onDay: on,
      units,
      herds: sheets.map((one) => herdSheetAnswer(one, lying, units)),
      toBring: toBring(sheets, lying, units),
      water: {
        need: need === null ? null : water(need, units),
        needUnknownFor: sheets
          .filter(({ sheet }) => (sheet?.waterNeedLPerDay ?? null) === null)
          .map(({ facts }) => facts.herd.name),
        cautions: worstFirst(
          waterOfPlace(
            sources,
            sheets.map(({ facts }) => facts),
            need,
            units === 'us' ? 'gal' : 'L',
          ).flatMap((source) => waterCautions(source)),
        ).map(cautionAnswer),
        sources: sources.flatMap(({ name, state, checkedOn, supplyLPerDay }) =>
          state === null || checkedOn === null
            ? []
            : [
                {
                  source: name,
                  state,
                  checkedOn,
                  givesADay: supplyLPerDay === null ? null : water(supplyLPerDay, units),
                },
              ],
        ),
      },
      madeAt: tenant.moment.toISOString(),
      madeAtRanch: clockIn(ranch.time_zone, tenant.moment),
    };
  }

  /** The sheets of herds on a day, each worked out from what was gathered once for all of them. */
  async sheetsOf(
    tenant: OperationTenant,
    herds: readonly HerdRow[],
    on: string,
    placeName: string,
  ): Promise<HerdSheet[]> {
    const facts = sharingTheBunk(await this.herdFacts.of(tenant, herds, on));
    const inUse = await this.rations.inUseOn(
      tenant,
      herds.map((herd) => herd.id),
      on,
    );
    const layers = await this.rations.layersOf(tenant, [...inUse.values()]);
    const lotIds = [...new Set([...layers.values()].flat().map((layer) => layer.hay_lot_id))];
    const lots = await this.lots.named(
      tenant,
      lotIds.map((id) => ({ id, pointer: '#' })),
      on,
    );
    const { confirmed, carriedIn } = await this.sheets.around(
      tenant,
      herds.map((herd) => herd.id),
      on,
    );
    // Herds that eat from one lot: the next finds there what those before it leave.
    const taken = new Map<string, Mass>();
    return facts.map((herd): HerdSheet => {
      const base = { facts: herd, confirmed: confirmed.get(herd.herd.id), notJudgedBecause: [] };
      const row = inUse.get(herd.herd.id);
      if (row === undefined)
        return {
          ...base,
          today: undefined,
          sheet: undefined,
          nothingBecause: `No ration is in use for this herd on ${on}. Ask the manager.`,
        };
      const laid = layOut(contentOf(row, layers.get(row.id) ?? []), lots);
      if (!laid.ok)
        return {
          ...base,
          today: undefined,
          sheet: undefined,
          nothingBecause: laid.problems.map((one) => one.message).join(' '),
        };
      if (herd.head < 1)
        return { ...base, today: undefined, sheet: undefined, nothingBecause: `The herd has no head on ${on}.` };
      // On a sheet that was fed already, its own draw must not make the lot look short.
      const left = ({ balance, lot }: LotFacts): Mass =>
        base.confirmed === undefined
          ? notBelowZero(balance.minus(taken.get(lot.lotId) ?? Mass.zero))
          : balance.plus(drawnBy(base.confirmed, lot.lotId));
      const known = {
        ...laid.value,
        parts: laid.value.parts.map((part) => ({ ...part, facts: { ...part.facts, balance: left(part.facts) } })),
      };
      const over = carriedIn.get(herd.herd.id);
      const today: RationToday = {
        row,
        laid: known,
        carriedIn: over?.rounding === row.bale_rounding ? over.lots : new Map<string, Mass>(),
      };
      const made = sheetOfHerd(herd, today, placeName);
      if (base.confirmed === undefined)
        for (const line of made.sheet.layers.flatMap((layer) => layer.lines))
          taken.set(line.lotId, (taken.get(line.lotId) ?? Mass.zero).plus(line.fed));
      return { ...base, today, ...made, nothingBecause: null };
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

/** What a confirmed sheet took of a lot, as the sheet it was confirmed from had kept it. */
function drawnBy(confirmed: ConfirmationRow, lotId: string): Mass {
  const kept = confirmed.sheet as { fedKg?: Record<string, string> };
  return Mass.kilograms(kept.fedKg?.[lotId] ?? '0');
}

function water(litres: number, units: UnitSystem): { value: number; unit: 'gal' | 'L' } {
  return units === 'us'
    ? { value: Math.round(fromBaseUnit(litres, 'gal')), unit: 'gal' }
    : { value: Math.round(litres), unit: 'L' };
}

/** Nobody forks tenths: what goes out is told in whole pounds or kilograms. */
export function wholeUnits(mass: Mass, units: UnitSystem): { value: string; unit: ReturnType<typeof unitFor> } {
  const unit = unitFor(units, 'small');
  return { value: mass.in(unit).toDecimalPlaces(0).toFixed(), unit };
}

/** Herds at one place stand at one bunk: each has its part of the length, by its head. */
function sharingTheBunk(facts: readonly HerdFacts[]): HerdFacts[] {
  return facts.map((one) => {
    const { feedingLengthM } = one.space;
    if (feedingLengthM === null || one.herd.place_id === null) return one;
    const all = facts
      .filter(({ herd }) => herd.place_id === one.herd.place_id)
      .reduce((sum, { head }) => sum + head, 0);
    return all === 0 ? one : { ...one, space: { ...one.space, feedingLengthM: (feedingLengthM * one.head) / all } };
  });
}

function notBelowZero(mass: Mass): Mass {
  return mass.isNegative() ? Mass.zero : mass;
}

/** A day and time as the clock at the ranch shows it. */
function clockIn(timeZone: string, moment: Date): string {
  const clock = new Intl.DateTimeFormat('en-GB', { timeZone, hour: '2-digit', minute: '2-digit', hourCycle: 'h23' });
  return `${dayIn(timeZone, moment)} ${clock.format(moment)}`;
}

/**
 * What to load for a place where several herds stand: of each lot the sum, and how many bales would do if they ate from
 * the same open one.
 */
function toBring(
  sheets: readonly HerdSheet[],
  lying: ReadonlyMap<string, string>,
  units: UnitSystem,
): Answer['toBring'] {
  const open = sheets.filter(({ sheet, confirmed }) => sheet !== undefined && confirmed === undefined);
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
    // A herd's leftover counts once, however many layers it is laid into.
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
      lay: wholeUnits(fed, units),
      open: baled ? own.reduce((sum, { line }) => sum + (line.bales?.bales ?? 0), 0) : null,
      openIfShared: baled ? shared : null,
    };
  });
}

function herdSheetAnswer(
  { facts, today, sheet, nothingBecause, notJudgedBecause, confirmed }: HerdSheet,
  lying: ReadonlyMap<string, string>,
  units: UnitSystem,
): HerdAnswer {
  const base = {
    herdId: facts.herd.id,
    herd: facts.herd.name,
    head: facts.head,
    nothingBecause,
    notJudgedBecause,
    confirmation: confirmed === undefined ? null : { id: confirmed.id, feedingId: confirmed.feeding_id },
  };
  if (today === undefined || sheet === undefined)
    return {
      ...base,
      ration: null,
      layers: [],
      total: null,
      perHead: null,
      dryMatterPerHead: null,
      leftovers: [],
      shortLots: [],
      likelyEatenFirst: [],
      water: null,
      cautions: [],
    };
  const small = (mass: Mass): ReturnType<typeof formatMass> => formatMass(mass, units, 'small');
  return {
    ...base,
    ration: { id: today.row.id, name: today.row.name },
    layers: sheet.layers.map((layer) => layerAnswer(layer, today, lying, units)),
    total: wholeUnits(sheet.totalFed, units),
    perHead: small(sheet.totalFed.dividedBy(sheet.head)),
    dryMatterPerHead: small(massOfKilograms(sheet.dryMatterKgPerHead)),
    leftovers: sheet.leftovers.map((one) => ({
      hayLotId: one.lotId,
      hayLot: one.lotName,
      carriedOut: wholeUnits(one.carriedOut, units),
    })),
    shortLots: sheet.shortLots.map((one) => ({
      hayLotId: one.lotId,
      hayLot: one.lotName,
      shortBy: wholeUnits(one.shortBy, units),
    })),
    likelyEatenFirst: [...sheet.likelyEatenFirst],
    water: sheet.waterNeedLPerDay === null ? null : water(sheet.waterNeedLPerDay, units),
    cautions: sheet.cautions.map(cautionAnswer),
  };
}

type Layer = NonNullable<HerdSheet['sheet']>['layers'][number];

function layerAnswer(
  layer: Layer,
  { laid }: NonNullable<HerdSheet['today']>,
  lying: ReadonlyMap<string, string>,
  units: UnitSystem,
): HerdAnswer['layers'][number] {
  const baleWeight = new Map(laid.parts.map((part) => [part.lotId, part.facts.baleWeight]));
  return {
    step: layer.buildStep,
    role: layer.role,
    lay: wholeUnits(layer.fed, units),
    dryMatterSharePercent: Number((layer.shareOfDryMatter * 100).toFixed(2)),
    lines: layer.lines.map((line) => ({
      hayLotId: line.lotId,
      hayLot: line.lotName,
      liesAt: lying.get(line.lotId) ?? null,
      need: formatMass(line.need, units, 'small'),
      lay: wholeUnits(line.fed, units),
      bales:
        line.bales === null
          ? null
          : {
              open: line.bales.bales,
              weight: formatMass(baleWeight.get(line.lotId) ?? Mass.zero, units, 'small'),
              carriedIn: wholeUnits(line.bales.carriedIn, units),
              carriedOut: wholeUnits(line.bales.carriedOut, units),
            },
    })),
  };
}
