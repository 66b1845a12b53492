import { Injectable } from '@nestjs/common';
import { calvingDoubt, misfitOf } from '../../../core/standing/fact-fit.js';
import { classOfNoEffect, classUntilTheNext } from '../../../core/standing/herd-state.js';
import type { HerdFact } from '../../../core/standing/herd-on-file.js';
import type { OperationTenant } from '../../../platform/database/types.js';
import { ruleBroken } from '../../../platform/http/problem.js';
import { factOf, HerdEventRead, type HerdEventRow } from './herd-event.read.js';
import type { EntryWarning } from '../../kit/entry-warning.schema.js';
import type { NewHerdEvent } from './herd-event.store.js';
import type { HerdRow } from './herd.read.js';
import { HerdRead } from './herd.read.js';

/** Fields that give an event, by kind: a herd gives breeding and calving by their mean days. */
type Pointers = Partial<Record<NewHerdEvent['kind'], string>>;

/**
 * Checks new events of a herd against the existing ones and its head count, and refuses in words what cannot be true.
 */
@Injectable()
export class HerdEventFit {
  constructor(
    private readonly events: HerdEventRead,
    private readonly herds: HerdRead,
  ) {}

  async refuse(
    tenant: OperationTenant,
    herd: Pick<HerdRow, 'id' | 'name' | 'cattle_class'>,
    entered: readonly NewHerdEvent[],
    pointers: Pointers = {},
  ): Promise<void> {
    if (!entered.some((one) => FITTED.includes(one.kind))) return;
    const standing = ((await this.events.standing(tenant, [herd.id])).get(herd.id) ?? []).map(factOf);
    for (const one of entered) {
      const fact = factAsEntered(one, tenant.moment);
      const misfit = misfitOf(standing, fact, herd.cattle_class);
      if (misfit !== undefined)
        throw ruleBroken(
          pointers[one.kind] ?? `#/${misfit.field ?? 'happenedOn'}`,
          misfit.code,
          misfit.given,
          misfit.allowed,
          misfit.message,
        );
      standing.push(fact);
      if (fact.kind === 'pregnancy-check') await this.#refuseTooMany(tenant, herd, fact);
    }
  }

  /** What is unlikely of the calvings among these events, and which classes change nothing, by all that stands. */
  async warnings(
    tenant: OperationTenant,
    herd: Pick<HerdRow, 'id' | 'cattle_class' | 'sex'>,
    rows: readonly HerdEventRow[],
  ): Promise<Map<HerdEventRow, EntryWarning[]>> {
    const doubtful = rows.filter((row) => row.kind === 'calved' || row.kind === 'class');
    if (doubtful.length === 0) return new Map();
    const facts = ((await this.events.standing(tenant, [herd.id])).get(herd.id) ?? []).map(factOf);
    return new Map(doubtful.map((row) => [row, warningOf(herd, facts, factOf(row))]));
  }

  /** No more can be checked than there are. Before the first head change nobody knows how many there were. */
  async #refuseTooMany(
    tenant: OperationTenant,
    herd: Pick<HerdRow, 'id' | 'name'>,
    { on, headChecked }: Extract<HerdFact, { kind: 'pregnancy-check' }>,
  ): Promise<void> {
    const head = await this.herds.mostHeadOn(tenant, herd.id, on);
    if (head === undefined || headChecked <= head) return;
    throw ruleBroken(
      '#/headChecked',
      'more-head-than-the-herd',
      headChecked,
      `1 to ${head}`,
      `${herd.name} has ${head} head on ${on}; ${headChecked} cannot have been checked. If the head is wrong, enter ` +
        'the head change first.',
    );
  }
}

function warningOf(
  { cattle_class: cattleClass, sex }: Pick<HerdRow, 'cattle_class' | 'sex'>,
  facts: readonly HerdFact[],
  fact: HerdFact,
): EntryWarning[] {
  const doubt = fact.kind === 'calved' ? calvingDoubt(facts, fact) : undefined;
  const idle = fact.kind === 'class' ? classOfNoEffect(facts, { cattleClass, sex }, fact) : undefined;
  const ended = fact.kind === 'class' ? classUntilTheNext(facts, fact) : undefined;
  return [
    ...(doubt === undefined ? [] : [{ code: 'calving-unlikely', message: doubt }]),
    ...(idle === undefined ? [] : [{ code: 'class-without-effect', message: idle }]),
    ...(ended === undefined ? [] : [{ code: 'class-until-the-next', message: ended }]),
  ];
}

const FITTED: readonly NewHerdEvent['kind'][] = ['bred', 'pregnancy-check', 'calved', 'weaned'];

/** An event that is not yet in the books, as the core reads it. */
function factAsEntered(entered: NewHerdEvent, moment: Date): HerdFact {
  return factOf({
    median_on: null,
    last_on: null,
    service: null,
    head_checked: null,
    head_open: null,
    body_condition: null,
    cattle_class: null,
    mass_kg: null,
    place_id: null,
    ...entered,
    opening: entered.opening === true,
    id: 'new',
    recorded_at: moment.toISOString(),
  });
}
