import { Injectable } from '@nestjs/common';
import { addDays, compareDays, daysBetween } from '../../core/time/calendar-day.js';
import type { FeedDay } from '../../core/trial/find-gaps.js';
import { protocolSheet } from '../../core/trial/protocol-sheet.js';
import type {
  AnimalEvent,
  AnimalEventKind,
  TrialAnimal,
  TrialArm,
  TrialProtocol,
  Weighing,
} from '../../core/trial/trial-records.js';
import { feedingOf, type PenFeedings, periodsOf, type TrialDesign } from '../../core/trial/trial-design.js';
import { decimal, type Decimal } from '../../core/units/decimal.js';
import { Mass } from '../../core/units/mass.js';
import type { OperationTenant } from '../../platform/database/types.js';
import { type AnimalWeightRow, WeighInRead, type WeighInRow } from '../../records/cattle/weigh-ins/weigh-in.read.js';
import { type FedWithin, FedWithinRead } from '../facts/fed-within.js';
import { LotFactsRead } from '../facts/lot-facts.js';
import { coreArms, lastWeighingDay } from './trial-plan.js';
import {
  type AnimalRow,
  animalName,
  drawnFeedings,
  type EventRow,
  planInForce,
  TrialRead,
  type WholeTrial,
} from './trial.read.js';
import type { TrialPlanTyped } from './trial.schema.js';
import { notReversed } from '../../records/kit/not-reversed.read.js';

/** A weigh-in that counts for a trial, and which of its animals do. */
interface AttachedWeighIn {
  id: string;
  on: string;
  day: number;
  fill: 'full' | 'shrunk';
  hoursOffFeed: number;
  animals: number;
  others: string[];
}

/**
 * A feeding of an arm's herd. `share` is less than one where more cattle ate than are in the trial (`shareOfHead`), or
 * where it was laid for several days and some of them are not of the trial.
 */
export interface AttachedFeeding {
  id: string;
  on: string;
  day: number;
  armId: string;
  pen: string | null;
  herdId: string;
  headFed: number;
  trialHead: number;
  share: Decimal;
  shareOfHead: Decimal;
  refused: Mass | null;
  wasted: Mass | null;
  layers: { hayLotId: string; mass: Mass }[];
}

interface AttachedWeights {
  weighIns: AttachedWeighIn[];
  /** By the animal's position in the draw. */
  ofAnimal: Map<number, Weighing[]>;
  /** The herds that an animal was weighed with, oldest first. */
  weighedIn: Map<number, string[]>;
}

/** Everything in the books about a trial up to a day. */
export interface TrialBooks {
  asOf: string;
  today: number;
  plan: TrialPlanTyped;
  protocol: TrialProtocol;
  arms: TrialArm[];
  animals: TrialAnimal[];
  rows: AnimalRow[];
  weighIns: AttachedWeighIn[];
  feedings: AttachedFeeding[];
  feedDays: FeedDay[];
  /** Periods or blocks, and what was drawn for each pen; null where arms stand side by side. */
  designed: { design: TrialDesign; feedings: readonly PenFeedings[] } | null;
  events: EventRow[];
  lots: ReadonlyMap<string, { name: string; dryMatterShare: Decimal; restsOnBookValue: boolean }>;
}

const CORE_EVENT: Readonly<Record<string, AnimalEventKind>> = {
  sick: 'sick',
  treated: 'sick',
  moved: 'moved',
  'wrong-feed': 'wrong-feed',
  died: 'died',
  sold: 'sold',
  lost: 'lost',
};
const LEAVES = new Set(['died', 'sold', 'lost']);

/** Feedings and weigh-ins are assigned to arms automatically: by the herd that was fed, by the tag that was weighed. */
@Injectable()
export class TrialBooksRead {
  constructor(
    private readonly trials: TrialRead,
    private readonly fedWithin: FedWithinRead,
    private readonly lotFacts: LotFactsRead,
    private readonly weighIns: WeighInRead,
  ) {}

  async upTo(tenant: OperationTenant, trial: WholeTrial, begins: string, asOf: string): Promise<TrialBooks> {
    const plan = planInForce(trial);
    const { protocol } = protocolSheet({
      lengthDays: plan.lengthDays,
      twoDays: plan.twoWeighingDays,
      fill: plan.fill,
      hoursOffFeed: plan.hoursOffFeed,
      interimDays: plan.interimWeighingDays,
      unit: plan.unit,
      design: plan.design,
    });
    const until = trial.row.closed_on !== null && trial.row.closed_on < asOf ? trial.row.closed_on : asOf;
    const draw = await this.trials.draw(tenant, trial.row.id);
    const rows = draw === undefined ? [] : await this.trials.animals(tenant, [draw.id]);
    const events = await this.trials.events(tenant, trial.row.id, until);
    const { weighIns, ofAnimal, weighedIn } = await this.#weighIns(
      tenant,
      trial,
      rows,
      begins,
      until,
      lastWeighingDay(plan),
    );
    const penOf = (row: AnimalRow): string | null =>
      row.pen ?? herdFedWith(trial, row.arm_id, weighedIn.get(row.position));
    const animals = rows.map((row): TrialAnimal => ({
      id: animalName(row),
      armId: row.arm_id,
      penId: penOf(row),
      weighings: ofAnimal.get(row.position) ?? [],
      events: events
        .filter((event) => event.animal_position === row.position)
        .map((event): AnimalEvent => ({
          day: daysBetween(begins, event.happened_on),
          kind: CORE_EVENT[event.kind] ?? 'lost',
          ...(event.note === null ? {} : { note: event.note }),
        })),
    }));
    const designed = plan.design === null ? null : { design: plan.design, feedings: drawnFeedings(draw) };
    const span = { begins, until, lengthDays: plan.lengthDays, designed };
    const feedings = await this.#feedings(tenant, trial, rows, events, span);
    return {
      asOf: until,
      today: daysBetween(begins, until),
      plan,
      protocol,
      arms: coreArms(trial.arms),
      animals,
      rows,
      weighIns,
      feedings,
      feedDays: feedDaysOf(feedings),
      designed,
      events,
      lots: await this.#hay(tenant, feedings, until),
    };
  }

  async #weighIns(
    tenant: OperationTenant,
    trial: WholeTrial,
    rows: readonly AnimalRow[],
    begins: string,
    until: string,
    lastDay: number,
  ): Promise<AttachedWeights> {
    const { db, operationId } = tenant;
    const herdIds = [...new Set([trial.row.herd_id, ...trial.herds.map((herd) => herd.herd_id)])];
    const end = addDays(begins, lastDay);
    const found = await db
      .selectFrom('weigh_in')
      .selectAll('weigh_in')
      .where('weigh_in.operation_id', '=', operationId)
      .where('weigh_in.herd_id', 'in', herdIds)
      .where('weigh_in.scope', '=', 'animal')
      .where(notReversed('weigh_in'))
      .where('weigh_in.happened_on', '>=', begins)
      .where('weigh_in.happened_on', '<=', until < end ? until : end)
      .orderBy('weigh_in.happened_on')
      .orderBy('weigh_in.id')
      .execute();
    if (found.length === 0) return { weighIns: [], ofAnimal: new Map(), weighedIn: new Map() };
    const weights = await this.weighIns.animalsOf(
      tenant,
      found.map((one) => one.id),
    );
    return attachWeights(found, weights, { rows, begins });
  }

  async #feedings(
    tenant: OperationTenant,
    trial: WholeTrial,
    rows: readonly AnimalRow[],
    events: readonly EventRow[],
    span: { begins: string; until: string; lengthDays: number; designed: TrialBooks['designed'] },
  ): Promise<AttachedFeeding[]> {
    const { begins, until, lengthDays, designed } = span;
    const found: (FedWithin & { period: number })[] = [];
    // Hay laid before a change-over and eaten after it counts on both feedings, by the days that it was fed for.
    for (const period of periodsOf(designed?.design, lengthDays)) {
      const [from, end] = [addDays(begins, period.from), addDays(begins, period.until)];
      if (from > until) continue;
      for (const herdId of new Set(trial.herds.map((herd) => herd.herd_id))) {
        const within = await this.fedWithin.of(tenant, herdId, {
          from,
          until: addDays(until, 1) < end ? addDays(until, 1) : end,
          knownUntil: until,
        });
        found.push(...within.map((one) => ({ ...one, period: period.number })));
      }
    }
    const armIn = (link: WholeTrial['herds'][number], period: number): string => {
      const drawn = designed?.feedings.find((one) => one.penId === link.pen);
      return drawn === undefined ? link.arm_id : feedingOf(drawn, period);
    };
    const fed = found
      .filter((one) => one.share.gt(0))
      .sort(({ feeding: a }, { feeding: b }) => compareDays(a.happened_on, b.happened_on) || (a.id < b.id ? -1 : 1));
    const linkOf = new Map(trial.herds.map((herd) => [herd.herd_id, herd]));
    const goneFrom = new Map(
      events.filter((event) => LEAVES.has(event.kind)).map((event) => [event.animal_position, event.happened_on]),
    );
    return fed.flatMap(({ feeding: one, layers, share: ofDays, period }): AttachedFeeding[] => {
      const link = linkOf.get(one.herd_id);
      if (link === undefined) return [];
      const pen = link.pen ?? soleHerd(trial, link.arm_id);
      const herdsOfArm = trial.herds.filter((herd) => herd.arm_id === link.arm_id).length;
      const members = rows.filter(
        (row) =>
          row.arm_id === link.arm_id &&
          (link.pen === null || row.pen === link.pen) &&
          (goneFrom.get(row.position) ?? '9999') > one.happened_on,
      ).length;
      // Where an arm is spread over several herds without pens, nobody recorded which animal is where, so feedings
      // count in full.
      const known = link.pen !== null || herdsOfArm === 1;
      const ofHead = known && members < one.head_fed ? decimal(members).div(one.head_fed) : decimal(1);
      return [
        {
          id: one.id,
          on: one.happened_on,
          day: daysBetween(begins, one.happened_on),
          armId: armIn(link, period),
          pen,
          herdId: one.herd_id,
          headFed: one.head_fed,
          trialHead: known ? members : one.head_fed,
          share: ofHead.times(ofDays),
          shareOfHead: ofHead,
          refused: one.refused_kg === null ? null : Mass.kilograms(one.refused_kg),
          wasted: one.wasted_kg === null ? null : Mass.kilograms(one.wasted_kg),
          layers: layers.map((layer) => ({
            hayLotId: layer.hay_lot_id,
            mass: Mass.kilograms(layer.kilograms),
          })),
        },
      ];
    });
  }

  /** Dry matter of each lot fed, from its tests known on that day or the book value of its kind. */
  async #hay(tenant: OperationTenant, feedings: readonly AttachedFeeding[], on: string): Promise<TrialBooks['lots']> {
    const ids = [...new Set(feedings.flatMap((one) => one.layers.map((layer) => layer.hayLotId)))].sort();
    const here = { id: tenant.operationId, time_zone: tenant.operation.timeZone };
    const known = await this.lotFacts.across(tenant, [here], ids, on, 'then');
    return new Map(
      [...known].map(([id, { lot }]) => [
        id,
        {
          name: lot.lotName,
          dryMatterShare: decimal(lot.dryMatterPercent.value.toFixed(4)).div(100),
          restsOnBookValue: lot.dryMatterPercent.origin === 'book-value',
        },
      ]),
    );
  }
}

/** Finds the drawn animal that a weight belongs to: by its electronic tag, else by its visual one. */
function finderOf(rows: readonly AnimalRow[]): (weight: AnimalWeightRow) => AnimalRow | undefined {
  const byElectronicId = new Map(rows.map((row) => [row.electronic_id ?? '', row]));
  const byVisualTag = new Map(rows.flatMap((row) => (row.visual_tag === null ? [] : [[row.visual_tag, row] as const])));
  return ({ electronic_id: electronicId, visual_tag: visualTag }) =>
    (electronicId === null ? undefined : byElectronicId.get(electronicId)) ??
    (visualTag === null ? undefined : byVisualTag.get(visualTag));
}

/** The weigh-ins that weighed animals of the trial, and the weights of each animal by its position in the draw. */
function attachWeights(
  found: readonly WeighInRow[],
  weights: readonly AnimalWeightRow[],
  { rows, begins }: { rows: readonly AnimalRow[]; begins: string },
): AttachedWeights {
  const ofAnimal = new Map<number, Weighing[]>();
  const weighedIn = new Map<number, string[]>();
  const animalOf = finderOf(rows);
  const weighIns = found.map((one): AttachedWeighIn => {
    const weighing = {
      day: daysBetween(begins, one.happened_on),
      fill: one.fill,
      hoursOffFeed: Number(one.hours_off_feed ?? '0'),
    };
    const others: string[] = [];
    let animals = 0;
    for (const weight of weights.filter((each) => each.weigh_in_id === one.id)) {
      const row = animalOf(weight);
      if (row === undefined) {
        others.push(weight.visual_tag ?? weight.electronic_id ?? '');
        continue;
      }
      animals += 1;
      weighedIn.set(row.position, [...(weighedIn.get(row.position) ?? []), one.herd_id]);
      const weightKg = lessShrink(weight.kilograms, one.shrink_pct);
      ofAnimal.set(row.position, [...(ofAnimal.get(row.position) ?? []), { ...weighing, weightKg }]);
    }
    return { id: one.id, on: one.happened_on, ...weighing, animals, others };
  });
  return { weighIns: weighIns.filter((one) => one.animals > 0), ofAnimal, weighedIn };
}

function lessShrink(kilograms: string, shrinkPercent: string | null): number {
  const kept = decimal('100')
    .minus(shrinkPercent ?? '0')
    .div(100);
  return Mass.kilograms(kilograms).times(kept).kilograms.toNumber();
}

/** Animals of one arm that are fed as one herd count as one pen, whatever the plan calls them. */
function soleHerd(trial: WholeTrial, armId: string): string | null {
  const herds = trial.herds.filter((herd) => herd.arm_id === armId);
  return herds.length === 1 ? (herds[0]?.herd_name ?? null) : null;
}

/**
 * The herd that an animal without a pen was fed with: its arm's only herd, else the first herd of its arm that it was
 * weighed with. Where nobody weighed it with one, all herds of its arm count as one, since nobody knows which was its.
 */
function herdFedWith(trial: WholeTrial, armId: string, weighedWith: readonly string[] = []): string | null {
  const herds = trial.herds.filter((herd) => herd.arm_id === armId);
  const weighed = herds.find(
    (herd) => herd.herd_id === weighedWith.find((id) => herds.some((one) => one.herd_id === id)),
  );
  if (herds.length === 0) return null;
  return soleHerd(trial, armId) ?? weighed?.herd_name ?? herds.map((herd) => herd.herd_name).join(', ');
}

function feedDaysOf(feedings: readonly AttachedFeeding[]): FeedDay[] {
  const days = new Map<string, FeedDay>();
  for (const feeding of feedings) {
    const key = `${feeding.day} ${feeding.armId} ${feeding.pen ?? ''}`;
    const known = days.get(key);
    days.set(key, {
      day: feeding.day,
      armId: feeding.armId,
      penId: feeding.pen,
      fedRecorded: true,
      refusalsRecorded: (known?.refusalsRecorded ?? false) || feeding.refused !== null,
      wasteRecorded: (known?.wasteRecorded ?? false) || feeding.wasted !== null,
    });
  }
  return [...days.values()];
}
