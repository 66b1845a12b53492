import { Injectable } from '@nestjs/common';
import { type ChangedRow, type NewRow, recordStamp, thingStamp } from '../../platform/database/rows.js';
import type { OperationTenant } from '../../platform/database/types.js';
import { newId } from '../../platform/identifiers.js';
import type { AnimalRow, ArmRow, DrawRow, EventRow, TrialRow } from './trial.read.js';

export type ArmFields = Pick<ArmRow, 'position' | 'name' | 'role' | 'feeding'>;

/** Writes to a trial; except for a new one, its row is locked first. */
@Injectable()
export class TrialStore {
  async insert(
    tenant: OperationTenant,
    trial: Omit<NewRow<'trial'>, 'created_by'>,
    arms: readonly ArmFields[],
  ): Promise<TrialRow> {
    const row = await tenant.db
      .insertInto('trial')
      .values({ ...trial, ...thingStamp(tenant), created_by: tenant.personId })
      .returningAll()
      .executeTakeFirstOrThrow();
    await this.insertArms(tenant, row.id, arms);
    return row;
  }

  /** Raises a trial's version, even where only rows that belong to it changed. */
  async change({ db, operationId }: OperationTenant, id: string, changes: ChangedRow<'trial'>): Promise<void> {
    await db
      .updateTable('trial')
      .set((e) => ({ ...changes, version: e('version', '+', 1) }))
      .where('operation_id', '=', operationId)
      .where('id', '=', id)
      .execute();
  }

  async insertArms({ db, operationId }: OperationTenant, trialId: string, arms: readonly ArmFields[]): Promise<void> {
    await db
      .insertInto('trial_arm')
      .values(arms.map((arm) => ({ ...arm, operation_id: operationId, id: newId(), trial_id: trialId })))
      .execute();
  }

  async changeArm({ db, operationId }: OperationTenant, id: string, fields: ArmFields): Promise<void> {
    await db
      .updateTable('trial_arm')
      .set(fields)
      .where('operation_id', '=', operationId)
      .where('id', '=', id)
      .execute();
  }

  async removeArms({ db, operationId }: OperationTenant, ids: readonly string[]): Promise<void> {
    if (ids.length > 0)
      await db
        .deleteFrom('trial_arm')
        .where('operation_id', '=', operationId)
        .where('id', 'in', [...ids])
        .execute();
  }

  async insertDraw(
    tenant: OperationTenant,
    draw: NewRow<'trial_draw'>,
    animals: readonly Omit<AnimalRow, 'operation_id' | 'trial_draw_id'>[],
  ): Promise<{ row: DrawRow; animals: AnimalRow[] }> {
    const row = await tenant.db
      .insertInto('trial_draw')
      .values({ ...draw, ...recordStamp(tenant) })
      .returningAll()
      .executeTakeFirstOrThrow();
    const drawn = animals.map((animal) => ({ ...animal, operation_id: row.operation_id, trial_draw_id: row.id }));
    await tenant.db.insertInto('trial_animal').values(drawn).execute();
    return { row, animals: drawn };
  }

  async linkHerds(
    tenant: OperationTenant,
    trialId: string,
    links: readonly Omit<NewRow<'trial_herd'>, 'trial_id'>[],
  ): Promise<void> {
    if (links.length > 0)
      await tenant.db
        .insertInto('trial_herd')
        .values(links.map((link) => ({ ...link, trial_id: trialId, ...recordStamp(tenant) })))
        .execute();
  }

  async insertAmendment(tenant: OperationTenant, amendment: NewRow<'trial_amendment'>): Promise<void> {
    await tenant.db
      .insertInto('trial_amendment')
      .values({ ...amendment, ...recordStamp(tenant) })
      .execute();
  }

  async insertEvent(tenant: OperationTenant, event: NewRow<'trial_event'>): Promise<EventRow> {
    return tenant.db
      .insertInto('trial_event')
      .values({ ...event, ...recordStamp(tenant) })
      .returningAll()
      .executeTakeFirstOrThrow();
  }
}
