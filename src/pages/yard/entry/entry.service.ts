import { Injectable } from '@nestjs/common';
import { randomUUID } from 'node:crypto';
import { JudgedLotEntryService } from '../../../desk/lot-entries/judged-lot-entry.service.js';
import { HayPositionService } from '../../../office/hay-position/hay-position.service.js';
import type { OperationTenant } from '../../../platform/database/types.js';
import { together } from '../../../platform/database/together.js';
import { dayIn } from '../../../platform/clock.js';
import type { InputOf } from '../../../platform/http/endpoint.js';
import type { Problem } from '../../../platform/http/problem.js';
import { HeadChangeService } from '../../../records/cattle/herds/head-change.service.js';
import { HerdService } from '../../../records/cattle/herds/herd.service.js';
import { WeighInService } from '../../../records/cattle/weigh-ins/weigh-in.service.js';
import { HayLotService } from '../../../records/hay/lots/hay-lot.service.js';
import { HayPurchaseService } from '../../../records/hay/purchases/hay-purchase.service.js';
import { StockCountService } from '../../../records/hay/stock-counts/stock-count.service.js';
import { RanchService } from '../../../records/yard/ranches/ranch.service.js';
import { WaterCheckService } from '../../../records/yard/water-checks/water-check.service.js';
import { WeatherDayService } from '../../../records/yard/weather-days/weather-day.service.js';
import { shown } from '../words.js';
import type { Typed } from './body-of-fields.js';
import { countWords, headWords, ticketWords, waterWords, weatherWords, weighInWords } from './entered-words.js';
import { type EntryKind, TICKET, TICKET_OF_NEW_LOT } from './entry-kinds.js';
import type { ENTRY_PAGES } from './entry.schema.js';
import { fieldsOfForm, type FormFacts } from './fields-of-form.js';
import type { EnteredShown, FormShown } from './form.schema.js';
import { toldOnForm } from './told-on-form.js';

type Query = InputOf<(typeof ENTRY_PAGES)[number]['page']>['query'];
/** What is listed for a choice; an operation with more of one kind types it into the API. */
const LISTED = 200;

/** The forms of the yard: what stands in them, what they enter, and what is read back. */
@Injectable()
export class EntryService {
  constructor(
    private readonly herds: HerdService,
    private readonly heads: HeadChangeService,
    private readonly lots: HayLotService,
    private readonly ranches: RanchService,
    private readonly purchases: HayPurchaseService,
    private readonly judged: JudgedLotEntryService,
    private readonly position: HayPositionService,
    private readonly weighIns: WeighInService,
    private readonly counts: StockCountService,
    private readonly water: WaterCheckService,
    private readonly weather: WeatherDayService,
  ) {}

  /** The form as it begins, with what was entered last. */
  async form(tenant: OperationTenant, kind: EntryKind, query: Query): Promise<FormShown> {
    const { entered, ...asked } = query;
    const facts = await this.#facts(tenant);
    const begun = Object.fromEntries(
      kind.fields.flatMap(({ name }) => {
        const value = asked[nameOfPrefill(name)];
        return value === undefined ? [] : [[name, value]];
      }),
    );
    return {
      ...shownForm(tenant, kind, facts, begun),
      entered: entered === undefined ? null : await this.#entered(tenant, kind, entered, facts.today, asked.herdId),
    };
  }

  /** The form with what was typed and what is wrong with it. */
  async again(tenant: OperationTenant, kind: EntryKind, typed: Typed, problem: Problem): Promise<FormShown> {
    return this.withProblem(await this.formOf(tenant, kind, typed), typed, problem);
  }

  /** The form with these values in it. */
  async formOf(tenant: OperationTenant, kind: EntryKind, typed: Typed): Promise<FormShown> {
    return shownForm(tenant, kind, await this.#facts(tenant), typed);
  }

  /** The form with what is wrong with what was sent, at its field where it is about one. */
  withProblem(form: FormShown, typed: Typed, problem: Problem): FormShown {
    const shown = form.fields.filter(({ shows }) => shows !== 'hidden').map(({ name }) => name);
    const { title, words, confirm, atField } = toldOnForm(problem, shown);
    return {
      ...form,
      fields: form.fields.map((field) => ({ ...field, problem: atField[field.name] ?? null })),
      once: onceAgain(problem, typed),
      problem: { title, words },
      confirm,
    };
  }

  /** Enters what the API address would. @returns where the form is, with what was entered. */
  async write(tenant: OperationTenant, kind: EntryKind, input: { params: object; body: unknown }): Promise<string> {
    const given = { ...input, query: {} } as never;
    const { id } = await this.#writers[kind.what]!(tenant, given);
    const herdId = kind.inPath === undefined ? '' : `&herdId=${(input.params as { herdId: string }).herdId}`;
    return `/yard/operations/${tenant.operationId}/${kind.what}?entered=${id}${herdId}`;
  }

  readonly #writers: Readonly<Record<string, (tenant: OperationTenant, input: never) => Promise<{ id: string }>>> = {
    'hay-ticket': (tenant, input) => this.purchases.create(tenant, input),
    'hay-ticket-new-lot': (tenant, input) => this.purchases.create(tenant, input),
    'weigh-in': (tenant, input) => this.weighIns.create(tenant, input),
    count: (tenant, input) => this.counts.create(tenant, input),
    head: (tenant, input) => this.heads.create(tenant, input),
    water: (tenant, input) => this.water.create(tenant, input),
    weather: (tenant, input) => this.weather.create(tenant, input),
  };

  async #entered(
    tenant: OperationTenant,
    { what }: EntryKind,
    id: string,
    today: string,
    herdId = '',
  ): Promise<EnteredShown> {
    const params = { operationId: tenant.operationId };
    const query = {};
    const herd = async (of: string) => this.herds.get(tenant, { params: { ...params, herdId: of }, query });
    const lot = (of: string) => this.lots.get(tenant, { params: { ...params, hayLotId: of }, query });
    switch (what) {
      case 'weigh-in': {
        const made = await this.weighIns.get(tenant, { params: { ...params, weighInId: id }, query });
        return weighInWords(made, (await herd(made.herdId)).name);
      }
      case 'count': {
        const made = await this.counts.get(tenant, { params: { ...params, stockCountId: id }, query });
        return countWords(made, await lot(made.hayLotId));
      }
      case 'head': {
        const made = await this.heads.get(tenant, { params: { ...params, herdId, headChangeId: id }, query });
        const { name, head } = await herd(made.herdId);
        return headWords(made, name, head);
      }
      case 'water': {
        const made = await this.water.get(tenant, { params: { ...params, waterCheckId: id }, query });
        const place = await this.ranches.getPlace(tenant, { params: { ...params, placeId: made.placeId }, query });
        return waterWords(made, place.name);
      }
      case 'weather': {
        const made = await this.weather.get(tenant, { params: { ...params, weatherDayId: id }, query });
        const ranch = await this.ranches.get(tenant, { params: { ...params, ranchId: made.ranchId } });
        return weatherWords(made, ranch.name);
      }
      default: {
        const bought = await this.purchases.get(tenant, { params: { ...params, hayPurchaseId: id }, query });
        const made = await this.judged.withCautions(tenant, bought, [bought.hayLotId]);
        const position = tenant.may('prices')
          ? await this.position.report(tenant, { params, query: { on: today, units: undefined } })
          : null;
        return ticketWords(made, await lot(made.hayLotId), position);
      }
    }
  }

  /** What there is to choose from. */
  async #facts(tenant: OperationTenant): Promise<FormFacts> {
    const params = { operationId: tenant.operationId };
    const page = { limit: LISTED };
    const { unitPreference: units, currency, timeZone } = tenant.operation;
    const [herds, lots, places, ranches] = await together(
      this.herds.list(tenant, { params, query: page }),
      this.lots.list(tenant, { params, query: { ...page, reversed: 'false' } }),
      this.ranches.listPlaces(tenant, { params, query: page }),
      this.ranches.list(tenant, { params, query: page }),
    );
    const withCattle = [...herds.items].sort((one, other) => Number(other.head > 0) - Number(one.head > 0));
    const withHay = [...lots.items].sort((one, other) => Number(isEmpty(one)) - Number(isEmpty(other)));
    return {
      units,
      currency,
      today: dayIn(ranches.items[0]?.timeZone ?? timeZone, tenant.moment),
      vendors: [...new Set(lots.items.flatMap((lot) => lot.vendors))].sort(),
      lists: {
        herds: withCattle.map(({ id, name, head }) => ({ value: id, words: `${name}, ${head} head` })),
        lots: withHay.map((lot) => ({
          value: lot.id,
          words: isEmpty(lot) ? `${lot.name} (empty by the books)` : `${lot.name}, ${shown(lot.balance, 1)}`,
        })),
        places: places.items.map(({ id, name }) => ({ value: id, words: name })),
        ranches: ranches.items.map(({ id, name }) => ({ value: id, words: name })),
      },
    };
  }
}

const isEmpty = ({ balance }: { balance: { value: string } }): boolean => Number(balance.value) <= 0;

/** `lot/id` is asked for as `hayLotId`, `lot/ranchId` as `ranchId`. */
function nameOfPrefill(name: string): 'herdId' | 'hayLotId' | 'placeId' | 'ranchId' {
  if (name === 'lot/id') return 'hayLotId';
  return (name === 'lot/ranchId' ? 'ranchId' : name) as 'herdId';
}

/** The same key as before: nothing was entered under it. A key that stands for another entry is not used again. */
function onceAgain({ code }: Problem, typed: Typed): string {
  return code === 'idempotency-key-reused' ? randomUUID() : (typed['once'] ?? randomUUID());
}

function shownForm(tenant: OperationTenant, kind: EntryKind, facts: FormFacts, typed: Typed): FormShown {
  return {
    operationId: tenant.operationId,
    operation: tenant.operation.name,
    invented: tenant.operation.invented,
    title: kind.title,
    what: kind.what,
    button: kind.button,
    fields: fieldsOfForm(kind, facts, typed),
    once: randomUUID(),
    by: tenant.personId,
    onDay: facts.today,
    confirm: null,
    problem: null,
    entered: null,
    besides: besidesOf(tenant, kind),
  };
}

function besidesOf({ operationId }: OperationTenant, { what }: EntryKind): FormShown['besides'] {
  const at = `/yard/operations/${operationId}`;
  if (what === TICKET.what) return [{ href: `${at}/${TICKET_OF_NEW_LOT.what}`, words: 'The hay begins a new lot' }];
  if (what === TICKET_OF_NEW_LOT.what) return [{ href: `${at}/${TICKET.what}`, words: 'Into a lot that there is' }];
  return [];
}
