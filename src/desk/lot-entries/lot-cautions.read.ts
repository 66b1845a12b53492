import { Injectable } from '@nestjs/common';
import { type RaisedCaution, worstFirst } from '../../core/cautions/caution.js';
import { cautionsOfLotAlone } from '../../core/judge/lot-dangers.js';
import { dayIn } from '../../platform/clock.js';
import type { OperationTenant } from '../../platform/database/types.js';
import { HerdRead } from '../../records/cattle/herds/herd.read.js';
import { HerdStateRead } from '../../records/cattle/standing/herd-state.read.js';
import { LotFactsRead, testingOf } from '../facts/lot-facts.js';

/** What lots are under today, for the classes of cattle that the operation keeps. */
@Injectable()
export class LotCautionsRead {
  constructor(
    private readonly lots: LotFactsRead,
    private readonly herds: HerdRead,
    private readonly states: HerdStateRead,
  ) {}

  /** Of all the lots together, worst first. */
  async of(tenant: OperationTenant, lotIds: readonly string[]): Promise<readonly RaisedCaution[]> {
    if (lotIds.length === 0) return [];
    const { operationId, operation } = tenant;
    const today = dayIn(operation.timeZone, tenant.moment);
    const lots = await this.lots.across(tenant, [{ id: operationId, time_zone: operation.timeZone }], lotIds, today);
    const herdIds = (await this.herds.all(tenant)).map((herd) => herd.id);
    const herds = await this.states.of({ db: tenant.db, operationIds: [operationId] }, herdIds, today);
    const kept = [...herds.values()].flatMap(({ parts }) => parts.map(({ animal }) => animal.class));
    return worstFirst(
      [...lots.values()].flatMap((facts) =>
        cautionsOfLotAlone(facts.lot, { testing: testingOf([facts], today, false), observed: [facts.observed] }, kept),
      ),
    );
  }
}
