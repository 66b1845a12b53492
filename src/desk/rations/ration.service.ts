import { convertDecimal, systemOf } from '../../core/units/unit.js';
import { Injectable } from '@nestjs/common';
import { mostOfferedKg } from '../../core/laying/offer-fit.js';
import type { LayerBasis } from '../../core/laying/layer.js';
import type { LayerTemplate } from '../../core/laying/layer-templates.data.js';
import { decimal } from '../../core/units/decimal.js';
import type { OperationTenant } from '../../platform/database/types.js';
import { together } from '../../platform/database/together.js';
import { problemOfCore } from '../../platform/http/core-problems.js';
import { pageOf } from '../../platform/http/cursor.js';
import type { AnswerOf, InputOf } from '../../platform/http/endpoint.js';
import { Problem, ruleBroken } from '../../platform/http/problem.js';
import { toMass, type UnitSystem } from '../../platform/wire/quantity.schema.js';
import { changedFields } from '../../records/kit/changed-fields.js';
import { HerdRead, type HerdRow } from '../../records/cattle/herds/herd.read.js';
import { HerdStateRead } from '../../records/cattle/standing/herd-state.read.js';
import { type OfferedPart, refuseImpossibleOffer } from '../../records/kit/impossible-offer.js';
import { LayerTemplateRead } from '../layer-templates/layer-template.read.js';
import { type HerdFacts, HerdFactsRead } from '../facts/herd-facts.js';
import { type LotFacts, LotFactsRead, type TestsKnown } from '../facts/lot-facts.js';
import {
  contentOf,
  type LaidPart,
  type LaidRation,
  layOut,
  type RationContent,
  type RationRow,
} from '../facts/ration-content.js';
import { RationCautionsRead } from './ration-cautions.read.js';
import { RationNoteRead } from './ration-note.read.js';
import { RationRead } from './ration.read.js';
import type * as api from './ration.schema.js';
import { type NewRationLayer, RationStore } from './ration.store.js';
import { rationAnswer } from './ration-wire.js';

type Answer = AnswerOf<typeof api.getRation>;
type LayersIn = InputOf<typeof api.createRation>['body']['layers'];
type DensityIn = NonNullable<LayersIn[number]['parts'][number]['bulkDensity']>;
type NoteKind = AnswerOf<typeof api.createRationNote>['kind'];

type AmountIn = NonNullable<InputOf<typeof api.createRation>['body']['amount']>;

/** Whose ration it is, for what cattle can be offered. */
export interface WeighedHerd {
  name: string;
  bodyWeightKg: number;
}

export const weighedHerdOf = ({ herd, bodyWeight }: HerdFacts): WeighedHerd => ({
  name: herd.name,
  bodyWeightKg: bodyWeight.kilograms.toNumber(),
});

interface RationBody {
  basis: LayerBasis;
  layers: LayersIn;
  amount?: AmountIn | undefined;
  wastedPercent?: string | null | undefined;
}

/**
 * A ration goes from the desk to the ranch and into the feed sheets: drafted, proposed, accepted, in use, superseded.
 */
@Injectable()
export class RationService {
  constructor(
    private readonly herds: HerdRead,
    private readonly herdFacts: HerdFactsRead,
    private readonly lotFacts: LotFactsRead,
    private readonly rations: RationRead,
    private readonly notes: RationNoteRead,
    private readonly store: RationStore,
    private readonly templates: LayerTemplateRead,
    private readonly cautions: RationCautionsRead,
    private readonly states: HerdStateRead,
  ) {}

  async create(tenant: OperationTenant, { query, body }: InputOf<typeof api.createRation>): Promise<Answer> {
    const herd = await this.herds.one(tenant, body.herdId);
    const filled = await this.filled(tenant, body);
    const today = await this.herdFacts.today(tenant, herd.ranch_id);
    await this.checked(tenant, filled, { on: today, herds: [await this.#weighed(tenant, herd, today)] });
    const row = await this.store.insert(tenant, {
      herd_id: herd.id,
      name: body.name,
      state: 'draft',
      basis: filled.basis,
      ...amountColumns(amountOf(filled)),
      bale_rounding: body.baleRounding,
      wasted_percent: body.wastedPercent ?? null,
      template_key: body.templateKey ?? null,
      note: body.note ?? null,
    });
    const layers = await this.store.insertLayers(tenant, row, layerRows(filled.layers));
    await tenant.audit({
      action: 'ration.create',
      subjectKind: 'ration',
      subjectId: row.id,
      after: { ...row, layers },
    });
    return this.#answer(tenant, row, query.units);
  }

  async list(
    tenant: OperationTenant,
    { query }: InputOf<typeof api.listRations>,
  ): Promise<AnswerOf<typeof api.listRations>> {
    const rows = await this.rations.page(tenant, query);
    const write = await this.#writer(tenant, rows, query.units);
    return pageOf(rows, query.limit, write, (row) => [row.id]);
  }

  async get(tenant: OperationTenant, { params, query }: InputOf<typeof api.getRation>): Promise<Answer> {
    return this.#answer(tenant, await this.rations.one(tenant, params.rationId), query.units);
  }

  async inUse(tenant: OperationTenant, { params, query }: InputOf<typeof api.rationInUse>): Promise<Answer> {
    const herd = await this.herds.one(tenant, params.herdId);
    const on = query.on ?? (await this.herdFacts.today(tenant, herd.ranch_id));
    const row = (await this.rations.inUseOn(tenant, [herd.id], on)).get(herd.id);
    if (row === undefined) throw new Problem('not-found', `No ration of this herd was in use on ${on}.`);
    return this.#answer(tenant, row, query.units);
  }

  async change(
    tenant: OperationTenant,
    { params, query, body, expectedVersion }: InputOf<typeof api.changeRation>,
  ): Promise<Answer> {
    const before = await this.rations.one(tenant, params.rationId);
    if (before.version !== expectedVersion) throw new Problem('changed-meanwhile');
    if (before.state !== 'draft')
      throw new Problem('conflict', `This ration is ${stateWords(before.state)}; only a draft can be changed.`);
    const rewritten = body.layers !== undefined || body.basis !== undefined;
    if (rewritten && body.layers === undefined)
      throw ruleBroken(
        '#/layers',
        'shares-need-their-basis',
        null,
        'the layers, with shares on the new basis',
        'Shares mean something else on another basis: send the layers with it.',
      );
    const template = body.templateKey === undefined ? before.template_key : body.templateKey;
    const filled =
      body.layers === undefined
        ? undefined
        : await this.filled(tenant, {
            basis: body.basis ?? (body.templateKey === undefined ? before.basis : undefined),
            layers: body.layers,
            templateKey: template ?? undefined,
          });
    const herd = await this.herds.one(tenant, before.herd_id);
    const today = await this.herdFacts.today(tenant, herd.ranch_id);
    if (filled !== undefined)
      await this.checked(
        tenant,
        { ...filled, amount: amountAfter(before, filled.layers, body.amount) },
        { on: today, herds: [await this.#weighed(tenant, herd, today)] },
      );
    else if (body.amount !== undefined)
      await this.#refuseImpossible(tenant, { ...before, ...amountColumns(body.amount) }, { herd, on: today });
    const after = await this.store.change(
      tenant,
      { id: before.id, version: expectedVersion },
      {
        ...changedFields({
          name: body.name,
          basis: filled?.basis,
          bale_rounding: body.baleRounding,
          wasted_percent: body.wastedPercent,
          template_key: body.templateKey,
          note: body.note,
        }),
        ...amountColumns(
          filled === undefined
            ? (body.amount ?? amountBefore(before))
            : amountOf({ layers: filled.layers, amount: amountAfter(before, filled.layers, body.amount) }),
        ),
      },
      { rewritten: filled !== undefined },
    );
    const layers =
      filled === undefined ? undefined : await this.store.insertLayers(tenant, after, layerRows(filled.layers));
    await tenant.audit({
      action: 'ration.change',
      subjectKind: 'ration',
      subjectId: after.id,
      before,
      after: { ...after, ...(layers === undefined ? {} : { layers }) },
    });
    return this.#answer(tenant, after, query.units);
  }

  async propose(tenant: OperationTenant, { params, query, body }: InputOf<typeof api.proposeRation>): Promise<Answer> {
    return this.#step(tenant, params, query.units, 'proposed', body.words, (before) => {
      if (before.state !== 'draft')
        throw new Problem('conflict', `This ration is ${stateWords(before.state)}; only a draft is proposed.`);
      return { state: 'proposed', proposed: true };
    });
  }

  async withdraw(
    tenant: OperationTenant,
    { params, query, body }: InputOf<typeof api.withdrawRation>,
  ): Promise<Answer> {
    return this.#step(tenant, params, query.units, 'returned', body.words ?? 'Withdrawn by the desk.', backToDraft);
  }

  async giveBack(tenant: OperationTenant, { params, query, body }: InputOf<typeof api.returnRation>): Promise<Answer> {
    return this.#step(tenant, params, query.units, 'returned', body.words, backToDraft);
  }

  async accept(tenant: OperationTenant, { params, query, body }: InputOf<typeof api.acceptRation>): Promise<Answer> {
    return this.#step(tenant, params, query.units, 'accepted', body.words, (before) => {
      if (before.state !== 'proposed')
        throw new Problem('conflict', `This ration is ${stateWords(before.state)}; only a proposed one is accepted.`);
      return { state: 'accepted', accepted: true };
    });
  }

  async use(tenant: OperationTenant, { params, query, body }: InputOf<typeof api.useRation>): Promise<Answer> {
    if (body.until !== undefined && body.until <= body.from)
      throw ruleBroken(
        '#/until',
        'ends-before-it-begins',
        body.until,
        `after ${body.from}`,
        'A ration is in use for at least a day.',
      );

    const named = await this.rations.one(tenant, params.rationId);
    await this.store.holdHerd(tenant, named.herd_id);
    const before = await this.rations.one(tenant, params.rationId);
    if (before.state !== 'accepted')
      throw new Problem(
        'conflict',
        `This ration is ${stateWords(before.state)}; the ranch must accept it before it is used.`,
      );
    if (before.in_use_from !== null)
      throw new Problem(
        'conflict',
        `This ration was put into use on ${before.in_use_from}; draft a new one to feed it again. If the one after ` +
          'it was put into use by mistake, end that one on its first day: then the earlier one is in use again.',
      );
    const others = await this.rations.othersInUse(tenant, before);
    const later = others
      .map((one) => one.in_use_from ?? '')
      .filter((from) => from > body.from)
      .sort()[0];
    if (later !== undefined && body.until !== undefined && body.until > later)
      throw ruleBroken(
        '#/until',
        'another-is-in-use',
        body.until,
        `${later} or earlier`,
        `Another ration of the herd begins on ${later}.`,
      );
    const herd = await this.herds.one(tenant, before.herd_id);
    await this.#refuseImpossible(tenant, before, { herd, on: body.from }).catch((error: unknown) => {
      if (!(error instanceof Problem) || error.code !== 'rule-broken') throw error;
      throw new Problem('conflict', `${error.detail ?? ''} Draft the ration anew, with the right amount.`);
    });
    const superseded = others.find(
      (one) => (one.in_use_from ?? '') <= body.from && (one.in_use_until === null || one.in_use_until > body.from),
    );
    if (superseded !== undefined) {
      await this.store.use(tenant, superseded.id, { in_use_until: body.from });
      await this.store.note(tenant, superseded.id, 'ended', `Superseded by "${before.name}" from ${body.from}.`);
    }
    const after = await this.store.use(tenant, before.id, {
      in_use_from: body.from,
      in_use_until: body.until ?? later ?? null,
    });
    await this.store.note(
      tenant,
      after.id,
      'in-use',
      [`In use from ${body.from}.`, body.words].filter((text) => text !== undefined).join(' '),
    );
    await tenant.audit({
      action: 'ration.use',
      subjectKind: 'ration',
      subjectId: after.id,
      before: { ...before, superseded: superseded ?? null },
      after,
    });
    return this.#answer(tenant, after, query.units);
  }

  async end(tenant: OperationTenant, { params, query, body }: InputOf<typeof api.endRation>): Promise<Answer> {
    const named = await this.rations.one(tenant, params.rationId);
    await this.store.holdHerd(tenant, named.herd_id);
    const answer = await this.#step(
      tenant,
      params,
      query.units,
      'ended',
      [`In use until ${body.on}.`, body.words].filter((text) => text !== undefined).join(' '),
      (before) => {
        if (before.in_use_from === null) throw new Problem('conflict', 'This ration is not in use.');
        if (before.in_use_until !== null && before.in_use_until <= body.on)
          throw ruleBroken(
            '#/on',
            'ended-before',
            body.on,
            `before ${before.in_use_until}`,
            `This ration ended on ${before.in_use_until}.`,
          );
        if (body.on < before.in_use_from)
          throw ruleBroken(
            '#/on',
            'ends-before-it-begins',
            body.on,
            `${before.in_use_from} or later`,
            'A ration cannot end before it begins.',
          );
        return { until: body.on };
      },
    );
    if (body.on === named.in_use_from) await this.#useEarlierAgain(tenant, named);
    return answer;
  }

  /** A ration that ends on its first day was never in use: the one it superseded goes on. */
  async #useEarlierAgain(tenant: OperationTenant, ended: RationRow): Promise<void> {
    const earlier = (await this.rations.othersInUse(tenant, ended)).find(
      (one) => one.in_use_until !== null && one.in_use_until === ended.in_use_from,
    );
    if (earlier === undefined) return;
    const after = await this.store.use(tenant, earlier.id, { in_use_until: ended.in_use_until });
    await this.store.note(tenant, earlier.id, 'in-use', `In use again: "${ended.name}" ended on its first day.`);
    await tenant.audit({
      action: 'ration.use',
      subjectKind: 'ration',
      subjectId: earlier.id,
      before: earlier,
      after,
    });
  }

  async writeNote(
    tenant: OperationTenant,
    { params, body }: InputOf<typeof api.createRationNote>,
  ): Promise<AnswerOf<typeof api.createRationNote>> {
    if (!tenant.may('desk', tenant.operationId) && !tenant.may('records', tenant.operationId))
      throw new Problem(
        'not-permitted',
        'Notes on a ration are written by the nutritionist, a manager or the owner: the permission "desk" or ' +
          '"records" in this operation.',
      );
    const ration = await this.rations.one(tenant, params.rationId);
    const row = await this.store.note(tenant, ration.id, 'note', body.words);
    await tenant.audit({ action: 'ration-note.create', subjectKind: 'ration-note', subjectId: row.id, after: row });
    return {
      id: row.id,
      rationId: row.ration_id,
      kind: 'note',
      words: row.words,
      writtenAt: row.recorded_at,
      writtenBy: row.recorded_by,
      writer: await this.notes.ownName(tenant),
    };
  }

  async listNotes(
    tenant: OperationTenant,
    { params, query }: InputOf<typeof api.listRationNotes>,
  ): Promise<AnswerOf<typeof api.listRationNotes>> {
    const ration = await this.rations.one(tenant, params.rationId);
    return pageOf(
      await this.notes.page(tenant, ration.id, query),
      query.limit,
      (row) => ({
        id: row.id,
        rationId: row.ration_id,
        kind: row.kind,
        words: row.words,
        writtenAt: row.recorded_at,
        writtenBy: row.recorded_by,
        writer: row.writer,
      }),
      (row) => [row.id],
    );
  }

  /** Fills in shares and basis that were left out, from the named template. */
  async filled<Body extends { basis?: LayerBasis | undefined; layers: LayersIn; templateKey?: string | undefined }>(
    tenant: OperationTenant,
    body: Body,
  ): Promise<Body & { basis: LayerBasis }> {
    const template = body.templateKey === undefined ? undefined : await this.templates.byKey(tenant, body.templateKey);
    if (body.templateKey !== undefined && template === undefined)
      throw ruleBroken(
        '#/templateKey',
        'no-such-template',
        body.templateKey,
        "a template from this operation's list",
        'There is no such layer template.',
      );
    const basis = body.basis ?? template?.basis ?? (allByWeight(body.layers) ? 'as-fed' : undefined);
    if (basis === undefined)
      throw ruleBroken(
        '#/basis',
        'missing',
        null,
        'volume, as-fed or dry-matter',
        'Give the basis of the shares, or name a template.',
      );
    refuseShareAndWeight(body.layers);
    refuseFreeChoice(body.layers);
    const open = partsIn(body.layers).some((part) => part.sharePercent === undefined && part.weight === undefined);
    if (!open) return { ...body, basis };
    if (template === undefined)
      throw ruleBroken(
        '#/layers',
        'share-missing',
        null,
        'a share for every lot, or a template',
        'A share is missing and there is no template to take it from.',
      );
    if (basis !== template.basis)
      throw ruleBroken(
        '#/basis',
        'not-the-basis-of-the-template',
        basis,
        template.basis,
        `The shares of the template are by ${template.basis}.`,
      );
    return { ...body, basis, layers: sharesFrom(template, body.layers) };
  }

  /**
   * The content of a body, checked against the lots and the cattle: refused if it cannot be laid, or not be meant for
   * one of the herds.
   */
  async checked(
    tenant: OperationTenant,
    body: RationBody,
    { on, tests, herds }: { on: string; tests?: TestsKnown; herds: readonly WeighedHerd[] },
  ): Promise<{ content: RationContent; lots: Map<string, LotFacts> }> {
    const named = body.layers.flatMap((layer, index) =>
      layer.parts.map((part, inner) => ({ id: part.hayLotId, pointer: `#/layers/${index}/parts/${inner}/hayLotId` })),
    );
    const lots = await this.lotFacts.named(tenant, named, on, tests);
    const amount = amountOf(body);
    const content: RationContent = {
      basis: body.basis,
      amountKg: toMass(amount.weight).kilograms.toFixed(),
      amountBasis: amount.basis,
      statedWastedShare:
        body.wastedPercent === null || body.wastedPercent === undefined ? null : Number(body.wastedPercent) / 100,
      parts: body.layers.flatMap((layer, index) =>
        layer.parts.map((part) => ({
          position: index + 1,
          role: layer.role,
          lotId: part.hayLotId,
          sharePercent: part.weight === undefined ? (part.sharePercent ?? '0') : null,
          weight:
            part.weight === undefined ? null : { kilograms: toMass(part.weight).kilograms.toFixed(), ...part.weight },
          freeChoice: part.freeChoice,
          density:
            part.bulkDensity === undefined
              ? null
              : {
                  value: kilogramsPerCubicMeter(part.bulkDensity).toNumber(),
                  origin: 'measured' as const,
                  source: `stated in the ration: ${part.bulkDensity.value} ${part.bulkDensity.unit}`,
                },
        })),
      ),
    };
    const laid = layOut(content, lots);
    if (!laid.ok) throw problemOfCore(laid.problems, pointersOf(body.layers));
    refuseImpossibleRation(laid.value, { amount, herds, units: tenant.operation.unitPreference });
    return { content, lots };
  }

  /** A ration as stored, under another amount or of a herd that weighs something else by now. */
  async #refuseImpossible(
    tenant: OperationTenant,
    row: RationRow,
    { herd, on }: { herd: HerdRow; on: string },
  ): Promise<void> {
    const [layers, weighed] = await together(this.rations.layersOf(tenant, [row]), this.#weighed(tenant, herd, on));
    const own = layers.get(row.id) ?? [];
    const named = own.map((layer) => ({ id: layer.hay_lot_id, pointer: '#' }));
    const laid = layOut(contentOf(row, own), await this.lotFacts.named(tenant, named, on));
    if (laid.ok)
      refuseImpossibleRation(laid.value, {
        amount: amountBefore(row),
        herds: [weighed],
        units: tenant.operation.unitPreference,
      });
  }

  async #weighed(tenant: OperationTenant, herd: HerdRow, on: string): Promise<WeighedHerd> {
    const standing = (await this.states.of(tenant, [herd.id], on)).get(herd.id);
    return { name: herd.name, bodyWeightKg: standing?.weight.mass.kilograms.toNumber() ?? Infinity };
  }

  async #step(
    tenant: OperationTenant,
    params: { rationId: string },
    units: UnitSystem | undefined,
    kind: NoteKind,
    words: string | undefined,
    move: (before: RationRow) => {
      state?: 'draft' | 'proposed' | 'accepted';
      proposed?: boolean;
      accepted?: boolean;
      until?: string;
    },
  ): Promise<Answer> {
    const before = await this.rations.one(tenant, params.rationId);
    const { state, proposed, accepted, until } = move(before);
    const at = { at: tenant.moment.toISOString(), by: tenant.personId };
    const after = await this.store.change(tenant, before, {
      ...(state === undefined ? {} : { state }),
      ...(proposed === true ? { proposed_at: at.at, proposed_by: at.by } : {}),
      ...(accepted === true ? { accepted_at: at.at, accepted_by: at.by } : {}),
      ...(until === undefined ? {} : { in_use_until: until }),
    });
    await this.store.note(tenant, after.id, kind, words ?? '');
    await tenant.audit({ action: `ration.${kind}`, subjectKind: 'ration', subjectId: after.id, before, after });
    return this.#answer(tenant, after, units);
  }

  async #answer(tenant: OperationTenant, row: RationRow, units: UnitSystem | undefined): Promise<Answer> {
    return (await this.#writer(tenant, [row], units))(row);
  }

  async #writer(
    tenant: OperationTenant,
    rows: readonly RationRow[],
    units: UnitSystem | undefined,
  ): Promise<(row: RationRow) => Answer> {
    const [all, todayAt, layers] = await together(
      this.herds.all(tenant),
      this.herds.todayAt(tenant),
      this.rations.layersOf(tenant, rows),
    );
    const herds = new Map(all.map((herd) => [herd.id, herd]));
    const ranchIds = new Set(rows.flatMap((row) => herds.get(row.herd_id)?.ranch_id ?? []));
    const today = new Map([...todayAt].filter(([ranchId]) => ranchIds.has(ranchId)));
    const lotIds = [...new Set([...layers.values()].flat().map((layer) => layer.hay_lot_id))];
    const latest = [...today.values()].sort().at(-1) ?? tenant.moment.toISOString().slice(0, 10);
    const asked = [...new Set(rows.map((row) => row.herd_id))].flatMap((herdId) => {
      const herd = herds.get(herdId);
      return herd === undefined ? [] : [{ herd, on: today.get(herd.ranch_id) ?? latest }];
    });
    const named = lotIds.map((id) => ({ id, pointer: '#' }));
    const [lots, cautionsOf] = await together(
      this.lotFacts.named(tenant, named, latest),
      this.cautions.of(tenant, asked),
    );
    return (row) => {
      const herd = herds.get(row.herd_id);
      const laid = layOut(contentOf(row, layers.get(row.id) ?? []), lots);
      // The core checked this before it was stored; it can only refuse a lot whose dry matter was withdrawn since.
      if (!laid.ok) throw new Problem('conflict', laid.problems.map((one) => one.message).join(' '));
      return rationAnswer(
        row,
        laid.value,
        herd,
        { today: today.get(herd?.ranch_id ?? '') ?? latest, cautions: cautionsOf(row, laid.value) },
        units ?? tenant.operation.unitPreference,
      );
    };
  }
}

/** @throws Problem where no cattle of one of the herds can be meant to get so much a day. */
function refuseImpossibleRation(
  { parts }: LaidRation,
  { amount, herds, units }: { amount: AmountIn; herds: readonly WeighedHerd[]; units: UnitSystem },
): void {
  const dryMatterKg = ({ asFedKgPerHead, facts }: LaidPart): number =>
    (asFedKgPerHead * facts.lot.dryMatterPercent.value) / 100;
  const shared = parts.filter((part) => part.weight === null);
  const ofShares = { pointer: '#/amount/weight/value', given: amount.weight };
  const offered: OfferedPart[] = [
    ...(shared.length === 0
      ? []
      : [{ ...ofShares, dryMatterKgPerHead: shared.reduce((sum, part) => sum + dryMatterKg(part), 0) }]),
    ...parts.flatMap((part) => {
      if (part.weight === null) return [];
      const inner = parts.filter((one) => one.position === part.position).indexOf(part);
      const pointer = `#/layers/${part.position - 1}/parts/${inner}/weight/value`;
      return [{ pointer, given: part.weight, dryMatterKgPerHead: dryMatterKg(part) }];
    }),
  ];
  for (const { name, bodyWeightKg } of herds)
    refuseImpossibleOffer(offered, {
      herd: name,
      bodyWeightKg,
      mostKg: mostOfferedKg({ bodyWeightKg }),
      span: ' and day',
      whole: '#/layers',
      units,
    });
}

function backToDraft(before: RationRow): { state: 'draft' } {
  if (before.state !== 'proposed')
    throw new Problem(
      'conflict',
      `This ration is ${stateWords(before.state)}; only a proposed one can go back to draft.`,
    );
  return { state: 'draft' };
}

function stateWords(state: string): string {
  return state === 'draft' ? 'a draft' : state;
}

const partsIn = (layers: LayersIn): LayersIn[number]['parts'] => layers.flatMap((layer) => layer.parts);
const allByWeight = (layers: LayersIn): boolean => partsIn(layers).every((part) => part.weight !== undefined);
const amountBefore = (before: RationRow): AmountIn => ({
  weight: { value: before.amount_value, unit: before.amount_unit },
  basis: before.amount_basis,
});

/** The amount of a draft whose layers are replaced: as given now, else as before, unless no part has a share. */
function amountAfter(before: RationRow, layers: LayersIn, amount: AmountIn | undefined): AmountIn | undefined {
  return amount ?? (allByWeight(layers) ? undefined : amountBefore(before));
}

/** The total of the parts with a share; if every part is given by weight, the sum of the weights. */
function amountOf({ layers, amount }: Pick<RationBody, 'layers' | 'amount'>): AmountIn {
  const byWeight = allByWeight(layers);
  if (amount !== undefined && byWeight)
    throw ruleBroken(
      '#/amount',
      'amount-without-shares',
      `${amount.weight.value} ${amount.weight.unit}`,
      'left out where every part is given by weight',
      'No part has a share of the amount.',
    );
  if (amount !== undefined) return amount;
  if (!byWeight)
    throw ruleBroken(
      '#/amount',
      'missing',
      null,
      'a weight per head, or a weight for every part',
      'Give the amount that the shares divide.',
    );
  const weights = partsIn(layers).flatMap((part) => part.weight ?? []);
  // Pounds and ounces add up to pounds exactly; pounds and kilograms only to kilograms.
  const [first] = weights;
  const sameUnit = weights.every((one) => one.unit === first?.unit);
  const unit = sameUnit ? (first?.unit ?? 'kg') : weights.every((one) => systemOf(one.unit) === 'us') ? 'lb' : 'kg';
  const sum = weights.reduce((total, one) => total.plus(convertDecimal(one.value, one.unit, unit)), decimal(0));
  return { weight: { value: sum.toFixed(), unit }, basis: 'as-fed' };
}

function refuseShareAndWeight(layers: LayersIn): void {
  layers.forEach((layer, index) =>
    layer.parts.forEach((part, inner) => {
      if (part.sharePercent !== undefined && part.weight !== undefined)
        throw ruleBroken(
          `#/layers/${index}/parts/${inner}/weight`,
          'share-and-weight',
          `${part.weight.value} ${part.weight.unit}`,
          'a share or a weight',
          'A part is given by a share of the amount or by its own weight, not by both.',
        );
    }),
  );
}

/** Free-choice feed needs a stated intake and may not also be laid, and something else must be laid. */
function refuseFreeChoice(layers: LayersIn): void {
  const laid = new Set(partsIn(layers).flatMap((part) => (part.freeChoice ? [] : part.hayLotId)));
  layers.forEach((layer, index) =>
    layer.parts.forEach((part, inner) => {
      if (!part.freeChoice) return;
      const at = `#/layers/${index}/parts/${inner}`;
      if (part.weight === undefined)
        throw ruleBroken(
          `${at}/weight`,
          'intake-missing',
          null,
          'the intake expected per head per day, such as 4 oz',
          'Free-choice feed needs a stated intake.',
        );
      if (laid.has(part.hayLotId))
        throw ruleBroken(
          `${at}/hayLotId`,
          'laid-and-free-choice',
          part.hayLotId,
          'a lot that is not laid as well',
          'A lot is laid or fed free choice, not both in one ration.',
        );
    }),
  );
  if (laid.size === 0)
    throw ruleBroken('#/layers', 'nothing-laid', null, 'at least one part that is laid', 'Nothing of it is laid.');
}

function amountColumns({
  weight,
  basis,
}: AmountIn): Pick<RationRow, 'amount_kg' | 'amount_value' | 'amount_unit' | 'amount_basis'> {
  return {
    amount_kg: toMass(weight).kilograms.toFixed(),
    amount_value: weight.value,
    amount_unit: weight.unit,
    amount_basis: basis,
  };
}

function layerRows(layers: LayersIn): NewRationLayer[] {
  return layers.flatMap((layer, index) =>
    layer.parts.map((part, inner) => ({
      position: index + 1,
      part: inner + 1,
      role: layer.role,
      hay_lot_id: part.hayLotId,
      free_choice: part.freeChoice,
      ...(part.weight === undefined
        ? {
            share_percent: part.sharePercent ?? '0',
            share_value: part.sharePercent ?? '0',
            per_head_kg: null,
            per_head_value: null,
            per_head_unit: null,
          }
        : {
            share_percent: null,
            share_value: null,
            per_head_kg: toMass(part.weight).kilograms.toFixed(),
            per_head_value: part.weight.value,
            per_head_unit: part.weight.unit,
          }),
      density_kg_m3: part.bulkDensity === undefined ? null : kilogramsPerCubicMeter(part.bulkDensity).toFixed(6),
      density_value: part.bulkDensity?.value ?? null,
      density_unit: part.bulkDensity?.unit ?? null,
    })),
  );
}

function kilogramsPerCubicMeter({ value, unit }: DensityIn): ReturnType<typeof decimal> {
  return unit === 'kg/m3' ? decimal(value) : convertDecimal(value, unit, 'kg/m3').toDecimalPlaces(6);
}

/** A layer takes the template's share of its place in the build order, in equal parts for its lots. */
function sharesFrom(template: LayerTemplate, layers: LayersIn): LayersIn {
  if (
    template.layers.length !== layers.length ||
    template.layers.some((one, index) => one.role !== layers[index]?.role)
  ) {
    throw ruleBroken(
      '#/layers',
      'not-the-layers-of-the-template',
      layers.map((layer) => layer.role).join(', '),
      template.layers.map((layer) => layer.role).join(', '),
      'The layers do not match the template, so it cannot give their shares.',
    );
  }
  return layers.map((layer, index) => ({
    ...layer,
    parts: layer.parts.map((part) =>
      part.weight !== undefined
        ? part
        : {
            ...part,
            sharePercent:
              part.sharePercent ??
              decimal((template.layers[index]?.share ?? 0).toFixed(9))
                .times(100)
                .div(layer.parts.filter((one) => one.weight === undefined).length)
                .toDecimalPlaces(6)
                .toString(),
          },
    ),
  }));
}

/** The core counts the lots with a share of all layers in one row; the body has them layer by layer. */
function pointersOf(layers: LayersIn): (field: string) => string {
  const flat = layers.flatMap((layer, index) =>
    layer.parts.flatMap((part, inner) => (part.weight === undefined ? [`#/layers/${index}/parts/${inner}`] : [])),
  );
  return (field) => {
    const match = /^layers\[(\d+)\]\.(\w+)$/.exec(field);
    if (match === null) return field === 'amount' ? '#/amount/weight/value' : '#/layers';
    const place = flat[Number(match[1])] ?? '#/layers';
    return match[2] === 'share'
      ? `${place}/sharePercent`
      : match[2] === 'bulkDensityKgPerM3'
        ? `${place}/bulkDensity/value`
        : `${place}/hayLotId`;
  };
}
