import { Injectable } from '@nestjs/common';
import type { CautionsOfDay } from '../../core/judge/one-meal.js';
import { wordsIn } from '../../core/units/wording.js';
import { decimalFromFloat } from '../../core/units/decimal.js';
import { Mass } from '../../core/units/mass.js';
import type { OperationTenant } from '../../platform/database/types.js';
import type { AnswerOf, InputOf } from '../../platform/http/endpoint.js';
import { type UnitSystem, formatMass, formatMoney } from '../../platform/wire/quantity.schema.js';
import { cautionAnswer } from '../../records/kit/caution.schema.js';
import { type Judgement, judgementAnswer, proteinAmount } from '../judge/judgement.js';
import { type HerdFacts, HerdFactsRead } from '../facts/herd-facts.js';
import { type LotFacts, LotFactsRead } from '../facts/lot-facts.js';
import { contentOf, massOfKilograms, type RationContent } from '../facts/ration-content.js';
import { weatherAnswer, weatherChoiceOf } from '../facts/weather.schema.js';
import { judgeContent, type JudgedRation, withDays } from '../judge/ration-judge.js';
import { type FedNow, FedNowRead } from './fed-now.read.js';
import { RationRead } from './ration.read.js';
import type * as api from './ration.schema.js';
import { RationService, weighedHerdOf } from './ration.service.js';

type Evaluation = AnswerOf<typeof api.evaluateRationAtHand>;
type Query = InputOf<typeof api.evaluateRationAtHand>['query'];

/** A ration, stored or only asked about, against what its herd needs on a day. */
@Injectable()
export class RationEvaluationService {
  constructor(
    private readonly herds: HerdFactsRead,
    private readonly lots: LotFactsRead,
    private readonly rations: RationRead,
    private readonly service: RationService,
    private readonly now: FedNowRead,
  ) {}

  async kept(
    tenant: OperationTenant,
    { params, query }: InputOf<typeof api.evaluateRationAtHand>,
  ): Promise<Evaluation> {
    const row = await this.rations.one(tenant, params.rationId);
    const layers = (await this.rations.layersOf(tenant, [row])).get(row.id) ?? [];
    const herd = await this.herds.one(tenant, row.herd_id, query.on, weatherChoiceOf(query));
    const lots = await this.lots.named(
      tenant,
      layers.map((layer) => ({ id: layer.hay_lot_id, pointer: '#' })),
      herd.on,
      query.tests,
    );
    const now = (await this.now.of(tenant, [herd])).get(herd.herd.id);
    return evaluate(tenant, herd, { content: contentOf(row, layers), lots, rationId: row.id, now }, query);
  }

  async unsaved(
    tenant: OperationTenant,
    { params, query, body }: InputOf<typeof api.evaluateUnsaved>,
  ): Promise<Evaluation> {
    const herd = await this.herds.one(tenant, params.herdId, query.on, weatherChoiceOf(query));
    const filled = await this.service.filled(tenant, body);
    const { content, lots } = await this.service.checked(tenant, filled, {
      on: herd.on,
      tests: query.tests,
      herds: [weighedHerdOf(herd)],
    });
    const now = (await this.now.of(tenant, [herd])).get(herd.herd.id);
    return evaluate(tenant, herd, { content, lots, rationId: null, now }, query);
  }
}

/** What to judge: a ration, the lots it names, and what the herd is fed now. */
export interface Asked {
  content: RationContent;
  lots: ReadonlyMap<string, LotFacts>;
  rationId: string | null;
  now: FedNow | undefined;
  /** Set where this is what the herd is fed now although no ration in use says so. */
  fedAtPresent?: boolean;
  /** Of what it is fed now: its days, where one meal may have done harm. */
  days?: readonly CautionsOfDay[];
}

/** A ration against what its herd needs, in the units of the answer. */
export function evaluate(
  tenant: OperationTenant,
  herd: HerdFacts,
  { content, lots, rationId, now, days = [], fedAtPresent = rationId !== null && now?.row.id === rationId }: Asked,
  query: Query,
): Evaluation {
  const units = query.units ?? tenant.operation.unitPreference;
  const { laid, judged } = judgeContent(herd, content, lots, {
    ...query,
    statedWastedShare: content.statedWastedShare,
    showCost: tenant.may('prices', tenant.operationId),
    fedAtPresent,
    asFed: fedAtPresent && rationId === null,
  });
  return {
    rationId,
    herdId: herd.herd.id,
    herd: herd.herd.name,
    onDay: herd.on,
    edition: query.edition,
    units,
    head: herd.head,
    bodyWeight: formatMass(herd.bodyWeight, units, 'small'),
    bodyWeightFrom: wordsIn(units, herd.bodyWeightFrom),
    weather: weatherAnswer(herd, query.coldMethod, units),
    perHead: {
      asFed: formatMass(massOfKilograms(laid?.asFedKgPerHead ?? 0), units, 'small'),
      dryMatter: formatMass(massOfKilograms(laid?.dryMatterKgPerHead ?? 0), units, 'small'),
    },
    ...evaluationAnswer(withDays(judged, days), herd, units),
  };
}

type Written = Judgement & Pick<Evaluation, 'gain' | 'ratios' | 'costPerLot' | 'likelyEatenFirst' | 'layingCautions'>;

function evaluationAnswer(judged: JudgedRation, herd: HerdFacts, units: UnitSystem): Written {
  const { evaluation, laying, likelyEatenFirst } = judged;
  const gain = (kilograms: number | null | undefined): ReturnType<typeof formatMass> | null =>
    kilograms === null || kilograms === undefined
      ? null
      : formatMass(Mass.kilograms(decimalFromFloat(kilograms, 4)), units, 'small');
  return {
    ...judgementAnswer(judged, units),
    gain: {
      energyAllowed: gain(evaluation?.gain.energyAllowableKgPerDay),
      proteinAllowed: gain(evaluation?.gain.proteinAllowableKgPerDay),
      target: evaluation === null ? null : gain(herd.animal.targetShrunkGainKgPerDay),
    },
    ratios: ratiosOf(evaluation, units),
    costPerLot: (evaluation?.cost.perLot ?? []).map(({ lotId, lotName, perHeadDay }) => ({
      hayLotId: lotId,
      hayLot: lotName,
      perHeadDay: perHeadDay === null ? null : formatMoney(perHeadDay),
    })),
    likelyEatenFirst: [...likelyEatenFirst],
    layingCautions: laying.map((one) => cautionAnswer(one, units)),
  };
}

function ratiosOf(evaluation: JudgedRation['evaluation'], units: UnitSystem): Written['ratios'] {
  const round = (value: number | null | undefined, places: number): number | null =>
    value === null || value === undefined ? null : Number(value.toFixed(places));
  const verdict = evaluation?.nitrate.verdict ?? null;
  const balance = evaluation?.degradableProteinBalanceG ?? null;
  return {
    calciumToPhosphorus: round(evaluation?.calciumToPhosphorus, 3),
    tetanyRatio: round(evaluation?.tetanyRatio, 3),
    sulfurPercentOfDryMatter: round(evaluation?.sulfurPercentOfDryMatter, 3),
    nitrateNitrogenPpm: round(evaluation?.nitrate.wholeRationNitrateNitrogenPpmDm, 1),
    nitrateVerdict: verdict === null ? null : `${verdict.label} (${verdict.guideName})`,
    degradableProteinBalance: balance === null ? null : proteinAmount('degradableProtein', balance, units),
    forageShare: round(evaluation?.forageShare, 4) ?? 0,
    longStemShare: round(evaluation?.longStemShare, 4) ?? 0,
  };
}
