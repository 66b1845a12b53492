import { anyInMilk } from '../../core/judge/in-milk.js';
import { JUDGEMENT } from '../../core/judge/judgement.data.js';
import type { WantedRation } from '../../core/ration/agreed-ration.js';
import type { Candidate } from '../../core/ration/ration-rows.js';
import { safeRation } from '../../core/ration/safe-ration.js';
import type { LayerRole } from '../../core/laying/layer.js';
import type { Currency } from '../../core/units/money.js';
import { problemOfCore } from '../../platform/http/core-problems.js';
import type { AnswerOf, InputOf } from '../../platform/http/endpoint.js';
import { toMass, type UnitSystem } from '../../platform/wire/quantity.schema.js';
import type { HerdFacts, HerdOnDay } from '../facts/herd-facts.js';
import type { LotFacts } from '../facts/lot-facts.js';
import { linearSolver } from '../linear-solver.js';
import type { HerdSpan } from './herd-span.read.js';
import { firstHeldDays } from './span-need.js';
import { judgingOf } from './least-cost-judgement.js';
import type * as api from './least-cost.schema.js';
import { leastCostAnswer } from './least-cost.wire.js';

type Body = InputOf<typeof api.leastCostRationFor>['body'];

/** Everything gathered for the question of the cheapest ration: plain data, so that a worker thread can answer it. */
export interface LeastCostQuestion {
  readonly herd: HerdFacts;
  readonly span: HerdSpan;
  readonly body: Body;
  readonly lots: ReadonlyMap<string, LotFacts>;
  readonly candidates: readonly Candidate[];
  readonly currency: Currency;
  readonly units: UnitSystem;
}

/**
 * The cheapest ration that suits the herd on every day of its span. It is searched for against the mean of the days and
 * a few of them; if another day turns out to bind, the search is done again with that day held too, until none does.
 * @throws Problem if the question cannot be asked of these lots and this herd.
 */
export async function answerLeastCost(question: LeastCostQuestion): Promise<AnswerOf<typeof api.leastCostRationFor>> {
  const { herd, span, body, lots, candidates, currency, units } = question;
  const solve = await linearSolver();
  let held: readonly HerdOnDay[] = body.days === 1 ? [] : firstHeldDays(span);
  for (let turn = 1; ; turn += 1) {
    const judging = judgingOf(herd, span, body, { lots, candidates, held });
    const outcome = safeRation({
      candidates,
      animal: span.animal,
      ...(body.days === 1 ? {} : { lightestKg: span.lightestKg }),
      anyPregnant: span.mayBePregnant,
      anyMilking: anyInMilk(span.animals),
      wanted: wantedOf(herd, span, body, judging.wasted.share),
      needOn: judging.needOn,
      ownCautions: judging.ownCautions,
      waterSulfateMgPerL: judging.water?.sulfateMgPerL ?? null,
      solve,
      ...(body.wholeBales === undefined ? {} : { wholeBalesEveryDays: body.wholeBales.everyDays }),
    });
    if (!outcome.ok) throw problemOfCore(outcome.problems, (field) => pointerIn(body, field));
    const found = outcome.value;
    const binding = found.status === 'solved' && body.days > 1 ? judging.bindingDays(found.layers) : [];
    if (binding.length === 0 || turn === TURNS_MAX)
      return leastCostAnswer(found, { herd, body, currency, units, judging });
    held = [...held, ...binding];
  }
}

/** Each turn holds one more day or two. What would still not suit a day then is told by its cautions. */
const TURNS_MAX = 6;

const POINTERS: Readonly<Record<string, string>> = {
  candidates: '#/lots',
  head: '#/days',
  days: '#/days',
  wholeBalesEveryDays: '#/wholeBales/everyDays',
  wastedShare: '#/wastedPercent',
  maxLegumeShare: '#/maxLegumePercent',
  intakeFloorShare: '#/intakeFloorPercent',
};

/** The place in the body that a field of the core came from. */
function pointerIn({ lots = [], shares }: Body, field: string): string {
  const [kind, of = '', bound] = field.split('.');
  if (kind === 'fixed')
    return `#/lots/${lots.findIndex(({ hayLotId, fixed }) => hayLotId === of && fixed !== undefined)}/fixed`;
  if (kind !== 'shareBands') return POINTERS[field] ?? '#';
  const band = shares?.bands.map(({ role }) => role).lastIndexOf(of as LayerRole) ?? -1;
  return band < 0 ? '#/shares' : `#/shares/bands/${band}${bound === undefined ? '' : `/${bound}Percent`}`;
}

const shareOf = (percent: number | undefined): number | undefined =>
  percent === undefined ? undefined : percent / 100;

function wantedOf(herd: HerdFacts, span: HerdSpan, body: Body, wastedShare: number): WantedRation {
  const { maxNitrateNitrogenPpm, maxSulfurPercent, minCalciumToPhosphorus, maxFiberPercentOfWeight } = body;
  const maxLegumeShare = shareOf(body.maxLegumePercent);
  return {
    proteinSystem: body.proteinSystem,
    minerals: body.minerals,
    intakeCapShare: body.intakeCapPercent / 100,
    intakeFloorShare:
      shareOf(body.intakeFloorPercent) ??
      JUDGEMENT.nearFromShareOfNeed.value * Math.min(1, body.intakeCapPercent / 100),
    wastedShare,
    // Of the heaviest day: what it asks for is enough for all others.
    minLongStemKg: (span.heaviestKg * JUDGEMENT.longStemPercentOfWeight.value) / 100,
    head: herd.head,
    days: body.days,
    leastLaid: { forageKg: kilogramsOf(body.leastLaid?.forage), otherKg: kilogramsOf(body.leastLaid?.other) },
    allowUntested: body.allowUntested,
    nitrate: body.nitrate,
    lotDangers: body.lotDangers,
    minDegradableShare: body.minDegradableProteinPercent / 100,
    ...(body.shares === undefined ? {} : { shareBands: bandsOf(body.shares) }),
    ...(maxLegumeShare === undefined ? {} : { maxLegumeShare }),
    ...(maxNitrateNitrogenPpm === undefined ? {} : { maxNitrateNitrogenPpm }),
    ...(maxSulfurPercent === undefined ? {} : { maxSulfurPercent }),
    ...(minCalciumToPhosphorus === undefined ? {} : { minCalciumToPhosphorus }),
    ...(maxFiberPercentOfWeight === undefined ? {} : { maxFiberPercentOfWeight }),
  };
}

const kilogramsOf = (typed: Parameters<typeof toMass>[0] | undefined): number | undefined =>
  typed === undefined ? undefined : toMass(typed).kilograms.toNumber();

function bandsOf({ basis, bands }: NonNullable<Body['shares']>): NonNullable<WantedRation['shareBands']> {
  return {
    basis,
    bands: bands.map(({ role, atLeastPercent, atMostPercent }) => ({
      role,
      ...(atLeastPercent === undefined ? {} : { atLeast: atLeastPercent / 100 }),
      ...(atMostPercent === undefined ? {} : { atMost: atMostPercent / 100 }),
    })),
  };
}
