import { Injectable } from '@nestjs/common';
import { randomUUID } from 'node:crypto';
import { FeedSheetConfirmationService } from '../../../desk/feed-sheets/feed-sheet-confirmation.service.js';
import { confirmFeedSheet, type FeedSheetAnswer } from '../../../desk/feed-sheets/feed-sheet.schema.js';
import { FeedSheetService } from '../../../desk/feed-sheets/feed-sheet.service.js';
import type { OperationTenant } from '../../../platform/database/types.js';
import { together } from '../../../platform/database/together.js';
import type { AnswerOf, InputOf } from '../../../platform/http/endpoint.js';
import { notFound, Problem } from '../../../platform/http/problem.js';
import { day, id } from '../../../platform/wire/common.schema.js';
import { type HerdSheet, weighed } from '../../feed-sheets/feed-sheet.words.js';
import type { Typed } from '../entry/body-of-fields.js';
import { EntryService } from '../entry/entry.service.js';
import type { EnteredShown, FormShown } from '../entry/form.schema.js';
import { inputOfForm } from '../entry/input-of-form.js';
import { YardRead } from '../yard.read.js';
import type { OperationHead } from '../yard.schema.js';
import {
  asShown,
  atItsLine,
  fedKind,
  herdOf,
  isAsItWasShown,
  onlyDifferences,
  onTheSheetOfNow,
  unseenOf,
} from './fed-kind.js';
import type * as api from './today.schema.js';

type Today = AnswerOf<typeof api.todayPage>;
type Confirmation = AnswerOf<typeof confirmFeedSheet>;

/** The sheets of a day and their confirmation: what the API answers and takes, for a thumb. */
@Injectable()
export class TodayService {
  constructor(
    private readonly read: YardRead,
    private readonly sheets: FeedSheetService,
    private readonly confirmations: FeedSheetConfirmationService,
    private readonly entries: EntryService,
  ) {}

  async today(tenant: OperationTenant, { params, query }: InputOf<typeof api.todayPage>): Promise<Today> {
    const operation = await this.#head(tenant);
    const onDay = query.on ?? operation.today;
    const sheets = await this.#sheets(tenant, operation, onDay);
    const fed =
      query.fed === undefined
        ? null
        : await this.confirmations.get(tenant, { params: { ...params, confirmationId: query.fed }, query: {} });
    return {
      operationId: tenant.operationId,
      operation: operation.name,
      invented: operation.invented,
      onDay,
      today: operation.today,
      mayFeed: tenant.may('daily'),
      mayRecord: tenant.may('records'),
      once: randomUUID(),
      by: tenant.personId,
      sheets,
      withoutPlace: operation.places
        .filter((one) => one.placeId === null)
        .flatMap(({ herds }) => herds.map((one) => one.herd)),
      fed: fed === null ? null : fedWords(fed, sheets),
    };
  }

  /** The form on which a feeding is told otherwise, as the sheet says it. */
  async form(tenant: OperationTenant, herdId: string, on: string | undefined, typed: Typed = {}): Promise<FormShown> {
    const operation = await this.#head(tenant);
    const onDay = day.safeParse(on).data ?? operation.today;
    const herd = await this.#herdOf(tenant, operation, herdId, onDay);
    if (herd === undefined) throw notFound('herd', herdId);
    return this.#form(tenant, herd, onDay, typed);
  }

  async #herdOf(
    tenant: OperationTenant,
    { places }: OperationHead,
    herdId: string,
    onDay: string,
  ): Promise<HerdSheet | undefined> {
    const place = places.find(({ herds }) => herds.some((one) => one.herdId === herdId));
    if (place?.placeId === undefined || place.placeId === null) return undefined;
    return herdOf(await this.#sheet(tenant, place.placeId, onDay), herdId);
  }

  /** The same after a problem: with what was typed, each finding at its line. */
  async again(tenant: OperationTenant, typed: Typed, problem: Problem): Promise<FormShown> {
    const placed = problem.errors.map((one) => atItsLine(one, onlyDifferences(typed).sent));
    const told = new Problem(problem.code, problem.detail, placed, problem.headers, problem.subject);
    const form = await this.form(tenant, id.safeParse(typed['herdId']).data ?? '', typed['fedOn'], typed);
    return this.entries.withProblem(form, typed, told);
  }

  /** What the API address takes of the form. @throws Problem invalid-input */
  inputOf(operationId: string, typed: Typed): { params: object; body: unknown } {
    return inputOfForm(fedKind(undefined, ''), operationId, onlyDifferences(typed).fields);
  }

  async confirm(tenant: OperationTenant, typed: Typed, input: { params: object; body: unknown }): Promise<string> {
    await this.#refuseSheetOfBefore(tenant, typed);
    const { id: made, fedOn } = await this.confirmations.confirm(tenant, {
      ...input,
      query: {},
    } as InputOf<typeof confirmFeedSheet>);
    return `/yard/operations/${tenant.operationId}/today?on=${fedOn}&fed=${made}`;
  }

  /** Who fed already, or why there is no sheet, the confirmation itself tells. */
  async #refuseSheetOfBefore(tenant: OperationTenant, typed: Typed): Promise<void> {
    const onDay = day.safeParse(typed['fedOn']).data;
    if (onDay === undefined) return;
    const herd = await this.#herdOf(tenant, await this.#head(tenant), typed['herdId'] ?? '', onDay);
    if (herd === undefined || herd.nothingBecause !== null) return;
    if (herd.fedThatDay.length > 0 && typed['additional'] !== 'true') return;
    if (isAsItWasShown(herd, typed)) return;
    const now = Object.entries(asShown(herd, onDay)).filter(([name]) => name.startsWith('was/'));
    throw new Problem(
      'conflict',
      `The sheet has changed since this page showed it: it says ${now.map(([, words]) => words).join(', ')} now. ` +
        'Below stands what this page showed or you typed. Change it to what was fed.',
    );
  }

  async #form(tenant: OperationTenant, herd: HerdSheet, onDay: string, typed: Typed): Promise<FormShown> {
    const begun = onTheSheetOfNow(herd, onDay, typed);
    const form = await this.entries.formOf(tenant, fedKind(herd, onDay), begun);
    return {
      ...form,
      onDay,
      fields: [
        ...unseenOf(begun).map(([name, value]) => ({
          ...HIDDEN,
          name,
          value,
        })),
        ...form.fields,
      ],
    };
  }

  async #head(tenant: OperationTenant): Promise<OperationHead> {
    const [operation] = await this.read.heads(tenant, [tenant.operationId]);
    if (operation === undefined) throw notFound('operation');
    return operation;
  }

  async #sheets(tenant: OperationTenant, { places }: OperationHead, onDay: string): Promise<FeedSheetAnswer[]> {
    const ids = [...new Set(places.flatMap(({ placeId }) => placeId ?? []))];
    return together(...ids.map((placeId) => this.#sheet(tenant, placeId, onDay)));
  }

  #sheet(tenant: OperationTenant, placeId: string, on: string): Promise<FeedSheetAnswer> {
    const params = { operationId: tenant.operationId, placeId };
    return this.sheets.get(tenant, { params, query: { on } });
  }
}

const HIDDEN = {
  label: '',
  hint: null,
  shows: 'hidden',
  options: [],
  unit: null,
  required: false,
  least: null,
  most: null,
  longest: null,
  problem: null,
} as const satisfies Partial<FormShown['fields'][number]>;

function fedWords(made: Confirmation, sheets: readonly FeedSheetAnswer[]): EnteredShown {
  const herd = sheets.map((one) => herdOf(one, made.herdId)?.herd).find((one) => one !== undefined) ?? 'The herd';
  const lots = made.lots.map((lot) => `${lot.hayLot} ${weighed(lot.fed)}`);
  return {
    title: `${herd}: fed${made.asOnTheSheet ? ' as on the sheet' : ''}, and in the books.`,
    lines: [`${lots.join(', ')}. ${made.fedOn}.`],
    warnings: made.cautions.map(({ message, advice }) => `${message} ${advice}`),
  };
}
