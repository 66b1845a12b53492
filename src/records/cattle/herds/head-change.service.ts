import { Injectable } from '@nestjs/common';
import { HEAD_BOUNDS } from '../../../core/plausibility/entry-bounds.data.js';
import { recordStamp } from '../../../platform/database/rows.js';
import { problemOfDatabaseError } from '../../../platform/database/database-errors.js';
import { together } from '../../../platform/database/together.js';
import type { OperationTenant } from '../../../platform/database/types.js';
import { pageOf } from '../../../platform/http/cursor.js';
import type { AnswerOf, InputOf } from '../../../platform/http/endpoint.js';
import { Problem, ruleBroken } from '../../../platform/http/problem.js';
import { newId } from '../../../platform/identifiers.js';
import { toMass, type UnitSystem, formatTypedMass } from '../../../platform/wire/quantity.schema.js';
import { corrected } from '../../kit/correction.store.js';
import { correctionOf } from '../../kit/corrected-at.data.js';
import { reversedBefore, takenBackBy } from '../../kit/replaced.read.js';
import { type Confirmed, confirmedOf, doubtsConfirmed } from '../../kit/confirmed.read.js';
import {
  type ClosingRow,
  lastClosing,
  latePostings,
  postedUnder,
  type Posting,
  postingDay,
} from '../../kit/posting.read.js';
import { notePosted, notePosting } from '../../kit/posting.store.js';
import { postedLate, postedLateAnswer } from '../../kit/posting.schema.js';
import { priceAnswer, priceRow } from './head-change-price.js';
import { type HeadChangePriceRow, HeadChangeRead, type HeadChangeRow } from './head-change.read.js';
import { HeadChangeStore } from './head-change.store.js';
import { HerdWeightFit } from './herd-weight-fit.js';
import { HerdRead } from './herd.read.js';
import type * as api from './herd.schema.js';

type Body = InputOf<typeof api.createHeadChange>['body'];
type Answer = AnswerOf<typeof api.getHeadChange>;

/** The head count is a history: cattle come and go by rows that are only ever added. */
@Injectable()
export class HeadChangeService {
  constructor(
    private readonly herds: HerdRead,
    private readonly changes: HeadChangeRead,
    private readonly store: HeadChangeStore,
    private readonly weights: HerdWeightFit,
  ) {}

  async create(
    tenant: OperationTenant,
    { params, query, body }: InputOf<typeof api.createHeadChange>,
  ): Promise<AnswerOf<typeof api.getHeadChange>> {
    return this.record(tenant, params.herdId, body, query.units);
  }

  /** Writes one change inside an open transaction; used for single entries and imports alike. */
  async record(
    tenant: OperationTenant,
    herdId: string,
    body: InputOf<typeof api.createHeadChange>['body'],
    units: UnitSystem | undefined,
  ): Promise<AnswerOf<typeof api.getHeadChange>> {
    await this.herds.one(tenant, herdId);
    refuseMove(herdId, body);
    const moved = body.kind === 'move';
    const posting = await postingDay(tenant, {
      statedOn: body.happenedOn,
      postTo: body.postTo,
      pointer: '#/happenedOn',
      mayLieAhead: 'a year',
    });
    if (body.meanWeight !== undefined)
      await this.weights.checkAnimals(tenant, body.toHerdId === undefined ? [herdId] : [herdId, body.toHerdId], {
        on: body.happenedOn,
        kg: toMass(body.meanWeight).kilograms.toNumber(),
        how: 'weighed',
        pointer: '#/meanWeight',
        given: body.meanWeight,
      });
    await this.#checkHead(tenant, herdId, body);
    const price = body.price === undefined ? undefined : priceRow(tenant, body, body.price);
    const moveId = moved ? newId() : null;
    const base = {
      happened_on: posting.on,
      move_id: moveId,
      note: body.note ?? null,
      mean_weight_kg: body.meanWeight === undefined ? null : toMass(body.meanWeight).kilograms.toFixed(),
      mean_weight_value: body.meanWeight?.value ?? null,
      mean_weight_unit: body.meanWeight?.unit ?? null,
    };
    const own = {
      ...recordStamp(tenant),
      ...base,
      herd_id: herdId,
      kind: body.kind === 'move' ? ('move-out' as const) : body.kind,
      head: body.kind === 'in' ? body.head : -body.head,
      other_herd_id: body.toHerdId ?? null,
    };
    const rows: (typeof own | (Omit<typeof own, 'kind'> & { kind: 'move-in' }))[] = [own];
    if (body.toHerdId !== undefined) {
      await this.herds.one(tenant, body.toHerdId);
      rows.push({
        ...recordStamp(tenant),
        ...base,
        herd_id: body.toHerdId,
        kind: 'move-in',
        head: body.head,
        other_herd_id: herdId,
      });
    }
    const written = await this.store.insert(tenant, rows);
    const ids = rows.map((row) => row.id);
    const priced = price === undefined ? [] : await this.store.price(tenant, rows, price);
    const sides = ids.map((id) => ({ kind: 'head-change' as const, id }));
    await notePosting(tenant, sides, posting, body.correctsId);
    const after = price === undefined ? rows : rows.map((row) => ({ ...row, price }));
    await tenant.audit({ action: 'head-change.create', subjectKind: 'head-change', subjectId: own.id, after });
    return answer(
      written.find((row) => row.id === own.id),
      units ?? tenant.operation.unitPreference,
      postedLate(posting, body.correctsId),
      seenBy(tenant, priced[0]),
      doubtsConfirmed(tenant, { kind: 'head-change', id: own.id }, posting.on),
    );
  }

  /** Doubts more head than are fed together, and more deaths at once than there usually are. */
  async #checkHead(tenant: OperationTenant, herdId: string, { kind, head, happenedOn }: Body): Promise<void> {
    const { ofHerd, died } = HEAD_BOUNDS;
    const asked = { pointer: '#/head', given: `${head} head` };
    if (head > ofHerd.usual)
      tenant.doubts.raise({
        ...asked,
        code: 'head-unusual',
        usual: `${ofHerd.usual.toLocaleString('en-US')} head or fewer`,
        source: ofHerd.source,
        message: `${head.toLocaleString('en-US')} head in one change is unlikely. Check the number.`,
      });
    if (kind !== 'death' || head <= died.usualHead) return;
    const there = await this.herds.mostHeadOn(tenant, herdId, happenedOn);
    const usual = Math.max(died.usualHead, Math.floor((there ?? 0) * died.usualShare));
    if (there === undefined || head <= usual) return;
    tenant.doubts.raise({
      ...asked,
      code: 'deaths-unusual',
      usual: `${usual} of ${there} head or fewer at once`,
      source: died.source,
      message:
        `${head} deaths at once in a herd of ${there} is unlikely. Check the number; where it is right, ask a ` +
        'veterinarian.',
    });
  }

  async list(
    tenant: OperationTenant,
    { params, query }: InputOf<typeof api.listHeadChanges>,
  ): Promise<AnswerOf<typeof api.listHeadChanges>> {
    await this.herds.one(tenant, params.herdId);
    return this.listAll(tenant, { query: { ...query, herdId: params.herdId } });
  }

  async listAll(
    tenant: OperationTenant,
    { query }: Pick<InputOf<typeof api.listAllHeadChanges>, 'query'>,
  ): Promise<AnswerOf<typeof api.listAllHeadChanges>> {
    const units = query.units ?? tenant.operation.unitPreference;
    const rows = await this.changes.page(tenant, query);
    const ids = rows.map((row) => row.id);
    const [late, prices, confirmed] = await together(
      latePostings(tenant, ids),
      this.changes.prices(tenant, ids),
      confirmedOf(tenant, ids),
    );
    return pageOf(
      rows,
      query.limit,
      (row) => answer(row, units, postedLateAnswer(late.get(row.id)), prices.get(row.id), confirmed(row.id)),
      (row) => [row.happened_on, row.id],
    );
  }

  async get(
    tenant: OperationTenant,
    { params, query }: InputOf<typeof api.getHeadChange>,
  ): Promise<AnswerOf<typeof api.getHeadChange>> {
    const row = await this.changes.one(tenant, params.herdId, params.headChangeId);
    const [late, prices, confirmed] = await together(
      latePostings(tenant, [row.id]),
      this.changes.prices(tenant, [row.id]),
      confirmedOf(tenant, [row.id]),
    );
    const units = query.units ?? tenant.operation.unitPreference;
    return answer(row, units, postedLateAnswer(late.get(row.id)), prices.get(row.id), confirmed(row.id));
  }

  /** Prices a change that was entered without; once, and not in a closed period. */
  async price(
    tenant: OperationTenant,
    { params, query, body }: InputOf<typeof api.priceHeadChange>,
  ): Promise<AnswerOf<typeof api.getHeadChange>> {
    const row = await this.changes.one(tenant, params.herdId, params.headChangeId);
    if (row.kind === 'reversal') throw new Problem('conflict', 'This is a reversal: it has no price.');
    const reversal = (await takenBackBy(tenant, [row.id])).get(row.id);
    if (reversal !== undefined) throw await reversedBefore(tenant, { kind: 'head-change', id: row.id }, reversal);
    await postingDay(tenant, {
      statedOn: row.happened_on,
      postTo: undefined,
      pointer: '#/price',
      mayLieAhead: 'as its record',
    });
    const sides = row.move_id === null ? [row] : await this.changes.sidesOf(tenant, [row]);
    const change = {
      kind: row.move_id === null ? (row.kind as 'in') : ('move' as const),
      head: Math.abs(row.head),
      ...(row.mean_weight_value === null || row.mean_weight_unit === null
        ? {}
        : { meanWeight: { value: row.mean_weight_value, unit: row.mean_weight_unit } }),
    };
    const priced = await this.store
      .price(tenant, sides, priceRow(tenant, change, body.price))
      .catch((error: unknown) => {
        throw pricedBefore(error, row);
      });
    await tenant.audit({ action: 'head-change.price', subjectKind: 'head-change', subjectId: row.id, after: priced });
    const now = doubtsConfirmed(tenant, { kind: 'head-change', id: row.id }, row.happened_on);
    const [late, confirmed] = await together(latePostings(tenant, [row.id]), confirmedOf(tenant, [row.id]));
    return answer(
      row,
      query.units ?? tenant.operation.unitPreference,
      postedLateAnswer(late.get(row.id)),
      seenBy(
        tenant,
        priced.find((one) => one.head_change_id === row.id),
      ),
      [...confirmed(row.id), ...now],
    );
  }

  /** The mistake goes out and what is right comes in, of the same herd or another, as one entry. */
  correct(
    tenant: OperationTenant,
    { params, query, body: { reason, herdId = params.herdId, entry } }: InputOf<typeof api.correctHeadChange>,
  ): Promise<AnswerOf<typeof api.correctHeadChange>> {
    const mistake = { kind: 'head-change', id: params.headChangeId, herdId: params.herdId } as const;
    return corrected(tenant, mistake, {
      reverse: () => this.reverse(tenant, { params, query, body: { reason, postTo: entry.postTo } }),
      enter: (correctsId) => this.record(tenant, herdId, { ...entry, correctsId }, query.units),
    });
  }

  async reverse(
    tenant: OperationTenant,
    { params, query, body }: InputOf<typeof api.reverseHeadChange>,
  ): Promise<AnswerOf<typeof api.getHeadChange>> {
    const mistake = await this.changes.one(tenant, params.herdId, params.headChangeId);
    const [reversal] = await this.reverseAll(tenant, [mistake], body).catch((error: unknown) => {
      throw withNextStep(error, mistake, tenant.operation.unitPreference);
    });
    return answer(
      reversal?.written,
      query.units ?? tenant.operation.unitPreference,
      reversal === undefined ? null : postedLate(reversal.posting, mistake.id),
      undefined,
      [],
    );
  }

  /** Several at once, as one entry: only what is left after all of them may not be below zero. */
  async reverseAll(
    tenant: OperationTenant,
    mistakes: readonly HeadChangeRow[],
    body: InputOf<typeof api.reverseHeadChange>['body'],
  ): Promise<{ written: HeadChangeRow | undefined; posting: Posting }[]> {
    const before = await takenBackBy(
      tenant,
      mistakes.map(({ id }) => id),
    );
    for (const { id } of mistakes) {
      const reversal = before.get(id);
      if (reversal !== undefined) throw await reversedBefore(tenant, { kind: 'head-change', id }, reversal);
    }
    const closing = await lastClosing(tenant);
    const sides = await this.changes.sidesOf(tenant, mistakes);
    const undone = mistakes.map((mistake) => {
      const posting = reversalPosting(mistake, body, closing);
      const both = mistake.move_id === null ? [mistake] : sides.filter(({ move_id: id }) => id === mistake.move_id);
      return { mistake, posting, rows: both.map((row) => reversalRow(tenant, row, posting.on, body.reason)) };
    });
    const written = await this.store.insert(
      tenant,
      undone.flatMap(({ rows }) => rows),
    );
    for (const { rows, posting } of undone)
      for (const row of rows) await notePosted(tenant, { kind: 'head-change', id: row.id }, posting, row.reverses_id);
    await tenant.audit(
      undone.map(({ mistake, rows }) => ({
        action: 'head-change.reverse',
        subjectKind: 'head-change',
        subjectId: mistake.id,
        before: mistake,
        after: rows,
      })),
    );
    return undone.map(({ mistake, posting }) => ({
      written: written.find((row) => row.reverses_id === mistake.id),
      posting,
    }));
  }
}

/** @throws Problem where it is itself a reversal, before the day of the change, period-closed */
function reversalPosting(
  mistake: HeadChangeRow,
  { effectiveOn, postTo }: InputOf<typeof api.reverseHeadChange>['body'],
  closing: ClosingRow | undefined,
): Posting {
  if (mistake.kind === 'reversal')
    throw new Problem('conflict', 'A reversal cannot be reversed: enter what is right again.');
  const statedOn = effectiveOn ?? mistake.happened_on;
  if (statedOn < mistake.happened_on)
    throw ruleBroken(
      '#/effectiveOn',
      'before-what-it-reverses',
      statedOn,
      `${mistake.happened_on} or later`,
      'A reversal cannot be dated before what it reverses.',
    );
  return postedUnder(closing, { statedOn, postTo, pointer: '#/effectiveOn' });
}

function reversalRow(tenant: OperationTenant, row: HeadChangeRow, on: string, reason: string) {
  return {
    ...recordStamp(tenant),
    herd_id: row.herd_id,
    kind: 'reversal' as const,
    head: -row.head,
    happened_on: on,
    other_herd_id: row.other_herd_id,
    move_id: row.move_id,
    reverses_id: row.id,
    mean_weight_kg: row.mean_weight_kg,
    mean_weight_value: row.mean_weight_value,
    mean_weight_unit: row.mean_weight_unit,
    note: reason,
  };
}

/** A price is given once; whoever gives it need not see whether there is one. */
function pricedBefore(error: unknown, { herd_id: herdId, id }: HeadChangeRow): unknown {
  if (problemOfDatabaseError(error)?.code !== 'conflict') return error;
  const allowed = correctionOf({ kind: 'head-change', id, herdId }) ?? '';
  const message =
    `This head change has a price. If that is wrong, correct the head change in one call: ${allowed} with the reason ` +
    'and the right entry, whole, with its price.';
  return new Problem('conflict', message, [
    { pointer: '#/price', code: 'priced-already', given: id, allowed, message },
  ]);
}

/** A reversal that later changes lean on is refused: what to do instead. */
function withNextStep(error: unknown, { herd_id: herdId, id }: HeadChangeRow, units: UnitSystem): unknown {
  const problem = problemOfDatabaseError(error, units);
  if (problem?.code !== 'herd-short') return error;
  const step =
    ' Later changes lean on these cattle. If something about them was typed wrong, correct it in one call: ' +
    `POST /herds/${herdId}/head-changes/${id}/correction with the reason and the right entry. If they never came, ` +
    'reverse what went out since then first.';
  const { code, detail = '', errors, headers, subject } = problem;
  const told = errors.map((one) => ({ ...one, message: `${one.message}${step}` }));
  return new Problem(code, `${detail}${step}`, told, headers, subject);
}

/** A move names another herd, and nothing else does. */
function refuseMove(herdId: string, { kind, toHerdId }: InputOf<typeof api.createHeadChange>['body']): void {
  const moved = kind === 'move';
  if (moved !== (toHerdId !== undefined))
    throw ruleBroken(
      '#/toHerdId',
      'move-needs-a-herd',
      toHerdId ?? null,
      moved ? 'the herd that they go to' : 'nothing, unless kind is "move"',
      moved ? 'A move needs the herd that the cattle go to.' : 'Only a move names another herd.',
    );
  if (toHerdId === herdId)
    throw ruleBroken(
      '#/toHerdId',
      'move-to-itself',
      toHerdId,
      'another herd',
      'Cattle cannot move to the herd they are in.',
    );
}

function seenBy(tenant: OperationTenant, price: HeadChangePriceRow | undefined): HeadChangePriceRow | undefined {
  return tenant.may('prices', tenant.operationId) ? price : undefined;
}

function answer(
  row: HeadChangeRow | undefined,
  units: UnitSystem,
  late: AnswerOf<typeof api.getHeadChange>['postedLate'],
  price: HeadChangePriceRow | undefined,
  confirmed: Confirmed[],
): Answer {
  if (row === undefined) throw new RangeError('The head change that was just written did not come back');
  return {
    id: row.id,
    herdId: row.herd_id,
    kind: row.kind,
    head: row.head,
    happenedOn: row.happened_on,
    otherHerdId: row.other_herd_id,
    meanWeight:
      row.mean_weight_kg === null || row.mean_weight_value === null || row.mean_weight_unit === null
        ? null
        : formatTypedMass(row.mean_weight_kg, row.mean_weight_value, row.mean_weight_unit, units, 'small'),
    price: priceAnswer(price, units),
    note: row.note,
    postedLate: late,
    confirmed,
    reversesId: row.reverses_id,
    recordedAt: row.recorded_at,
    recordedBy: row.recorded_by,
  };
}
