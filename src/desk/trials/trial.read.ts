import { Injectable } from '@nestjs/common';
import { type Selectable, sql } from 'kysely';
import { z } from 'zod';
import type { DB, OperationTenant, Words } from '../../platform/database/types.js';
import { type PageAsked, readCursor } from '../../platform/http/cursor.js';
import { notFound } from '../../platform/http/problem.js';
import { byName } from '../../records/kit/name-order.read.js';
import { newestFirst } from '../../records/kit/newest-first.read.js';
import type { PenFeedings } from '../../core/trial/trial-design.js';
import type { TrialPlanTyped } from './trial.schema.js';
import { notReversed } from '../../records/kit/not-reversed.read.js';

export type TrialRow = Selectable<DB['trial']>;
export type ArmRow = Selectable<DB['trial_arm']>;
export type DrawRow = Selectable<DB['trial_draw']>;
export type AnimalRow = Selectable<DB['trial_animal']>;
export type EventRow = Selectable<DB['trial_event']>;
type AmendmentRow = Selectable<DB['trial_amendment']>;
type HerdLink = Selectable<DB['trial_herd']> & { herd_name: string };

/** What an amendment changed; an absent field stays. */
export interface AmendedFields {
  lengthDays?: number;
  interimWeighingDays?: number[];
  herdHead?: number | null;
  herds?: { armId: string; pen: string | null; herdId: string }[];
}

/** A trial with the rows that belong to it. */
export interface WholeTrial {
  row: TrialRow;
  plan: TrialPlanTyped;
  arms: ArmRow[];
  amendments: AmendmentRow[];
  herds: HerdLink[];
  draws: number;
  judgements: number;
}

function planOf(row: Pick<TrialRow, 'plan'>): TrialPlanTyped {
  // Plans of earlier releases name no losses, ask for no equivalence and have arms side by side, without futility.
  return {
    expectedLosses: null,
    equivalence: false,
    design: null,
    futility: null,
    ...(row.plan as Omit<TrialPlanTyped, 'expectedLosses' | 'equivalence' | 'design' | 'futility'>),
  };
}

/** The plan with its amendments, later ones over earlier ones. */
export function planInForce({ plan, amendments }: Pick<WholeTrial, 'plan' | 'amendments'>): TrialPlanTyped {
  return amendments.reduce<TrialPlanTyped>((known, amendment) => {
    const { lengthDays, interimWeighingDays, herdHead } = amendment.changes as AmendedFields;
    return {
      ...known,
      ...(lengthDays === undefined ? {} : { lengthDays }),
      ...(interimWeighingDays === undefined ? {} : { interimWeighingDays }),
      ...(herdHead === undefined ? {} : { herdHead }),
    };
  }, plan);
}

/** What a draw gave each pen of a trial with periods or blocks; none without them. */
export function drawnFeedings(draw: Pick<DrawRow, 'answer'> | undefined): readonly PenFeedings[] {
  return (draw?.answer as { feedings?: PenFeedings[] } | undefined)?.feedings ?? [];
}

/** The name that an animal goes by in a trial: its tag, or its electronic number where it has none. */
export function animalName(row: Pick<AnimalRow, 'visual_tag' | 'electronic_id'>): string {
  return row.visual_tag ?? row.electronic_id ?? '';
}

const drawOrder = z.tuple([z.coerce.number().int().min(1)]);

/** Questions about trials. */
@Injectable()
export class TrialRead {
  /** @throws Problem not-found. With `lock`, nobody else changes this trial until the transaction ends. */
  async row({ db, operationId }: OperationTenant, trialId: string, { lock = false } = {}): Promise<TrialRow> {
    const select = db.selectFrom('trial').selectAll().where('operation_id', '=', operationId).where('id', '=', trialId);
    const row = await (lock ? select.forUpdate() : select).executeTakeFirst();
    if (row === undefined) throw notFound('trial');
    return row;
  }

  async one(tenant: OperationTenant, trialId: string, options?: { lock?: boolean }): Promise<WholeTrial> {
    const row = await this.row(tenant, trialId, options);
    const [whole] = await this.whole(tenant, [row]);
    if (whole === undefined) throw notFound('trial');
    return whole;
  }

  async page(
    { db, operationId }: OperationTenant,
    query: PageAsked & { state?: Words['TrialState'] | undefined },
  ): Promise<TrialRow[]> {
    let select = db.selectFrom('trial').selectAll().where('operation_id', '=', operationId);
    if (query.state !== undefined) select = select.where('state', '=', query.state);
    return byName(select, query).execute();
  }

  async whole({ db, operationId }: OperationTenant, rows: readonly TrialRow[]): Promise<WholeTrial[]> {
    if (rows.length === 0) return [];
    const ids = rows.map((row) => row.id);
    const arms = await db
      .selectFrom('trial_arm')
      .selectAll()
      .where('operation_id', '=', operationId)
      .where('trial_id', 'in', ids)
      .orderBy('position')
      .orderBy('id')
      .execute();
    const amendments = await db
      .selectFrom('trial_amendment')
      .selectAll()
      .where('operation_id', '=', operationId)
      .where('trial_id', 'in', ids)
      .orderBy('number')
      .execute();
    const herds = await db
      .selectFrom('trial_herd')
      .innerJoin('herd', (join) =>
        join.onRef('herd.operation_id', '=', 'trial_herd.operation_id').onRef('herd.id', '=', 'trial_herd.herd_id'),
      )
      .selectAll('trial_herd')
      .select('herd.name as herd_name')
      .where('trial_herd.operation_id', '=', operationId)
      .where('trial_herd.trial_id', 'in', ids)
      .orderBy('herd.name')
      .orderBy('herd.id')
      .execute();
    const count = async (table: 'trial_draw' | 'trial_judgement'): Promise<Map<string, number>> => {
      const counted = await db
        .selectFrom(table)
        .select(['trial_id', sql<string>`count(*)`.as('rows')])
        .where('operation_id', '=', operationId)
        .where('trial_id', 'in', ids)
        .groupBy('trial_id')
        .execute();
      return new Map(counted.map((one) => [one.trial_id, Number(one.rows)]));
    };
    const draws = await count('trial_draw');
    const judgements = await count('trial_judgement');
    return rows.map((row) => ({
      row,
      plan: planOf(row),
      arms: arms.filter((arm) => arm.trial_id === row.id),
      amendments: amendments.filter((one) => one.trial_id === row.id),
      herds: herds.filter((herd) => herd.trial_id === row.id),
      draws: draws.get(row.id) ?? 0,
      judgements: judgements.get(row.id) ?? 0,
    }));
  }

  /** The draw that counts: the newest. */
  async draw({ db, operationId }: OperationTenant, trialId: string): Promise<DrawRow | undefined> {
    return db
      .selectFrom('trial_draw')
      .selectAll()
      .where('operation_id', '=', operationId)
      .where('trial_id', '=', trialId)
      .orderBy('number', 'desc')
      .limit(1)
      .executeTakeFirst();
  }

  async oneDraw({ db, operationId }: OperationTenant, trialId: string, id: string): Promise<DrawRow> {
    const row = await db
      .selectFrom('trial_draw')
      .selectAll()
      .where('operation_id', '=', operationId)
      .where('trial_id', '=', trialId)
      .where('id', '=', id)
      .executeTakeFirst();
    if (row === undefined) throw notFound('draw');
    return row;
  }

  /** Every draw, newest first. */
  async draws({ db, operationId }: OperationTenant, trialId: string, query: PageAsked): Promise<DrawRow[]> {
    let select = db
      .selectFrom('trial_draw')
      .selectAll()
      .where('operation_id', '=', operationId)
      .where('trial_id', '=', trialId)
      .orderBy('number', 'desc')
      .limit(query.limit + 1);
    if (query.cursor !== undefined) select = select.where('number', '<', readCursor(query.cursor, drawOrder)[0]);
    return select.execute();
  }

  async animals({ db, operationId }: OperationTenant, drawIds: readonly string[]): Promise<AnimalRow[]> {
    if (drawIds.length === 0) return [];
    return db
      .selectFrom('trial_animal')
      .selectAll()
      .where('operation_id', '=', operationId)
      .where('trial_draw_id', 'in', [...drawIds])
      .orderBy('trial_draw_id')
      .orderBy('position')
      .execute();
  }

  /** Includes reversed ones. */
  async oneEvent({ db, operationId }: OperationTenant, trialId: string, id: string): Promise<EventRow> {
    const row = await db
      .selectFrom('trial_event')
      .selectAll()
      .where('operation_id', '=', operationId)
      .where('trial_id', '=', trialId)
      .where('id', '=', id)
      .executeTakeFirst();
    if (row === undefined) throw notFound('event');
    return row;
  }

  /** Newest first, including reversed ones. */
  async eventPage({ db, operationId }: OperationTenant, trialId: string, query: PageAsked): Promise<EventRow[]> {
    return newestFirst(
      db.selectFrom('trial_event').selectAll().where('operation_id', '=', operationId).where('trial_id', '=', trialId),
      query,
    ).execute();
  }

  /** Events up to a day that were not reversed, oldest first. */
  async events({ db, operationId }: OperationTenant, trialId: string, until: string): Promise<EventRow[]> {
    return db
      .selectFrom('trial_event')
      .selectAll('trial_event')
      .where('trial_event.operation_id', '=', operationId)
      .where('trial_event.trial_id', '=', trialId)
      .where(notReversed('trial_event'))
      .where('trial_event.happened_on', '<=', until)
      .orderBy('trial_event.happened_on')
      .orderBy('trial_event.id')
      .execute();
  }
}
