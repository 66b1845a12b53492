import { counted } from '../../core/units/counted.js';
import { Injectable } from '@nestjs/common';
import { planWholeBales } from '../../core/laying/whole-bales.js';
import { decimal } from '../../core/units/decimal.js';
import { KILOGRAM_PLACES, Mass } from '../../core/units/mass.js';
import { problemOfDatabaseError } from '../../platform/database/database-errors.js';
import type { OperationTenant } from '../../platform/database/types.js';
import { pageOf } from '../../platform/http/cursor.js';
import type { AnswerOf, InputOf } from '../../platform/http/endpoint.js';
import { Problem, ruleBroken } from '../../platform/http/problem.js';
import { type UnitSystem, formatMass } from '../../platform/wire/quantity.schema.js';
import type { createFeeding } from '../../records/feedings/feeding.schema.js';
import { FeedingRead, type LayerRow } from '../../records/feedings/feeding.read.js';
import { FeedingService } from '../../records/feedings/feeding.service.js';
import { HayLotRead } from '../../records/hay/lots/hay-lot.read.js';
import { cautionAnswer } from '../../records/kit/caution.schema.js';
import { HerdRead } from '../../records/cattle/herds/herd.read.js';
import { PlaceRead } from '../../records/yard/ranches/place.read.js';
import { RanchRead } from '../../records/yard/ranches/ranch.read.js';
import type { ReversalRow } from '../../records/kit/reversal.read.js';
import { Reversals } from '../../records/kit/reversal.store.js';
import { reversalAnswer } from '../../records/kit/reversal.schema.js';
import { massOfKilograms } from '../facts/ration-content.js';
import { FedDaysRead } from '../rations/fed-days.read.js';
import { type ConfirmationRow, type ConfirmedLotRow, FeedSheetRead } from './feed-sheet.read.js';
import type * as api from './feed-sheet.schema.js';
import { FeedSheetService, type HerdSheet } from './feed-sheet.service.js';
import { clockIn, laidOut } from './herd-sheet.wire.js';
import { aheadOrBehind, endOfFedDay } from './day-by-day.js';
import { FeedSheetStore, type NewConfirmedLot } from './feed-sheet.store.js';

type Answer = AnswerOf<typeof api.getFeedSheetConfirmation>;
type Listed = AnswerOf<typeof api.listFeedSheetConfirmations>['items'][number];
type Body = InputOf<typeof api.confirmFeedSheet>['body'];
type FeedingBody = InputOf<typeof createFeeding>['body'];
type Part = FeedingBody['layers'][number]['parts'][number];

/** Turns a sheet into a feeding in one call: as printed, or with what was different. */
@Injectable()
export class FeedSheetConfirmationService {
  constructor(
    private readonly herds: HerdRead,
    private readonly lots: HayLotRead,
    private readonly ranches: RanchRead,
    private readonly places: PlaceRead,
    private readonly feedingRead: FeedingRead,
    private readonly feedings: FeedingService,
    private readonly sheets: FeedSheetService,
    private readonly read: FeedSheetRead,
    private readonly store: FeedSheetStore,
    private readonly reversals: Reversals,
    private readonly days: FedDaysRead,
  ) {}

  async confirm(tenant: OperationTenant, { query, body }: InputOf<typeof api.confirmFeedSheet>): Promise<Answer> {
    const herd = await this.herds.one(tenant, body.herdId);
    const [made] = await this.sheets.sheetsOf(tenant, [herd], body.fedOn, '');
    if (made?.sheet === undefined || made.today === undefined)
      throw ruleBroken(
        '#/herdId',
        'no-sheet',
        body.herdId,
        'a herd with cattle and a ration in use on that day',
        made?.nothingBecause ?? 'There is no sheet to confirm.',
      );
    const units = query.units ?? tenant.operation.unitPreference;
    const again = made.fedToday.length > 0;
    if (again && !body.additional)
      throw fedAlready(made, body.fedOn, await this.ranches.timeZone(tenant, herd.ranch_id), units);
    refuseBalesThatAreNotThere(made, body);
    const layers = layersFed(made, body, tenant.operation.unitPreference);
    if (layers.length === 0) throw nothingFed(made.sheet.totalFed.isZero());
    const { row: feeding } = await this.feedings
      .write(tenant, {
        herdId: herd.id,
        fedOn: body.fedOn,
        fedAt: body.fedAt,
        headFed: body.headFed ?? made.facts.head,
        method: body.method ?? (await this.#usualMethod(tenant, made)),
        weather: body.weather,
        blended: body.blended,
        layers,
        refused: body.refused,
        wasted: body.wasted,
        note: body.note,
      })
      .catch((error: unknown) => {
        throw inThisBody(error);
      });
    const fed = fedByLot((await this.feedingRead.layersOf(tenant, [feeding.id])).get(feeding.id) ?? []);
    const { row, lots } = await this.store.insert(
      tenant,
      {
        herd_id: herd.id,
        ration_id: made.today.row.id,
        feeding_id: feeding.id,
        place_id: made.facts.standing.state.placeId,
        happened_on: body.fedOn,
        additional: again,
        sheet: JSON.stringify({
          ...keptSheet(made, body),
          fedKg: Object.fromEntries([...fed].map(([lotId, mass]) => [lotId, mass.kilograms.toFixed()])),
        }),
      },
      carriedOn(made, body, fed),
    );
    await tenant.audit({
      action: 'feed-sheet.confirm',
      subjectKind: 'feed-sheet-confirmation',
      subjectId: row.id,
      after: { ...row, lots },
    });
    return this.#judged(tenant, row, units);
  }

  /** As the herd was last fed forage, or else as cattle at such a place are. */
  async #usualMethod(tenant: OperationTenant, { facts }: HerdSheet): Promise<FeedingBody['method']> {
    const last = await this.feedingRead.lastMethod(tenant, facts.herd.id, facts.on);
    if (last !== undefined) return last;
    const { placeId } = facts.standing.state;
    if (placeId === null) return 'bunk';
    return (await this.places.one(tenant, placeId)).kind === 'pasture' ? 'windrow-on-ground' : 'bunk';
  }

  async list(
    tenant: OperationTenant,
    { query }: InputOf<typeof api.listFeedSheetConfirmations>,
  ): Promise<AnswerOf<typeof api.listFeedSheetConfirmations>> {
    const rows = await this.read.page(tenant, query);
    const write = await this.#writer(tenant, rows, query.units ?? tenant.operation.unitPreference);
    return pageOf(rows, query.limit, write, (row) => [row.happened_on, row.id]);
  }

  async get(tenant: OperationTenant, { params, query }: InputOf<typeof api.getFeedSheetConfirmation>): Promise<Answer> {
    const row = await this.read.one(tenant, params.confirmationId);
    return this.#judged(tenant, row, query.units ?? tenant.operation.unitPreference);
  }

  /** A single one shows its cautions too: its day is judged again, with everything known about it. */
  async #judged(tenant: OperationTenant, row: ConfirmationRow, units: UnitSystem): Promise<Answer> {
    const listed = (await this.#writer(tenant, [row], units))(row);
    const judged = listed.reversal === null ? await this.days.ofHerd(tenant, row.herd_id, row.happened_on) : [];
    return { ...listed, cautions: judged.map((one) => cautionAnswer(one, units)) };
  }

  async #writer(
    tenant: OperationTenant,
    rows: readonly ConfirmationRow[],
    units: UnitSystem,
  ): Promise<(row: ConfirmationRow) => Listed> {
    const lots = await this.read.lotsOf(
      tenant,
      rows.map((row) => row.id),
    );
    const ids = [...new Set([...lots.values()].flat().map((lot) => lot.hay_lot_id))];
    const named = await this.lots.named(
      tenant,
      ids.map((id) => ({ id, pointer: '#' })),
    );
    const reversals = await this.reversals.of(
      tenant,
      rows.map((row) => row.feeding_id),
    );
    return (row) =>
      listedAnswer(
        row,
        lots.get(row.id) ?? [],
        { nameOf: (id) => named.get(id)?.name ?? '', reversal: reversals.get(row.feeding_id) },
        units,
      );
  }
}

/** The layers as laid: the sheet's own, except where the body says otherwise. */
function layersFed({ sheet, today }: HerdSheet, { differences }: Body, units: UnitSystem): FeedingBody['layers'] {
  if (sheet === undefined) return [];
  const steps = sheet.layers.length;
  const wrong = differences.findIndex((one) => one.step > steps);
  if (wrong >= 0)
    throw ruleBroken(
      `#/differences/${wrong}/step`,
      'no-such-step',
      differences[wrong]?.step,
      `1 to ${steps}`,
      `The sheet has ${steps} steps.`,
    );
  const twice = differences.findIndex(
    (one, index) =>
      differences.findIndex((other) => other.step === one.step && other.hayLotId === one.hayLotId) !== index,
  );
  if (twice >= 0)
    throw ruleBroken(
      `#/differences/${twice}`,
      'said-twice',
      differences[twice]?.hayLotId,
      'one entry for each step and lot',
      'The same lot is given twice for one step.',
    );
  const wholeBales = today?.row.bale_rounding === 'nearest-whole';
  const laid = sheet.layers.flatMap((layer) => {
    const said = differences.filter((one) => one.step === layer.buildStep);
    const own = layer.lines
      .filter((line) => !said.some((one) => one.hayLotId === line.lotId))
      .flatMap((line): Part[] => {
        if (!line.fed.isPositive()) return [];
        if (wholeBales && line.bales !== null)
          return [{ hayLotId: line.lotId, bales: String(line.bales.bales), freeChoice: false }];
        const weight = laidOut(line.fed, units);
        return weight.value === '0' ? [] : [{ hayLotId: line.lotId, weight, freeChoice: false }];
      });
    const other = said.flatMap((one): Part[] => {
      if ('bales' in one)
        return Number(one.bales) > 0 ? [{ hayLotId: one.hayLotId, bales: one.bales, freeChoice: false }] : [];
      return decimal(one.weight.value).gt(0) ? [{ hayLotId: one.hayLotId, weight: one.weight, freeChoice: false }] : [];
    });
    const parts = [...own, ...other];
    return parts.length === 0 ? [] : [{ role: layer.role, parts }];
  });
  return laid.length === 0 ? [] : [...laid, ...freeChoiceEaten(today, sheet.head)];
}

/** Free-choice feed is drawn by its stated intake; a later count corrects the difference. */
function freeChoiceEaten(today: HerdSheet['today'], head: number): FeedingBody['layers'] {
  return (today?.laid.parts ?? []).flatMap(({ freeChoice, weight, role, lotId }) =>
    freeChoice && weight !== null
      ? [
          {
            role,
            parts: [
              {
                hayLotId: lotId,
                weight: { value: decimal(weight.value).times(head).toFixed(), unit: weight.unit },
                freeChoice,
              },
            ],
          },
        ]
      : [],
  );
}

/** @throws Problem where more bales are entered as opened than the lot holds, a partly used bale counting as one. */
function refuseBalesThatAreNotThere({ today }: HerdSheet, { balesOpened }: Body): void {
  const lots = new Map((today?.laid.parts ?? []).map((part) => [part.lotId, part.facts]));
  for (const [index, { hayLotId, bales }] of balesOpened.entries()) {
    const lot = lots.get(hayLotId);
    const pointer = `#/balesOpened/${index}`;
    if (lot === undefined)
      throw ruleBroken(
        `${pointer}/hayLotId`,
        'not-on-the-sheet',
        hayLotId,
        'a lot of the sheet',
        'Bales are opened from the lots of the sheet; give another lot with its bales as a difference.',
      );
    if (lot.baleWeight === null) continue;
    const held = notBelowZero(lot.balance).ratioTo(lot.baleWeight).ceil();
    if (held.lt(bales))
      throw ruleBroken(
        `${pointer}/bales`,
        'more-bales-than-there-are',
        bales,
        `${held.toFixed()} or fewer`,
        `${lot.lot.lotName} holds ${counted(held.toNumber(), 'bale')} by the books; count the lot first if ` +
          'there are more.',
      );
  }
}

function notBelowZero(mass: Mass): Mass {
  return mass.isNegative() ? Mass.zero : mass;
}

/** Problems that the feeding finds in its layers are reported about the sheet: this body has no layers of its own. */
function inThisBody(error: unknown): unknown {
  const problem = error instanceof Problem ? error : problemOfDatabaseError(error);
  if (problem === undefined) return error;
  return new Problem(
    problem.code,
    problem.detail,
    problem.errors.map((one) =>
      one.pointer?.startsWith('#/layers') === true ? { ...one, pointer: '#/differences' } : one,
    ),
  );
}

function fedByLot(layers: readonly Pick<LayerRow, 'hay_lot_id' | 'kilograms'>[]): Map<string, Mass> {
  const fed = new Map<string, Mass>();
  for (const layer of layers)
    fed.set(layer.hay_lot_id, (fed.get(layer.hay_lot_id) ?? Mass.zero).plus(Mass.kilograms(layer.kilograms)));
  return fed;
}

function nothingFed(nothingPlanned: boolean): Problem {
  return ruleBroken(
    '#/differences',
    'nothing-fed',
    null,
    'at least one lot with more than 0',
    nothingPlanned
      ? 'The plan of whole bales lays nothing on this day, so there is nothing to confirm.'
      : 'Nothing of the sheet was fed, so there is nothing to confirm.',
  );
}

/** Why a sheet is not confirmed on a day when the herd was already fed: by whom, when and how much. */
function fedAlready({ fedToday, confirmed }: HerdSheet, on: string, timeZone: string, units: UnitSystem): Problem {
  const fed = fedToday.map(({ feeding, fromASheet }) => {
    const { value, unit } = laidOut(Mass.sum(feeding.fed.values()), units);
    const at = feeding.at === null ? '' : ` at ${clockIn(timeZone, new Date(feeding.at)).slice(-5)}`;
    const by = feeding.by === null ? '' : `, entered by ${feeding.by}`;
    return `${value} ${unit}${at}${fromASheet ? ' from the sheet' : ''}${by}`;
  });
  const message =
    (confirmed === undefined
      ? `The herd was fed on ${on} already: ${fed.join('; ')}.`
      : `The sheet of ${on} was confirmed before: ${fed.join('; ')}. Reverse that feeding first if it was wrong.`) +
    ' If this is a second feeding, say `additional: true`.';
  return new Problem('conflict', message, [
    {
      pointer: '#/additional',
      code: 'fed-already',
      given: false,
      allowed: 'true, for a second feeding on that day',
      message,
    },
  ]);
}

/** What was drawn from each lot, and what that leaves for the next feeding. */
function carriedOn(made: HerdSheet, { balesOpened }: Body, fed: ReadonlyMap<string, Mass>): NewConfirmedLot[] {
  const { sheet, today, morning, days, fedToday, facts } = made;
  if (sheet === undefined || today === undefined || morning === undefined || days === undefined) return [];
  const lines = sheet.layers.flatMap((layer) => layer.lines);
  const baleWeight = new Map(today.laid.parts.map((part) => [part.lotId, part.facts.baleWeight]));
  const onHand = new Map(today.laid.parts.map((part) => [part.lotId, notBelowZero(part.facts.balance)]));
  const start = { ...morning, rounding: today.row.bale_rounding, carried: today.carriedIn };
  const base = days.confirmed.find((one) => one.day === facts.on);
  // Earlier feedings of this day opened bales of their own.
  const before =
    fedToday.length === 0
      ? start.carried
      : endOfFedDay(start, { base, fed: fedToday.map(({ feeding }) => feeding), ration: today, head: facts.head });
  const baled = new Set(lines.flatMap(({ lotId, bales }) => (bales === null ? [] : lotId)));
  const need = askedOf(made);
  const wholeBales = today.row.bale_rounding === 'nearest-whole';
  const inWholeBales = base === undefined ? aheadOrBehind(start.carried, need, fed) : before;
  return [...new Set([...lines.map((line) => line.lotId), ...fed.keys()])].map((lotId) => {
    const fedMass = fed.get(lotId) ?? Mass.zero;
    const bale = baleWeight.get(lotId) ?? null;
    const written = { hay_lot_id: lotId, fed_kg: fedMass.kilograms.toFixed() };
    if (bale === null || !baled.has(lotId)) return { ...written, bales_opened: null, carried_out_kg: '0' };
    const statedBales = balesOpened.find((one) => one.hayLotId === lotId)?.bales;
    if (wholeBales)
      return {
        ...written,
        bales_opened: statedBales ?? fedMass.ratioTo(bale).toDecimalPlaces(3).toFixed(),
        carried_out_kg: atRest(inWholeBales.get(lotId) ?? Mass.zero),
      };
    const held = onHand.get(lotId) ?? Mass.zero;
    const left = before.get(lotId) ?? Mass.zero;
    const ofLot = lines.filter((line) => line.lotId === lotId);
    const said = fedToday.length > 0 ? 0 : ofLot.reduce((sum, line) => sum + (line.bales?.bales ?? 0), 0);
    const needed = planWholeBales({
      need: fedMass,
      baleWeight: bale,
      carriedIn: notBelowZero(left),
      rounding: 'open-enough',
      onHand: held,
    }).bales;
    const opened = statedBales ?? String(Math.max(needed, said));
    const over = notBelowZero(left.plus(bale.times(opened)).minus(fedMass));
    // The leftover cannot exceed what the lot holds.
    const stays = notBelowZero(held.minus(fedMass));
    return { ...written, bales_opened: opened, carried_out_kg: atRest(over.minus(stays).isPositive() ? stays : over) };
  });
}

/** What the sheet asks for from each lot, laid or free choice. */
function askedOf({ sheet, today, facts }: HerdSheet): Map<string, Mass> {
  const asked = new Map<string, Mass>();
  const add = (lotId: string, mass: Mass): void => {
    asked.set(lotId, (asked.get(lotId) ?? Mass.zero).plus(mass));
  };
  for (const { lotId, need } of (sheet?.layers ?? []).flatMap((layer) => layer.lines)) add(lotId, need);
  for (const { freeChoice, lotId, asFedKgPerHead } of today?.laid.parts ?? [])
    if (freeChoice) add(lotId, massOfKilograms(asFedKgPerHead).times(facts.head));
  return asked;
}

function atRest(mass: Mass): string {
  return mass.kilograms.toDecimalPlaces(KILOGRAM_PLACES).toFixed();
}

/** What the sheet said, kept beside the feeding. */
function keptSheet({ sheet, facts, today }: HerdSheet, { differences }: Body): object {
  return {
    ...(today?.plan === null || today?.plan === undefined ? {} : { plan: today.plan }),
    head: facts.head,
    differences,
    freeChoice: (today?.laid.parts ?? [])
      .filter((part) => part.freeChoice)
      .map(({ lotId, asFedKgPerHead }) => ({
        hayLotId: lotId,
        needKg: massOfKilograms(asFedKgPerHead).times(facts.head).kilograms.toFixed(),
      })),
    layers: sheet?.layers.map((layer) => ({
      step: layer.buildStep,
      role: layer.role,
      lines: layer.lines.map((line) => ({
        hayLotId: line.lotId,
        needKg: line.need.kilograms.toFixed(),
        layKg: line.fed.kilograms.toFixed(),
        bales: line.bales?.bales ?? null,
      })),
    })),
  };
}

function listedAnswer(
  row: ConfirmationRow,
  lots: readonly ConfirmedLotRow[],
  { nameOf, reversal }: { nameOf: (lotId: string) => string; reversal: ReversalRow | undefined },
  units: UnitSystem,
): Listed {
  const kept = row.sheet as { differences?: unknown[] };
  return {
    id: row.id,
    herdId: row.herd_id,
    rationId: row.ration_id,
    feedingId: row.feeding_id,
    placeId: row.place_id,
    fedOn: row.happened_on,
    asOnTheSheet: (kept.differences ?? []).length === 0,
    additional: row.additional,
    lots: lots.map((lot) => ({
      hayLotId: lot.hay_lot_id,
      hayLot: nameOf(lot.hay_lot_id),
      fed: formatMass(Mass.kilograms(lot.fed_kg), units, 'small'),
      balesOpened: lot.bales_opened === null ? null : Number(lot.bales_opened),
      carriedOut: formatMass(Mass.kilograms(lot.carried_out_kg), units, 'small'),
    })),
    reversal: reversalAnswer(reversal),
    units,
    recordedAt: row.recorded_at,
    recordedBy: row.recorded_by,
  };
}
