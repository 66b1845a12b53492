import { Injectable } from '@nestjs/common';
import { type Reforecast, reforecast } from '../../core/budget/reforecast.js';
import type { whatIfs } from '../../core/budget/what-if.js';
import { addDays } from '../../core/time/calendar-day.js';
import { type Decimal, decimal } from '../../core/units/decimal.js';
import { Mass } from '../../core/units/mass.js';
import { dayIn } from '../../platform/clock.js';
import type { OperationTenant } from '../../platform/database/types.js';
import type { AnswerOf, InputOf } from '../../platform/http/endpoint.js';
import { Problem, ruleBroken } from '../../platform/http/problem.js';
import { type UnitSystem, formatDecimal, formatMass, formatMoney } from '../../platform/wire/quantity.schema.js';
import { HeavyWork } from '../../platform/workers/heavy-work.js';
import { FeedingRead } from '../../records/feedings/feeding.read.js';
import { ratio, type WorkedBudget, budgetAnswer } from './budget-answer.js';
import type { Flag } from '../report.schema.js';
import { type BudgetInputs, coreInput } from './budget-inputs.js';
import { BudgetInputsRead } from './budget-inputs.read.js';
import type { BudgetAnswer } from './budget-rows.js';
import { HayBudgetPlanStore } from './hay-budget-plan.store.js';
import type { PlanIn } from './hay-budget.schema.js';
import type * as api from './hay-budget.schema.js';
import { refusedBy } from './worked-budget.js';

type View = BudgetAnswer['view'];

@Injectable()
export class HayBudgetService {
  constructor(
    private readonly inputs: BudgetInputsRead,
    private readonly plans: HayBudgetPlanStore,
    private readonly feedings: FeedingRead,
    private readonly heavyWork: HeavyWork,
  ) {}

  async report(tenant: OperationTenant, { query }: InputOf<typeof api.getHayBudget>): Promise<BudgetAnswer> {
    const plan: PlanIn = {
      from: query.from,
      until: query.until,
      edition: query.edition,
      substituteKinds: query.substituteKinds === 'true',
      wasteConvention: 'divisor',
    };
    const inputs = await this.inputs.gather(tenant, plan, plan.from, '', {
      ...(query.intakePercent === undefined
        ? { intake: { basis: query.intake } }
        : { intake: { basis: 'percent-of-body-weight', percent: query.intakePercent } }),
      ...(query.wastePercent === undefined ? {} : { waste: { basis: 'stated', percent: query.wastePercent } }),
    });
    return this.#answer(tenant, inputs, query.units, query.view, null, null);
  }

  async createPlan(
    tenant: OperationTenant,
    { body }: InputOf<typeof api.createHayBudgetPlan>,
  ): Promise<AnswerOf<typeof api.getHayBudgetPlan>> {
    // A plan that cannot be computed is not saved.
    await this.#worked(tenant, await this.inputs.gather(tenant, body, body.from, '#'));
    return this.plans.add(tenant, body);
  }

  async listPlans(
    tenant: OperationTenant,
    { query }: InputOf<typeof api.listHayBudgetPlans>,
  ): Promise<AnswerOf<typeof api.listHayBudgetPlans>> {
    return this.plans.list(tenant, query);
  }

  async getPlan(
    tenant: OperationTenant,
    { params }: InputOf<typeof api.getHayBudgetPlan>,
  ): Promise<AnswerOf<typeof api.getHayBudgetPlan>> {
    return (await this.plans.one(tenant, params.hayBudgetPlanId)).answer;
  }

  async ofPlan(
    tenant: OperationTenant,
    { params, query }: InputOf<typeof api.getHayBudgetOfPlan>,
  ): Promise<BudgetAnswer> {
    const { plan, name } = await this.plans.one(tenant, params.hayBudgetPlanId);
    return this.#answer(
      tenant,
      await this.inputs.gather(tenant, plan, plan.from, '#'),
      query.units,
      query.view,
      params.hayBudgetPlanId,
      name,
    );
  }

  /** Each herd's plan as of its first day against what it was fed since; the hay on hand is today's. */
  async forecast(
    tenant: OperationTenant,
    { params, query }: InputOf<typeof api.getHayForecast>,
  ): Promise<AnswerOf<typeof api.getHayForecast>> {
    const { plan, name } = await this.plans.one(tenant, params.hayBudgetPlanId);
    const today = query.on ?? dayIn(tenant.operation.timeZone, tenant.moment);
    requireDayOfPlan(plan, today);
    const planned = await this.inputs.gather(tenant, plan, plan.from, '#');
    const now = await this.inputs.gather(tenant, plan, today, '#');
    const feedsFrom = new Map(now.herds.map((one) => [one.herd.id, one.feedsFrom]));
    const fed = await this.#fedToDate(tenant, plan.from, (herdId) => feedsFrom.get(herdId) ?? today, today);
    const ahead = daysAhead(planned, now);
    // The plan is as of its first day; the hay on hand is today's.
    const answer = reforecast({
      ...coreInput(ahead, 'typical'),
      from: planned.from,
      today,
      fedToDate: planned.herds.map(({ herd }) => ({ herdId: herd.id, fed: fed.get(herd.id) ?? Mass.zero })),
    });
    if (!answer.ok) throw refusedBy(answer);
    const units = query.units ?? tenant.operation.unitPreference;
    const rates = new Map(answer.herds.map((one) => [one.herdId, one.fedPerPlanned]));
    const names = new Map(planned.herds.map((one) => [one.herd.id, one.herd.name]));
    return {
      planId: params.hayBudgetPlanId,
      plan: name,
      today,
      units,
      currency: now.currency,
      herds: answer.herds.map((one) => forecastAnswer(one, names.get(one.herdId) ?? '', units)),
      plannedTotal: formatMass(answer.plannedTotal, units, 'large'),
      forecastTotal: formatMass(answer.forecastTotal, units, 'large'),
      budget: budgetAnswer(tenant, await this.#worked(tenant, ahead, rates), {
        units,
        view: query.view,
        planId: params.hayBudgetPlanId,
        plan: name,
        invented: tenant.operation.invented,
      }),
      flags: fedOutsideThePlan(
        [...fed].flatMap(([herdId, amount]) => (names.has(herdId) ? [] : [amount])),
        units,
      ),
    };
  }

  async try(
    tenant: OperationTenant,
    { query, body }: InputOf<typeof api.tryHayBudget>,
  ): Promise<AnswerOf<typeof api.tryHayBudget>> {
    if ((body.planId === undefined) === (body.plan === undefined))
      throw ruleBroken('#/plan', 'one-plan', null, 'planId or plan, one of them', 'Name a saved plan or give one.');

    const saved = body.planId === undefined ? undefined : await this.plans.one(tenant, body.planId);
    const plan = saved?.plan ?? body.plan;
    if (plan === undefined) throw new RangeError('There is a plan, saved or given');
    const inputs = await this.inputs.gather(tenant, plan, plan.from, '#/plan');
    const names = new Set(inputs.herds.map((one) => one.herd.id));
    body.changes.forEach((change, index) =>
      change.herdIds?.forEach((herdId, at) => {
        if (!names.has(herdId))
          throw ruleBroken(
            `#/changes/${index}/herdIds/${at}`,
            'not-in-the-plan',
            herdId,
            'a herd of the plan',
            'This herd is not in the plan.',
          );
      }),
    );
    const share = (percent: string | undefined): { waste?: string } =>
      percent === undefined ? {} : { waste: decimal(percent).div(100).toFixed() };
    const tried = (await this.heavyWork.run(tenant, {
      kind: 'what-ifs',
      question: {
        base: coreInput(inputs, 'typical'),
        changes: body.changes.map((change) => ({
          name: change.name,
          ...share(change.wastePercent),
          ...(change.headTimes === undefined ? {} : { headTimes: change.headTimes }),
          ...(change.intakeTimes === undefined ? {} : { intakeTimes: change.intakeTimes }),
          ...(change.priceTimes === undefined ? {} : { priceTimes: change.priceTimes }),
          ...(change.herdIds === undefined ? {} : { herdIds: change.herdIds }),
        })),
      } satisfies Parameters<typeof whatIfs>[0],
    })) as ReturnType<typeof whatIfs>;
    if (!tried.ok) throw refusedBy(tried);
    const units = query.units ?? tenant.operation.unitPreference;
    const mass = (amount: Mass): ReturnType<typeof formatMass> => formatMass(amount, units, 'large');
    const showCost = tenant.may('prices', tenant.operationId);
    return {
      base: await this.#answer(tenant, inputs, query.units, query.view, body.planId ?? null, saved?.name ?? null),
      answers: tried.answers.map(
        ({ name, budget, neededChange, neededChangeShare, shortChange, costChange, daysLonger }) => ({
          name,
          needed: mass(budget.yard.needed),
          short: mass(budget.yard.short),
          surplus: mass(budget.yard.surplus),
          runsOutOn: budget.yard.runsOutOn,
          daysShort: budget.yard.daysShort,
          costToBuy: showCost && budget.costToBuy !== null ? formatMoney(budget.costToBuy) : null,
          neededChange: mass(neededChange),
          neededChangePercent: neededChangeShare === null ? null : formatDecimal(neededChangeShare.times(100), 2),
          shortChange: mass(shortChange),
          costChange: showCost && costChange !== null ? formatMoney(costChange) : null,
          daysLonger,
        }),
      ),
    };
  }

  async #answer(
    tenant: OperationTenant,
    inputs: BudgetInputs,
    units: UnitSystem | undefined,
    view: View,
    planId: string | null,
    plan: string | null,
  ): Promise<BudgetAnswer> {
    return budgetAnswer(tenant, await this.#worked(tenant, inputs), {
      units: units ?? tenant.operation.unitPreference,
      view,
      planId,
      plan,
      invented: tenant.operation.invented,
    });
  }

  async #worked(
    tenant: OperationTenant,
    inputs: BudgetInputs,
    rates?: ReadonlyMap<string, Decimal>,
  ): Promise<WorkedBudget> {
    return (await this.heavyWork.run(tenant, { kind: 'hay-budget', inputs, rates })) as WorkedBudget;
  }

  /** Up to the first day that is still to be fed. */
  async #fedToDate(
    tenant: OperationTenant,
    from: string,
    feedsFrom: (herdId: string) => string,
    today: string,
  ): Promise<Map<string, Mass>> {
    const fedUpToNow = await this.feedings.between(tenant, { from, until: addDays(today, 1) });
    const feedings = fedUpToNow.filter((feeding) => feeding.happened_on < feedsFrom(feeding.herd_id));
    const layers = await this.feedings.layersOf(
      tenant,
      feedings.map((feeding) => feeding.id),
    );
    const fed = new Map<string, Mass>();
    for (const feeding of feedings) {
      const laid = Mass.sum((layers.get(feeding.id) ?? []).map((layer) => Mass.kilograms(layer.kilograms)));
      fed.set(feeding.herd_id, (fed.get(feeding.herd_id) ?? Mass.zero).plus(laid));
    }
    return fed;
  }
}

function requireDayOfPlan(plan: PlanIn, today: string): void {
  if (today > plan.from && today <= plan.until) return;
  throw new Problem('invalid-input', undefined, [
    {
      parameter: 'on',
      code: 'outside-the-plan',
      given: today,
      allowed: `${addDays(plan.from, 1)} to ${plan.until}`,
      message: 'A re-forecast needs days of the plan behind it and days to come.',
    },
  ]);
}

/** Today's hay and head, with the herds and the intake as planned. */
function daysAhead(planned: BudgetInputs, now: BudgetInputs): BudgetInputs {
  return {
    ...now,
    herds: planned.herds.map((one) => {
      const today = now.herds.find((each) => each.herd.id === one.herd.id);
      const { headDays = 0, headOnFirstDay = 0, feedsFrom = now.from } = today ?? {};
      return { ...one, headDays, headOnFirstDay, feedsFrom };
    }),
  };
}

function forecastAnswer(
  one: Reforecast['herds'][number],
  herd: string,
  units: UnitSystem,
): AnswerOf<typeof api.getHayForecast>['herds'][number] {
  const mass = (amount: Mass): ReturnType<typeof formatMass> => formatMass(amount, units, 'large');
  return {
    herdId: one.herdId,
    herd,
    plannedToDate: mass(one.plannedToDate),
    fedToDate: mass(one.fedToDate),
    fedPerPlanned: one.plannedToDate.isPositive() ? ratio(one.fedPerPlanned) : null,
    plannedToCome: mass(one.plannedToCome),
    forecastToCome: mass(one.forecastToCome),
  };
}

/** @param amounts what each herd that is not in the plan was fed */
function fedOutsideThePlan(amounts: readonly Mass[], units: UnitSystem): Flag[] {
  const fed = amounts.filter((amount) => amount.isPositive());
  if (fed.length === 0) return [];
  const { value, unit } = formatMass(Mass.sum(fed), units, 'large');
  return [
    {
      code: 'fed-outside-the-plan',
      message:
        `${fed.length} ${fed.length === 1 ? 'herd that is' : 'herds that are'} not in the plan ate ${value} ${unit} ` +
        'in these days.',
    },
  ];
}
