import { Injectable } from '@nestjs/common';
import { DEFAULT_WEIGHING_WINDOW_DAYS } from '../../core/gain/cost-of-gain.js';
import { oneADay } from '../../core/gain/comparable-weighings.js';
import { ratesOf } from '../../core/season/yardage.js';
import { addDays, daysBetween } from '../../core/time/calendar-day.js';
import { whatStands } from '../../core/time/what-stands.js';
import { Mass } from '../../core/units/mass.js';
import { DAYS_AROUND, FedWithinRead } from '../../desk/facts/fed-within.js';
import { dayIn } from '../../platform/clock.js';
import type { OperationTenant } from '../../platform/database/types.js';
import type { AnswerOf, InputOf } from '../../platform/http/endpoint.js';
import { asCurrency, type UnitSystem } from '../../platform/wire/quantity.schema.js';
import { HerdRead } from '../../records/cattle/herds/herd.read.js';
import { WeighInRead } from '../../records/cattle/weigh-ins/weigh-in.read.js';
import { CostingService } from '../../records/hay/costing/costing.service.js';
import { HayLotRead } from '../../records/hay/lots/hay-lot.read.js';
import { YardageRateRead } from '../../records/yard/yardage-rates/yardage-rate.read.js';
import { ClosedReportRead } from '../closings/closed-report.read.js';
import { methodChangeFlags } from '../method-change.js';
import { spanOf } from '../report-period.js';
import type * as api from './cost-of-gain.schema.js';
import { accountUntil, herdRow, keyOf, type Spread, weighingsAt } from './herd-row.js';

type Answer = AnswerOf<typeof api.getCostOfGain>;

/** How the figures are worked out, in the words of the report. */
const METHOD =
  'Cost between the two weighings over the weight gained between them: closing weight + weight out − ' +
  'weight in − opening weight. What was laid for several days counts over these. Means stand for the whole ' +
  'herd. (Total cost over total gain: Nebraska Extension G2095, 2023.) The weight of the dead counts as gained ' +
  'up to their death (deads out), and in a second figure not at all (deads in): both terms are of the trade, ' +
  'from memory. What was reversed as of a day of the span is not there, nor its reversal; what corrects days ' +
  'before it stands apart. Late costs are bills that came after hay was eaten, shared by who ate of the lot.';

@Injectable()
export class CostOfGainService {
  constructor(
    private readonly herds: HerdRead,
    private readonly weighIns: WeighInRead,
    private readonly costing: CostingService,
    private readonly yardage: YardageRateRead,
    private readonly closed: ClosedReportRead,
    private readonly fedWithin: FedWithinRead,
    private readonly lots: HayLotRead,
  ) {}

  async report(tenant: OperationTenant, { query }: InputOf<typeof api.getCostOfGain>): Promise<Answer> {
    spanOf(query);

    const units = query.units ?? tenant.operation.unitPreference;
    const compute = (): ReturnType<typeof this.compute> => this.compute(tenant, { ...query, units });
    if (query.herdId !== undefined || query.windowDays !== DEFAULT_WEIGHING_WINDOW_DAYS)
      return { ...(await compute()), closed: null };
    return this.closed.orWorkedOut<Answer>(tenant, { name: 'cost-of-gain', units, span: query }, compute);
  }

  /** The report from the books as they are now. */
  async compute(
    tenant: OperationTenant,
    query: { from: string; until: string; windowDays: number; herdId?: string | undefined; units: UnitSystem },
  ): Promise<Omit<Answer, 'closed'>> {
    const currency = asCurrency(tenant.operation.currency);
    const herds =
      query.herdId === undefined ? await this.herds.all(tenant) : [await this.herds.one(tenant, query.herdId)];
    const ids = herds.map((herd) => herd.id);
    const changes = await this.herds.entered(tenant, ids);
    const weighings = await this.weighIns.of(tenant, ids);
    const rates = await this.yardage.all(tenant);
    // The closing weighing may be some days after the last day asked; costs are needed up to it.
    const latest = weighings
      .map((one) => one.day)
      .filter((day) => Math.abs(daysBetween(query.until, day)) <= query.windowDays)
      .sort()
      .at(-1);
    const until = latest !== undefined && latest > query.until ? latest : query.until;
    const from = addDays(query.from, -query.windowDays - DAYS_AROUND);
    const books = await this.costing.fed(tenant, { from, until, by: 'day' });
    // A bill tells what the hay cost whenever it comes, so all that are known count for hay that was eaten before.
    const today = dayIn(tenant.operation.timeZone, tenant.moment);
    const known = { from, until: until > today ? until : today };
    const late = await this.costing.shared(tenant, await this.costing.variances(tenant, known));
    const { units } = query;
    return {
      operationId: tenant.operationId,
      operation: tenant.operation.name,
      invented: tenant.operation.invented,
      currency,
      units,
      method: METHOD,
      inputs: {
        herds: herds.length,
        weighIns: weighings.length,
        headChanges: whatStands(changes, { until: query.until }).standing.length,
        ledgerMovements: books.movements,
        yardageRates: ratesOf(rates, query).length,
      },
      flags: [
        ...(ratesOf(rates, query).length === 0
          ? [{ code: 'no-yardage-rate', message: 'No yardage rate is set; total cost is feed alone.' }]
          : []),
        ...methodChangeFlags(books.changes, { from: query.from, until }),
      ],
      from: query.from,
      until: query.until,
      weighingWindowDays: query.windowDays,
      herds: await inTurn(herds, async (herd) => {
        const own = oneADay(weighings.filter((one) => one.herdId === herd.id));
        return herdRow({
          herd,
          changes: changes.filter((one) => one.herdId === herd.id),
          weighings: own,
          rates,
          books,
          summedFrom: from,
          late,
          spread: await this.#spread(tenant, herd.id, weighingsAt(own, query), query.until),
          currency,
          asked: query,
          units,
        });
      }),
    };
  }

  /** Of each kind of hay on each day, the share that was for days between the weighings. */
  async #spread(
    tenant: OperationTenant,
    herdId: string,
    { opening, closing }: ReturnType<typeof weighingsAt>,
    until: string,
  ): Promise<Spread> {
    if (opening === undefined || closing === undefined || opening.day >= closing.day)
      return { feedingsCut: 0, shares: new Map() };
    const fed = await this.fedWithin.of(tenant, herdId, {
      from: opening.day,
      until: closing.day,
      accountUntil: accountUntil(closing, until),
    });
    const layers = fed.flatMap(({ feeding, layers: own, share }) =>
      own.map((layer) => ({ lotId: layer.hay_lot_id, on: feeding.happened_on, mass: layer.kilograms, share })),
    );
    const lots = await this.lots.byId(tenant, [...new Set(layers.map(({ lotId }) => lotId))]);
    const kindOf = new Map(lots.map((lot) => [lot.id, lot.hay_kind]));
    const sums = new Map<string, { all: Mass; within: Mass }>();
    for (const { lotId, on, mass, share } of layers) {
      const key = keyOf({ hayKind: kindOf.get(lotId) ?? '', on });
      const { all, within } = sums.get(key) ?? { all: Mass.zero, within: Mass.zero };
      const kilograms = Mass.kilograms(mass);
      sums.set(key, { all: all.plus(kilograms), within: within.plus(kilograms.times(share)) });
    }
    return {
      feedingsCut: fed.filter(({ share }) => share.gt(0) && share.lt(1)).length,
      shares: new Map([...sums].map(([key, { all, within }]) => [key, within.ratioTo(all)])),
    };
  }
}

/** One after the other: they share a connection. */
async function inTurn<One, Answered>(
  some: readonly One[],
  answer: (one: One) => Promise<Answered>,
): Promise<Answered[]> {
  const answers: Answered[] = [];
  for (const one of some) answers.push(await answer(one));
  return answers;
}
