import { Injectable } from '@nestjs/common';
import type { judgeTrial } from '../../core/trial/judge-trial.js';
import type { TrialJudged, TrialToJudge } from '../../core/trial/judgement/judgement.js';
import { daysOfOneFeeding } from '../../core/trial/trial-design.js';
import { decimal } from '../../core/units/decimal.js';
import { Mass } from '../../core/units/mass.js';
import { PricePerMass } from '../../core/units/money.js';
import { dayIn } from '../../platform/clock.js';
import type { OperationTenant } from '../../platform/database/types.js';
import { problemOfCore } from '../../platform/http/core-problems.js';
import { pageOf } from '../../platform/http/cursor.js';
import type { AnswerOf, InputOf } from '../../platform/http/endpoint.js';
import { Problem, ruleBroken } from '../../platform/http/problem.js';
import { asCurrency, toMass, type UnitSystem } from '../../platform/wire/quantity.schema.js';
import { HeavyWork } from '../../platform/workers/heavy-work.js';
import { sha256 } from './canonical.js';
import { type JudgementOut, type KeptInputs, judgementAnswer } from './judgement-answer.js';
import { keepJudgement, keepMoney, type KeptJudgement, type KeptMoney, type KeptPrice } from './kept-judgement.js';
import { hayByPen } from './hay-by-pen.js';
import { type TrialBooks, TrialBooksRead } from './trial-books.read.js';
import { type JudgementRow, TrialJudgementRead } from './trial-judgement.read.js';
import type * as api from './trial-judgement.schema.js';
import { TrialJudgementStore } from './trial-judgement.store.js';
import { type TrialMoney, TrialMoneyRead } from './trial-money.read.js';
import { lastWeighingDay, type PlanAnswered, formatPlanAnswer } from './trial-plan.js';
import { daysFedOf, gapsOf, reachedShare } from './trial-run.service.js';
import { TrialRead, type WholeTrial } from './trial.read.js';

type Body = InputOf<typeof api.judgeTrialNow>['body'];
type Hay = KeptInputs['hay'];

/** A day's grace on either side: a weighing is read the evening of its day or the next morning. */
const GRACE_DAYS = 1;

/**
 * Judges a trial from the books. Every look is stored and counted, so that looking often cannot pass for looking once.
 */
@Injectable()
export class TrialJudgementService {
  constructor(
    private readonly trials: TrialRead,
    private readonly books: TrialBooksRead,
    private readonly money: TrialMoneyRead,
    private readonly judgements: TrialJudgementRead,
    private readonly store: TrialJudgementStore,
    private readonly heavyWork: HeavyWork,
  ) {}

  async judge(
    tenant: OperationTenant,
    { params, query, body }: InputOf<typeof api.judgeTrialNow>,
  ): Promise<JudgementOut> {
    const trial = await this.trials.one(tenant, params.trialId, { lock: true });
    const begins = trial.row.begins_on;
    if (begins === null) throw new Problem('conflict', 'This trial has not begun.');
    const asOf = dayOfJudging(body, begins, dayIn(tenant.operation.timeZone, tenant.moment));
    const books = await this.books.upTo(tenant, trial, begins, asOf);
    const money = await this.money.of(tenant, trial, books, begins);
    const prices = pricesOf(body, tenant.operation.currency, money);
    const earlier = await this.judgements.ofTrial(tenant, trial.row.id);
    const dataHash = sha256({ animals: books.animals, protocol: books.protocol });
    const look = lookOf(trial, books, earlier, dataHash);
    const hay = hayOf(books);
    const herdHead = body.herdHead ?? books.plan.herdHead;
    const { currency } = tenant.operation;
    const judged = async (units: UnitSystem): Promise<TrialJudged> => {
      const answer = (await this.heavyWork.run(tenant, {
        kind: 'trial-judgement',
        trial: toJudge(books, { look, hay, money, prices, herdHead, currency, units }),
      })) as ReturnType<typeof judgeTrial>;
      if (!answer.ok)
        throw problemOfCore(answer.problems, (field) => (field === 'currency' ? '#/valueOfGain/currency' : '#'));
      return answer;
    };
    const judgedIn = { us: await judged('us'), metric: await judged('metric') };
    const days = daysOfOneFeeding(books.designed?.design, books.protocol.lengthDays);
    const herd = herdHead === null ? null : { head: herdHead, days };
    const kept: Record<UnitSystem, KeptJudgement> = {
      us: keepJudgement(judgedIn.us, herd),
      metric: keepJudgement(judgedIn.metric, herd),
    };
    const inputs = await this.#inputs(tenant, trial, books, { look, hay, herdHead, begins });
    const row = await this.store.insert(tenant, {
      trial_id: trial.row.id,
      number: earlier.length + 1,
      as_of: books.asOf,
      look: look.number,
      final: look.final,
      peeking: judgedIn.us.look.peeking,
      verdict: judgedIn.us.comparisons.map((one) => one.verdict.verdict).join(' '),
      data_hash: dataHash,
      inputs_hash: sha256(JSON.parse(JSON.stringify(inputs))),
      inputs: JSON.stringify(inputs),
      result: JSON.stringify(kept),
    });
    await this.#keepMoney(tenant, row.id, judgedIn.us, money, {
      valueOfGain: asKept(body.valueOfGain, currency, prices.valueOfGain),
      valueOfCattle: asKept(body.valueOfCattle, currency, prices.valueOfCattle),
    });
    await tenant.audit({
      action: 'trial.judge',
      subjectKind: 'trial',
      subjectId: trial.row.id,
      after: {
        judgement: row.id,
        number: row.number,
        asOf: row.as_of,
        look: row.look,
        peeking: row.peeking,
        verdict: row.verdict,
        inputsHash: row.inputs_hash,
      },
    });
    return this.#written(tenant, trial, row, query.units);
  }

  /** What it cost is kept apart, for those who may see prices. */
  async #keepMoney(
    tenant: OperationTenant,
    judgementId: string,
    judged: TrialJudged,
    money: TrialMoney | null,
    prices: Record<keyof Prices, KeptPrice | null>,
  ): Promise<void> {
    const kept = keepMoney(judged, tenant.operation.currency, prices);
    if (kept === null) return;
    const inputs = moneyWentIn(money, kept);
    await this.store.insertMoney(tenant, judgementId, {
      inputs_hash: sha256(inputs),
      inputs: JSON.stringify(inputs),
      result: JSON.stringify(kept),
    });
  }

  async list(
    tenant: OperationTenant,
    { params, query }: InputOf<typeof api.listJudgements>,
  ): Promise<AnswerOf<typeof api.listJudgements>> {
    await this.trials.row(tenant, params.trialId);
    return pageOf(
      await this.judgements.page(tenant, params.trialId, query),
      query.limit,
      (row) => ({
        id: row.id,
        number: row.number,
        asOf: row.as_of,
        look: row.look,
        final: row.final,
        peeking: row.peeking,
        verdicts: row.verdict.split(' ') as 'favours'[],
        inputsHash: row.inputs_hash,
        recordedAt: row.recorded_at,
        recordedBy: row.recorded_by,
      }),
      (row) => [String(row.number)],
    );
  }

  /** One whole judgement as stored, with its money for those who see prices. */
  async report(
    tenant: OperationTenant,
    trialId: string,
    judgementId: string,
    units: UnitSystem | undefined,
  ): Promise<JudgementOut> {
    const trial = await this.trials.one(tenant, trialId);
    return this.#written(tenant, trial, await this.judgements.one(tenant, trialId, judgementId), units);
  }

  async #written(
    tenant: OperationTenant,
    trial: WholeTrial,
    row: JudgementRow,
    units: UnitSystem | undefined,
  ): Promise<JudgementOut> {
    const system = units ?? tenant.operation.unitPreference;
    const money = await this.judgements.money(tenant, row.id);
    const plan = (trial.row.plan_answer as Record<UnitSystem, PlanAnswered>)[system];
    return judgementAnswer(
      {
        id: row.id,
        trialId: row.trial_id,
        number: row.number,
        asOf: row.as_of,
        inputsHash: row.inputs_hash,
        inputs: row.inputs as KeptInputs,
        kept: (row.result as Record<UnitSystem, KeptJudgement>)[system],
        money: money === undefined ? null : { kept: money.result as KeptMoney, hash: money.inputs_hash },
        plan: formatPlanAnswer(trial, plan, true, system),
        operation: tenant.operation.name,
        invented: tenant.operation.invented,
        recordedAt: row.recorded_at,
        recordedBy: row.recorded_by,
      },
      system,
    );
  }

  async #inputs(
    tenant: OperationTenant,
    trial: WholeTrial,
    books: TrialBooks,
    { look, hay, herdHead, begins }: { look: KeptInputs['look']; hay: Hay; herdHead: number | null; begins: string },
  ): Promise<KeptInputs> {
    const draw = await this.trials.draw(tenant, trial.row.id);
    return {
      trial: {
        name: trial.row.name,
        question: trial.plan.question,
        beginsOn: begins,
        seed: draw?.seed ?? '',
        draws: trial.draws,
        arms: trial.arms.map((arm) => ({
          id: arm.id,
          name: arm.name,
          role: arm.role,
          feeding: arm.feeding,
        })),
        amendments: trial.amendments
          .filter((one) => one.amended_on <= books.asOf)
          .map((one) => ({ number: one.number, amendedOn: one.amended_on, reason: one.reason })),
      },
      plan: books.plan,
      asOf: books.asOf,
      herdHead,
      look,
      weighInIds: books.weighIns.map((one) => one.id),
      feedingIds: books.feedings.map((one) => one.id),
      animals: books.animals,
      ...(books.designed === null ? {} : { feedings: books.designed.feedings }),
      hay,
      hayByPen: hayByPen(books),
      gaps: gapsOf(books),
    };
  }
}

function dayOfJudging(body: Body, begins: string, today: string): string {
  const asOf = body.asOf ?? today;
  if (asOf < begins || asOf > today)
    throw ruleBroken(
      '#/asOf',
      'outside-the-trial',
      asOf,
      `${begins} to ${today}`,
      'A trial is judged from its first day to today.',
    );
  return asOf;
}

type TypedPrices = Pick<Body, 'valueOfGain' | 'valueOfCattle'>;
type Prices = Record<keyof TypedPrices, PricePerMass | null>;

function pricesOf(body: Body, operationCurrency: string, money: TrialMoney | null): Prices {
  const priceOf = (field: keyof TypedPrices): PricePerMass | null => {
    const typed = body[field];
    if (typed === undefined) return null;
    const { amount, currency, per } = typed;
    if (money === null)
      throw new Problem(
        'not-permitted',
        'A partial budget needs the prices of the hay, which your role does not show.',
      );
    if (currency !== undefined && currency !== operationCurrency)
      throw ruleBroken(
        `#/${field}/currency`,
        'other-currency',
        currency,
        operationCurrency,
        'These books have no exchange rates.',
      );
    return PricePerMass.of(amount, asCurrency(operationCurrency), per);
  };
  return { valueOfGain: priceOf('valueOfGain'), valueOfCattle: priceOf('valueOfCattle') };
}

/** A price as it is kept: per kilogram, and as it was typed. */
function asKept(typed: TypedPrices[keyof TypedPrices], currency: string, price: PricePerMass | null): KeptPrice | null {
  if (price === null || typed === undefined) return null;
  const perKg = price.in('kg').toDecimalPlaces(10).toFixed();
  return { perKg, typed: { amount: typed.amount, currency, per: typed.per } };
}

/**
 * Which look this is. The same weights judged again are the same look; a look that was not planned spoils the ones
 * after it.
 */
function lookOf(
  trial: WholeTrial,
  books: TrialBooks,
  earlier: readonly JudgementRow[],
  dataHash: string,
): KeptInputs['look'] {
  const final =
    trial.row.state === 'closed'
      ? books.asOf >= (trial.row.closed_on ?? books.asOf)
      : books.today >= lastWeighingDay(books.plan);
  const same =
    earlier.find((row) => row.data_hash === dataHash && row.final === final) ??
    (final ? earlier.find((row) => row.final) : undefined);
  const number = same?.look ?? Math.max(0, ...earlier.map((row) => row.look)) + 1;
  const { looks } = books.plan;
  const repeats = same?.number ?? null;
  if (looks === null) return { number, index: number, planned: false, final, repeats };
  const before = same === undefined ? earlier : earlier.filter((row) => row.number < same.number);
  const grace = GRACE_DAYS / books.plan.lengthDays;
  const shareOf = final ? 1 : reachedShare(books);
  const index = looks.atShares.filter((share) => share <= shareOf + grace).length;
  const near = index > 0 && (final || Math.abs(shareOf - (looks.atShares[index - 1] ?? 0)) <= 2 * grace);
  const taken = before.some(
    (row) => (row.inputs as KeptInputs).look.planned && (row.inputs as KeptInputs).look.index === index,
  );
  const planned = near && !taken && !before.some((row) => row.peeking);
  return { number, index: planned ? index : number, planned, final, repeats };
}

/** What each arm was fed of each lot. Refusals and waste are split over the lots of a feeding by weight. */
function hayOf(books: TrialBooks): Hay {
  const sums = new Map<string, { armId: string; hayLotId: string; fed: Mass; refused: Mass; wasted: Mass }>();
  for (const feeding of books.feedings) {
    const total = Mass.sum(feeding.layers.map((layer) => layer.mass));
    for (const layer of feeding.layers) {
      const key = `${feeding.armId} ${layer.hayLotId}`;
      const known = sums.get(key) ?? {
        armId: feeding.armId,
        hayLotId: layer.hayLotId,
        fed: Mass.zero,
        refused: Mass.zero,
        wasted: Mass.zero,
      };
      const part = feeding.share.times(layer.mass.ratioTo(total));
      sums.set(key, {
        ...known,
        fed: known.fed.plus(layer.mass.times(feeding.share)),
        refused: known.refused.plus((feeding.refused ?? Mass.zero).times(part)),
        wasted: known.wasted.plus((feeding.wasted ?? Mass.zero).times(part)),
      });
    }
  }
  const missing = new Map(
    books.arms.map((arm) => {
      const { due, fed } = daysFedOf(books, arm.id);
      return [arm.id, due - fed];
    }),
  );
  const text = (mass: Mass): string => mass.kilograms.toDecimalPlaces(9).toFixed();
  return [...sums.values()]
    .map((one) => ({
      armId: one.armId,
      hayLotId: one.hayLotId,
      fedKg: text(one.fed),
      refusedKg: text(one.refused),
      wastedKg: text(one.wasted),
      dryMatterShare: (books.lots.get(one.hayLotId)?.dryMatterShare ?? decimal(1)).toFixed(),
      daysMissing: missing.get(one.armId) ?? 0,
    }))
    .sort((one, other) => (`${one.armId} ${one.hayLotId}` < `${other.armId} ${other.hayLotId}` ? -1 : 1));
}

function toJudge(
  books: TrialBooks,
  given: {
    look: KeptInputs['look'];
    hay: Hay;
    money: TrialMoney | null;
    prices: Prices;
    herdHead: number | null;
    currency: string;
    units: UnitSystem;
  },
): TrialToJudge {
  const { plan } = books;
  const { look } = given;
  return {
    question: plan.question,
    arms: books.arms,
    unit: plan.unit,
    protocol: books.protocol,
    designed: books.designed,
    animals: books.animals,
    method: plan.method,
    equivalence: plan.equivalence,
    futility: plan.futility === null ? null : plan.futility / 100,
    penToPenSdKgPerDay: plan.penToPenSpread === null ? null : toMass(plan.penToPenSpread).kilograms.toNumber(),
    confidence: plan.confidence,
    worthwhileDifferenceKgPerDay: toMass(plan.worthwhileDifference).kilograms.toNumber(),
    look: {
      planned:
        look.planned && plan.looks !== null ? { fractions: plan.looks.atShares, kind: plan.looks.spending } : null,
      number: look.index,
      final: look.final,
    },
    upToDay: books.today,
    currency: asCurrency(given.currency),
    feeds: given.hay.map((one) => ({
      armId: one.armId,
      name: books.lots.get(one.hayLotId)?.name ?? '',
      fed: Mass.kilograms(one.fedKg),
      refused: Mass.kilograms(one.refusedKg),
      wasted: Mass.kilograms(one.wastedKg),
      dryMatterShare: decimal(one.dryMatterShare),
      price:
        given.money?.hay.find((known) => known.armId === one.armId && known.hayLotId === one.hayLotId)?.price ?? null,
      daysMissing: one.daysMissing,
    })),
    penFeeds: hayByPen(books),
    otherCosts: (given.money?.yardage ?? []).map((one) => ({ armId: one.armId, cost: one.cost })),
    ...given.prices,
    herdHead: given.herdHead,
    classOfAnimals: plan.classOfAnimals,
    season: plan.season,
    hay: plan.hay,
    wordsIn: given.units === 'us' ? 'lb' : 'kg',
  };
}

function moneyWentIn(
  money: TrialMoney | null,
  kept: KeptMoney,
): {
  currency: string;
  hay: { armId: string; hayLotId: string; perKg: string }[];
  yardage: { armId: string; cost: string }[];
  valueOfGainPerKg: string | null;
  valueOfCattlePerKg?: string;
} {
  return {
    currency: kept.currency,
    hay: (money?.hay ?? []).map((one) => ({
      armId: one.armId,
      hayLotId: one.hayLotId,
      perKg: one.price.in('kg').toDecimalPlaces(10).toFixed(),
    })),
    yardage: (money?.yardage ?? []).map((one) => ({ armId: one.armId, cost: one.cost.amount.toFixed() })),
    valueOfGainPerKg: kept.valueOfGainPerKg,
    ...(kept.valueOfCattlePerKg === undefined ? {} : { valueOfCattlePerKg: kept.valueOfCattlePerKg }),
  };
}
