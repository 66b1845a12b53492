import { Injectable } from '@nestjs/common';
import { rationLotOf } from '../../core/ration/ration-lot.js';
import { looseDensityOf } from '../../core/feeds/loose-density.js';
import { HAY_KINDS, type HayKind } from '../../core/feeds/hay-kinds.data.js';
import { feedKindOf } from '../../core/feeds/other-feeds.data.js';
import type { LayerRole } from '../../core/laying/layer.js';
import type { Candidate } from '../../core/ration/ration-rows.js';
import { Mass } from '../../core/units/mass.js';
import { type Currency, PricePerMass } from '../../core/units/money.js';
import { Database } from '../../platform/database/database.js';
import type { OperationTenant } from '../../platform/database/types.js';
import type { Asker } from '../../platform/http/asker.js';
import type { AnswerOf, InputOf } from '../../platform/http/endpoint.js';
import { Problem, ruleBroken } from '../../platform/http/problem.js';
import { asCurrency, toMass } from '../../platform/wire/quantity.schema.js';
import { HeavyWork } from '../../platform/workers/heavy-work.js';
import { deliveredCostOf, HayQuoteRead } from '../../records/hay/quotes/hay-quote.read.js';
import { type HerdFacts, HerdFactsRead } from '../facts/herd-facts.js';
import { HerdSpanRead } from './herd-span.read.js';
import type { LeastCostQuestion } from './least-cost-answer.js';
import { OFFER_PREFIX, QUOTE_PREFIX } from './least-cost-judgement.js';
import type * as api from './least-cost.schema.js';
import { type LotFacts, LotFactsRead } from '../facts/lot-facts.js';

type Answer = AnswerOf<typeof api.leastCostRationFor>;
type Body = InputOf<typeof api.leastCostRationFor>['body'];

@Injectable()
export class LeastCostService {
  constructor(
    private readonly herds: HerdFactsRead,
    private readonly lots: LotFactsRead,
    private readonly quotes: HayQuoteRead,
    private readonly spans: HerdSpanRead,
    private readonly database: Database,
    private readonly heavyWork: HeavyWork,
  ) {}

  /** Gathers the question, then has a worker thread answer it, with no transaction open meanwhile. */
  async solve(asker: Asker, input: InputOf<typeof api.leastCostRationFor>): Promise<Answer> {
    const { operationId } = input.params;
    const question = await this.database.readIn(asker, operationId, (tenant) => this.#question(tenant, input));
    const { personId } = asker;
    return (await this.heavyWork.run({ personId, operationId }, { kind: 'least-cost', question })) as Answer;
  }

  async #question(
    tenant: OperationTenant,
    { params, query, body }: InputOf<typeof api.leastCostRationFor>,
  ): Promise<LeastCostQuestion> {
    if (!tenant.may('prices', tenant.operationId))
      throw new Problem(
        'not-permitted',
        'The cheapest ration shows prices: this needs the permission "prices" in this operation.',
      );
    const herd = await this.herds.one(tenant, params.herdId, body.on);
    if (herd.head < 1)
      throw ruleBroken(
        '#/on',
        'nobody-to-feed',
        herd.on,
        'a day on which the herd has cattle',
        `The herd has no head on ${herd.on}.`,
      );
    const currency = asCurrency(tenant.operation.currency);
    const onHand = await this.#onHand(tenant, herd, body);
    return {
      herd,
      candidates: [
        ...onHand.map(({ candidate }) => candidate),
        ...(await this.#onOffer(tenant, herd, body)),
        ...body.quotes.map((quote, index) => candidateOfQuote(quote, index, currency)),
      ],
      span: await this.spans.of(tenant, herd, { days: body.days, weather: body.weather }),
      body,
      lots: new Map(onHand.map(({ facts }) => [facts.row.id, facts])),
      currency,
      units: query.units ?? tenant.operation.unitPreference,
    };
  }

  async #onHand(
    tenant: OperationTenant,
    herd: HerdFacts,
    body: Body,
  ): Promise<{ facts: LotFacts; candidate: Candidate }[]> {
    const asked = body.lots;
    if (asked === undefined)
      return [...(await this.lots.onHand(tenant, herd.on)).values()].map((facts) => ({
        facts,
        candidate: candidateOfLot(facts, undefined, undefined),
      }));
    const facts = await this.lots.named(
      tenant,
      asked.map((lot, index) => ({ id: lot.hayLotId, pointer: `#/lots/${index}/hayLotId` })),
      herd.on,
    );
    return asked.flatMap((lot) => {
      const found = facts.get(lot.hayLotId);
      return found === undefined ? [] : [{ facts: found, candidate: candidateOfLot(found, lot.role, lot.fixed) }];
    });
  }

  /** Open offers in the books. A named one that cannot be taken on the day is refused with its place in the body. */
  async #onOffer(tenant: OperationTenant, herd: HerdFacts, { offers }: Body): Promise<Candidate[]> {
    if (offers.length === 0) return [];
    const open = await this.quotes.open(tenant, herd.on);
    if (offers === 'all-open') return open.flatMap((offer) => candidateOfOffer(offer, {}) ?? []);
    const twice = offers.findIndex(
      (one, index) => offers.findIndex((other) => other.hayQuoteId === one.hayQuoteId) < index,
    );
    if (twice >= 0)
      throw ruleBroken(
        `#/offers/${twice}/hayQuoteId`,
        'said-twice',
        offers[twice]?.hayQuoteId,
        'each offer once',
        'The same offer is named twice.',
      );
    const missing = offers.flatMap(({ hayQuoteId }, index) =>
      open.some(({ quote }) => quote.id === hayQuoteId)
        ? []
        : [
            {
              pointer: `#/offers/${index}/hayQuoteId`,
              code: 'offer-not-open',
              given: hayQuoteId,
              allowed: `an offer of this operation that can be taken on ${herd.on}`,
              message: 'There is no such offer, or it was bought, withdrawn, or is not open on that day.',
            },
          ],
    );
    if (missing.length > 0) throw new Problem('rule-broken', 'An offer named in the request cannot be taken.', missing);
    return offers.flatMap((chosen) => {
      const offer = open.find(({ quote }) => quote.id === chosen.hayQuoteId);
      return offer === undefined ? [] : (candidateOfOffer(offer, chosen) ?? []);
    });
  }
}

/** Coarse hay at the bottom, leafy hay as the rich layer, the rest mixed: common practice, no source. */
function usualRole(kind: HayKind): LayerRole {
  return kind.texture === 'coarse-stemmy' ? 'coarse' : kind.texture === 'fragile-leafy' ? 'rich' : 'mixed';
}

type MassIn = NonNullable<NonNullable<Body['lots']>[number]['fixed']>;

function candidateOfLot(
  { row, lot, kind, balance, baleWeight, looseDensity }: LotFacts,
  role: LayerRole | undefined,
  fixed: MassIn | undefined,
): Candidate {
  return {
    ...(fixed === undefined ? {} : { fixedKg: toMass(fixed).kilograms.toNumber() }),
    lot,
    role: role ?? usualRole(kind),
    bulkDensityKgPerM3: looseDensity.value,
    availableKg: balance.isPositive() ? balance.kilograms.toNumber() : 0,
    baleWeightKg: row.bale_form === 'loose' || baleWeight === null ? null : baleWeight.kilograms.toNumber(),
  };
}

type Analysis = Body['quotes'][number]['analysis'];

function testsOf(id: string, analysis: Analysis): Parameters<typeof rationLotOf>[0]['tests'] {
  if (analysis === undefined) return [];
  const values = Object.fromEntries(Object.entries(analysis).filter(([, value]) => value !== undefined));
  return [{ id, method: 'near-infrared', analysis: { ...values, dryMatterPercent: analysis.dryMatterPercent } }];
}

function candidateOfQuote(
  { name, hayKind, role, price, available, baleWeight, analysis }: Body['quotes'][number],
  index: number,
  currency: Currency,
): Candidate {
  const lotId = `${QUOTE_PREFIX}${index}`;
  return {
    lot: rationLotOf({
      lotId,
      lotName: name,
      hayKind,
      tests: testsOf(lotId, analysis),
      price: PricePerMass.of(price.amount, currency, price.per),
    }),
    role: role ?? usualRole(HAY_KINDS[hayKind]),
    bulkDensityKgPerM3: looseDensityOf({ hayKind }).value,
    availableKg: available === undefined ? null : toMass(available).kilograms.toNumber(),
    baleWeightKg: baleWeight === undefined ? null : toMass(baleWeight).kilograms.toNumber(),
  };
}

/** A recorded offer: delivered cost over the weight offered, and no more of it than is offered. */
function candidateOfOffer(
  { quote, price }: Awaited<ReturnType<HayQuoteRead['open']>>[number],
  chosen: { role?: LayerRole | undefined; analysis?: Analysis },
): Candidate | undefined {
  if (price === undefined) return undefined;
  const hayKind = quote.hay_kind;
  const weight = Mass.kilograms(quote.weight_kg);
  const lotId = `${OFFER_PREFIX}${quote.id}`;
  return {
    lot: rationLotOf({
      lotId,
      lotName: `${quote.name} (${quote.vendor})`,
      hayKind,
      tests: testsOf(lotId, chosen.analysis),
      price: deliveredCostOf(price).per(weight),
    }),
    role: chosen.role ?? usualRole(feedKindOf(hayKind)),
    bulkDensityKgPerM3: looseDensityOf({ hayKind }).value,
    availableKg: weight.kilograms.toNumber(),
  };
}
