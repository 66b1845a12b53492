import { Injectable } from '@nestjs/common';
import loadHighs from 'highs';
import { rationLotOf } from '../../core/hay/ration-lot.js';
import { looseDensityOf } from '../../core/hay/loose-density.js';
import { HAY_KINDS, type HayKind } from '../../core/hay/hay-kinds.data.js';
import type { LayerRole } from '../../core/laying/layer.js';
import { solveWithHighs } from '../../core/ration/highs-solver.js';
import { JUDGEMENT } from '../../core/ration/judgement.data.js';
import type { SolveLinearProgram } from '../../core/ration/linear-program.js';
import type { Candidate, RationLimits } from '../../core/ration/ration-rows.js';
import { type LeastCostRation, leastCostRation } from '../../core/ration/solve.js';
import { requirementsFor } from '../../core/requirements/requirements-for.js';
import { decimalText } from '../../core/units/decimal.js';
import { type Currency, PricePerMass } from '../../core/units/money.js';
import { Database } from '../../platform/database/database.js';
import type { OperationTenant } from '../../platform/database/types.js';
import { problemOfCore } from '../../platform/http/core-problems.js';
import type { AnswerOf, CallOf } from '../../platform/http/endpoint.js';
import { Problem, ruleBroken } from '../../platform/http/problem.js';
import { asCurrency, toMass, type UnitSystem, writeMass, writeMoney, writePrice } from '../../platform/wire/quantity.schema.js';
import { type HerdFacts, HerdFactsRead, weatherContextOf } from './herd-facts.js';
import type * as api from './least-cost.schema.js';
import { type LotFacts, LotFactsRead } from './lot-facts.js';
import { massOfKilograms } from './ration-content.js';

type Answer = AnswerOf<typeof api.leastCostRationFor>;
type Body = CallOf<typeof api.leastCostRationFor>['body'];

/** A quote stands among the lots under a name of its own, so that the answer can tell the two apart. */
const QUOTE_PREFIX = 'quote-';
let solver: Promise<SolveLinearProgram> | undefined;

/** Loaded once a process, at the first question. */
function theSolver(): Promise<SolveLinearProgram> {
  solver ??= loadHighs().then(solveWithHighs);
  return solver;
}

@Injectable()
export class LeastCostService {
  constructor(private readonly database: Database, private readonly herds: HerdFactsRead, private readonly lots: LotFactsRead) {}

  async solve({ asker, params, query, body }: CallOf<typeof api.leastCostRationFor>): Promise<Answer> {
    const solve = await theSolver();
    return this.database.readIn(asker, params.operationId, async (tenant) => {
      if (!tenant.may('prices', tenant.operationId)) throw new Problem('not-permitted', 'The cheapest ration tells prices: this needs the permission "prices" in this operation.');
      const herd = await this.herds.one(tenant, params.herdId, body.on);
      if (herd.head < 1) throw ruleBroken('#/on', 'nobody-to-feed', herd.on, 'a day on which the herd has cattle', `The herd has no head on ${herd.on}.`);
      const currency = asCurrency(tenant.operation.currency);
      const candidates = [...(await this.#onHand(tenant, herd, body)), ...body.quotes.map((quote, index) => candidateOfQuote(quote, index, currency))];
      const limits = limitsOf(herd, body);
      const outcome = leastCostRation({ candidates, limits, solve });
      if (!outcome.ok) throw problemOfCore(outcome.problems, (field) => (field === 'candidates' ? '#/lots' : field === 'head' || field === 'days' ? '#/days' : `#/${field}`));
      return written(outcome.value, herd, body, currency, query.units ?? tenant.operation.unitPreference);
    });
  }

  async #onHand(tenant: OperationTenant, herd: HerdFacts, body: Body): Promise<Candidate[]> {
    const asked = body.lots;
    if (asked === undefined) return [...(await this.lots.onHand(tenant, herd.on)).values()].map((facts) => candidateOfLot(facts, undefined));
    const facts = await this.lots.named(tenant, asked.map((lot, index) => ({ id: lot.hayLotId, pointer: `#/lots/${index}/hayLotId` })), herd.on);
    return asked.flatMap((lot) => {
      const found = facts.get(lot.hayLotId);
      return found === undefined ? [] : [candidateOfLot(found, lot.role)];
    });
  }
}

/** Coarse hay below, leafy hay as the rich layer, the rest mixed: common practice, no source. */
function usualRole(kind: HayKind): LayerRole {
  return kind.texture === 'coarse-stemmy' ? 'coarse' : kind.texture === 'fragile-leafy' ? 'rich' : 'mixed';
}

function candidateOfLot({ lot, kind, balance, looseDensity }: LotFacts, role: LayerRole | undefined): Candidate {
  return { lot, role: role ?? usualRole(kind), bulkDensityKgPerM3: looseDensity.value, availableKg: balance.isPositive() ? balance.kilograms.toNumber() : 0 };
}

function candidateOfQuote({ name, hayKind, role, price, available, analysis }: Body['quotes'][number], index: number, currency: Currency): Candidate {
  const tests = analysis === undefined ? [] : [{ id: `${QUOTE_PREFIX}${index}`, method: 'near-infrared' as const, analysis: Object.fromEntries(Object.entries(analysis).filter(([, value]) => value !== undefined)) as unknown as Parameters<typeof rationLotOf>[0]['tests'][number]['analysis'] }];
  return {
    lot: rationLotOf({ lotId: `${QUOTE_PREFIX}${index}`, lotName: name, hayKind, tests, price: PricePerMass.of(price.amount, currency, price.per) }), role: role ?? usualRole(HAY_KINDS[hayKind]),
    bulkDensityKgPerM3: looseDensityOf({ hayKind }).value, availableKg: available === undefined ? null : toMass(available).kilograms.toNumber(),
  };
}

function limitsOf(herd: HerdFacts, body: Body): RationLimits {
  const { animal, weather } = herd;
  const requirement = requirementsFor(animal, { edition: body.edition, ...(weather === null ? {} : { weather: weatherContextOf(weather, body.coldMethod) }) });
  if (!requirement.ok) throw problemOfCore(requirement.problems, () => '#');
  return {
    requirement: requirement.value, fullBodyWeightKg: animal.fullBodyWeightKg, proteinSystem: body.proteinSystem, minerals: body.minerals, intakeCapShare: body.intakeCapPercent / 100, wastedShare: body.wastedPercent / 100,
    minLongStemKg: (animal.fullBodyWeightKg * JUDGEMENT.longStemPercentOfWeight.value) / 100, head: herd.head, days: body.days,
    ...(body.shares === undefined ? {} : {
      shareBands: {
        basis: body.shares.basis,
        bands: body.shares.bands.map(({ role, atLeastPercent, atMostPercent }) => ({ role, ...(atLeastPercent === undefined ? {} : { atLeast: atLeastPercent / 100 }), ...(atMostPercent === undefined ? {} : { atMost: atMostPercent / 100 }) })),
      },
    }),
    ...(body.maxLegumePercent === undefined ? {} : { maxLegumeShare: body.maxLegumePercent / 100 }), ...(body.maxNitrateNitrogenPpm === undefined ? {} : { maxNitrateNitrogenPpm: body.maxNitrateNitrogenPpm }),
    ...(body.maxSulfurPercent === undefined ? {} : { maxSulfurPercent: body.maxSulfurPercent }), ...(body.minCalciumToPhosphorus === undefined ? {} : { minCalciumToPhosphorus: body.minCalciumToPhosphorus }),
    ...(body.maxFiberPercentOfWeight === undefined ? {} : { maxFiberPercentOfWeight: body.maxFiberPercentOfWeight }),
  };
}

function written(found: LeastCostRation, herd: HerdFacts, body: Body, currency: Currency, units: UnitSystem): Answer {
  const base = { herdId: herd.herd.id, herd: herd.herd.name, onDay: herd.on, head: herd.head, days: body.days, units, currency, excluded: found.excluded.map(({ lotName, because, missing }) => ({ name: lotName, because, missing: [...missing] })) };
  const idOf = (lotId: string): string | null => (lotId.startsWith(QUOTE_PREFIX) ? null : lotId);
  if (found.status === 'infeasible') {
    return { ...base, status: 'infeasible', layers: [], perHead: null, costPerHeadDay: null, costForThePeriod: null, shadowPrices: [], unused: [], conflict: found.conflict.map(({ row, words, missesBy, unit }) => ({ row, words, missesBy: missesBy === null ? null : Number(missesBy.toFixed(4)), unit })) };
  }
  const total = found.layers.flatMap((layer) => layer.lots).reduce((sum, lot) => sum + lot.asFedKgPerHeadPerDay, 0);
  return {
    ...base, status: 'solved', conflict: [], perHead: writeMass(massOfKilograms(total), units, 'small'), costPerHeadDay: writeMoney(found.costPerHeadDay), costForThePeriod: writeMoney(found.costPerHeadDay.times(herd.head).times(body.days)),
    layers: found.layers.map((layer) => ({
      role: layer.role,
      parts: layer.lots.map(({ lot, asFedKgPerHeadPerDay: kilograms }) => ({
        hayLotId: idOf(lot.lotId), name: lot.lotName, perHead: writeMass(massOfKilograms(kilograms), units, 'small'), asFedSharePercent: Number(((kilograms / total) * 100).toFixed(3)), forThePeriod: writeMass(massOfKilograms(kilograms).times(herd.head).times(body.days), units, 'large'),
      })),
    })),
    shadowPrices: found.shadowPrices.map(({ row, perUnit, unit, words }) => ({ row, perUnit: { amount: decimalText(perUnit.amount.toDecimalPlaces(6)), currency: perUnit.currency }, unit, words })),
    unused: found.unusedLots.map(({ lotId, lotName, role, comesInAt, words }) => ({ hayLotId: idOf(lotId), name: lotName, role, comesInAt: comesInAt === null ? null : writePrice(comesInAt, units), words })),
  };
}
