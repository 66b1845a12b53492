import { Injectable } from '@nestjs/common';
import { feedGroupOf } from '../../core/feeds/other-feeds.data.js';
import { checkLabTest } from '../../core/forage/lab-test-plausibility.js';
import type { CautionsOfDay } from '../../core/judge/one-meal.js';
import { LAB_NUTRIENTS, labReport } from '../../core/nutrients/nutrients.js';
import { dayIn } from '../../platform/clock.js';
import type { OperationTenant } from '../../platform/database/types.js';
import { problemOfCore } from '../../platform/http/core-problems.js';
import type { AnswerOf, InputOf } from '../../platform/http/endpoint.js';
import { Problem, ruleBroken } from '../../platform/http/problem.js';
import { toMass } from '../../platform/wire/quantity.schema.js';
import { HerdRead, type HerdRow } from '../../records/cattle/herds/herd.read.js';
import { analysisOf, type TypedAnalysis } from '../../records/hay/lab-tests/lab-test.read.js';
import { type HerdFacts, HerdFactsRead } from '../facts/herd-facts.js';
import { type LotFacts, LotFactsRead } from '../facts/lot-facts.js';
import { fedAtPresentOf, laidForDaysNote } from '../facts/present-ration.js';
import { notesAnswer } from '../judge/judgement.js';
import type { UnitSystem } from '../../core/units/unit.js';
import { contentOf, type RationContent } from '../facts/ration-content.js';
import { statedWeatherOf, weatherChoiceOf } from '../facts/weather.schema.js';
import { FedDaysRead, operationOf } from '../rations/fed-days.read.js';
import { type FedNow, FedNowRead } from '../rations/fed-now.read.js';
import { evaluate } from '../rations/ration-evaluation.service.js';
import { RationRead } from '../rations/ration.read.js';
import { RationService, type WeighedHerd, weighedHerdOf } from '../rations/ration.service.js';
import { assumedHerd, assumedLots, assumedTestNotes, type AssumedTest, type HerdAssumptions } from './assumptions.js';
import type * as api from './what-if.schema.js';

type Body = InputOf<typeof api.judgeWhatIf>['body'];
type Answer = AnswerOf<typeof api.judgeWhatIf>;
type Compared = Answer['herds'][number]['rations'][number];

/** A ration to compare, gathered once for all herds; for the one in use or fed at present, each herd has its own. */
type Candidate =
  | { kind: 'in-use' | 'present' }
  | { kind: 'fixed'; name: string; rationId: string | null; content: RationContent; lots: Map<string, LotFacts> };

/** What-ifs: rations side by side, for one or many herds, with weather, weight, condition or tests assumed. */
@Injectable()
export class WhatIfService {
  constructor(
    private readonly herds: HerdRead,
    private readonly herdFacts: HerdFactsRead,
    private readonly lots: LotFactsRead,
    private readonly rations: RationRead,
    private readonly service: RationService,
    private readonly now: FedNowRead,
    private readonly fedDays: FedDaysRead,
  ) {}

  async judge(tenant: OperationTenant, { query, body }: InputOf<typeof api.judgeWhatIf>): Promise<Answer> {
    const on = query.on ?? dayIn(tenant.operation.timeZone, tenant.moment);
    const tests = await this.#tests(tenant, body, on);
    const herds = await this.#named(tenant, body.herdIds);
    const facts = await this.herdFacts.of(tenant, herds, on, weatherChoiceOf(query));
    const now = await this.now.of(tenant, facts);
    const present = await this.#presentLots(tenant, facts, on, query.tests);
    const days = await this.#daysOfPresent(tenant, body, facts, { lots: present, tests: query.tests });
    const assume = assumptionsOf(body.assume);
    const weighed = facts.map((herd) => weighedHerdOf(assumedHerd(herd, assume)));
    const candidates = await this.#candidates(tenant, body, { on, tests: query.tests, herds: weighed });
    return {
      herds: facts.map((herd) => ({
        herdId: herd.herd.id,
        herd: herd.herd.name,
        rations: candidates.map((candidate): Compared => {
          const ration = rationFor(candidate, herd, now.get(herd.herd.id), present);
          if (ration === undefined)
            return {
              ration: candidate.kind === 'present' ? 'Fed at present' : 'In use',
              evaluation: null,
              notThereBecause:
                candidate.kind === 'present' ? notFedAtPresent(herd) : `No ration of this herd was in use on ${on}.`,
            };
          const lots = assumedLots(ration.lots, tests, on);
          const evaluation = evaluate(
            tenant,
            assumedHerd(herd, assume),
            {
              ...ration,
              lots,
              now: now.get(herd.herd.id),
              ...(candidate.kind === 'present' ? { days: days.get(herd.herd.id) ?? [] } : {}),
            },
            { ...query, on },
          );
          return {
            ration: ration.name,
            evaluation: {
              ...evaluation,
              notes: [
                ...evaluation.notes,
                ...(candidate.kind === 'present'
                  ? presentNotes(herd, query.units ?? tenant.operation.unitPreference)
                  : []),
                ...assumedTestNotes(ration.content, lots, tests),
              ],
            },
            notThereBecause: null,
          };
        }),
      })),
    };
  }

  /** The herds in the order asked. @throws Problem where one is named twice or does not exist. */
  async #named(tenant: OperationTenant, herdIds: readonly string[]): Promise<HerdRow[]> {
    const twice = herdIds.findIndex((id, index) => herdIds.indexOf(id) < index);
    if (twice >= 0)
      throw ruleBroken(
        `#/herdIds/${twice}`,
        'said-twice',
        herdIds[twice],
        'each herd once',
        'This herd is named twice.',
      );
    const all = await this.herds.all(tenant);
    return herdIds.map((id, index) => {
      const found = all.find((herd) => herd.id === id);
      if (found === undefined)
        throw ruleBroken(
          `#/herdIds/${index}`,
          'no-such-herd',
          id,
          'a herd of this operation',
          'There is no such herd, or none that you may see.',
        );
      return found;
    });
  }

  /**
   * Assumed tests, held to the same limits as those that are entered. @throws Problem where a lot does not exist or is
   * named twice.
   */
  async #tests(tenant: OperationTenant, { assume: { tests = [] } }: Body, on: string): Promise<AssumedTest[]> {
    const named = tests.map(({ hayLotId }, index) => ({ id: hayLotId, pointer: `#/assume/tests/${index}/hayLotId` }));
    const lots = await this.lots.named(tenant, named, on);
    const twice = named.find(({ id }, index) => named.findIndex((one) => one.id === id) < index);
    if (twice !== undefined)
      throw ruleBroken(twice.pointer, 'said-twice', twice.id, 'each lot once', 'This lot is named twice.');
    return tests.map((test, index) => testOf(test, index, lots.get(test.hayLotId)));
  }

  async #presentLots(
    tenant: OperationTenant,
    facts: readonly HerdFacts[],
    on: string,
    tests: 'now' | 'then',
  ): Promise<Map<string, LotFacts>> {
    const lotIds = new Set(
      facts.flatMap((herd) => {
        const present = fedAtPresentOf(herd);
        return present.ok ? present.value.parts.map((part) => part.lotId) : [];
      }),
    );
    return this.lots.named(
      tenant,
      [...lotIds].map((id) => ({ id, pointer: '#' })),
      on,
      tests,
    );
  }

  /** None where a weight or a test is assumed: what the days were found to do rests on the real ones. */
  async #daysOfPresent(
    tenant: OperationTenant,
    { rations, assume }: Body,
    herds: readonly HerdFacts[],
    { lots, tests }: { lots: ReadonlyMap<string, LotFacts>; tests: 'now' | 'then' },
  ): Promise<Map<string, CautionsOfDay[]>> {
    if (!rations.some((one) => one.kind === 'present')) return new Map();
    if (assume.bodyWeight !== undefined || (assume.tests ?? []).length > 0) return new Map();
    return this.fedDays.ofLastWeek(tenant, operationOf(tenant), { herds, lots, tests });
  }

  async #candidates(
    tenant: OperationTenant,
    { rations }: Body,
    asked: { on: string; tests: 'now' | 'then'; herds: readonly WeighedHerd[] },
  ): Promise<Candidate[]> {
    const candidates: Candidate[] = [];
    for (const [index, one] of rations.entries()) {
      if (one.kind === 'in-use' || one.kind === 'present') candidates.push({ kind: one.kind });
      else if (one.kind === 'kept') {
        const row = await this.rations.one(tenant, one.rationId);
        const layers = (await this.rations.layersOf(tenant, [row])).get(row.id) ?? [];
        const lotIds = layers.map((layer) => ({ id: layer.hay_lot_id, pointer: '#' }));
        const lots = await this.lots.named(tenant, lotIds, asked.on, asked.tests);
        candidates.push({ kind: 'fixed', name: row.name, rationId: row.id, content: contentOf(row, layers), lots });
      } else {
        const checked = await this.#unsaved(tenant, one, asked).catch((error: unknown) => {
          throw inRation(error, index);
        });
        candidates.push({ kind: 'fixed', name: one.name, rationId: null, ...checked });
      }
    }
    return candidates;
  }

  async #unsaved(
    tenant: OperationTenant,
    ration: Extract<Body['rations'][number], { kind: 'unsaved' }>,
    asked: { on: string; tests: 'now' | 'then'; herds: readonly WeighedHerd[] },
  ): Promise<{ content: RationContent; lots: Map<string, LotFacts> }> {
    return this.service.checked(tenant, await this.service.filled(tenant, ration), asked);
  }
}

/** What is wrong with one of the rations, in its place in the body. */
function inRation(error: unknown, index: number): unknown {
  if (!(error instanceof Problem)) return error;
  const errors = error.errors.map((one) =>
    one.pointer === undefined ? one : { ...one, pointer: one.pointer.replace(/^#/, `#/rations/${index}`) },
  );
  return new Problem(error.code, error.detail, errors, error.headers, error.subject);
}

interface ForHerd {
  name: string;
  rationId: string | null;
  content: RationContent;
  lots: ReadonlyMap<string, LotFacts>;
  fedAtPresent?: boolean;
}

function rationFor(
  candidate: Candidate,
  herd: HerdFacts,
  now: FedNow | undefined,
  presentLots: ReadonlyMap<string, LotFacts>,
): ForHerd | undefined {
  if (candidate.kind === 'fixed') return candidate;
  if (candidate.kind === 'in-use')
    return now === undefined
      ? undefined
      : { name: now.row.name, rationId: now.row.id, content: now.content, lots: now.lots };
  const present = fedAtPresentOf(herd);
  return !present.ok
    ? undefined
    : {
        name: 'Fed at present',
        rationId: null,
        content: { ...present.value, statedWastedShare: now?.content.statedWastedShare ?? null },
        lots: presentLots,
        fedAtPresent: true,
      };
}

function presentNotes(herd: HerdFacts, units: UnitSystem) {
  const note = laidForDaysNote(herd);
  return note === null ? [] : notesAnswer([note], units);
}

function notFedAtPresent(herd: HerdFacts): string {
  const present = fedAtPresentOf(herd);
  return present.ok ? '' : present.problems.map((one) => one.message).join(' ');
}

function assumptionsOf({ weather, bodyWeight, bodyCondition }: Body['assume']): HerdAssumptions {
  return {
    bodyWeight: bodyWeight === undefined ? undefined : toMass(bodyWeight),
    bodyCondition: bodyCondition === undefined ? undefined : Number(bodyCondition),
    weather: weather === undefined ? undefined : statedWeatherOf(weather),
  };
}

function testOf(
  { hayLotId, basis, analysis }: NonNullable<Body['assume']['tests']>[number],
  index: number,
  facts: LotFacts | undefined,
): AssumedTest {
  const typed = Object.fromEntries(
    Object.entries(analysis).filter(([, value]) => value !== undefined),
  ) as TypedAnalysis;
  const assumed = { lotId: hayLotId, basis, analysis: analysisOf(typed) };
  const checked = checkLabTest({
    ...assumed,
    ...(facts === undefined ? {} : { group: feedGroupOf(facts.row.hay_kind) }),
  });
  if (!checked.ok)
    throw problemOfCore(checked.problems, (field) => {
      const name = LAB_NUTRIENTS.find((one) => labReport(one).field === field);
      const at = `#/assume/tests/${index}/analysis`;
      return name === undefined ? at : `${at}/${name}/value`;
    });
  return assumed;
}
