import { Injectable } from '@nestjs/common';
import { type ColdLeftOut, coldLeftOutCautions } from '../../core/cautions/cold-left-out.js';
import { dietContextOf } from '../../core/judge/diet-context.js';
import type { RationEvaluation } from '../../core/judge/evaluation.js';
import { type NeedAsEaten, needAsEaten } from '../../core/judge/need-as-eaten.js';
import { rationSupply } from '../../core/judge/ration-supply.js';
import { NUTRIENTS } from '../../core/nutrients/nutrients.data.js';
import { byCode, MINERALS, TRACE_NUTRIENTS } from '../../core/nutrients/nutrients.js';
import { digestibleNeedKg } from '../../core/requirements/digestible-need.js';
import {
  type DietContext,
  REQUIREMENT_EDITIONS,
  type RequirementNote,
  type RequirementSet,
  type WorkingStep,
} from '../../core/requirements/requirement-set.js';
import { figureIn, quantity, sentence, wordsIn } from '../../core/units/wording.js';
import type { OperationTenant } from '../../platform/database/types.js';
import { together } from '../../platform/database/together.js';
import type { AnswerOf, InputOf } from '../../platform/http/endpoint.js';
import { type UnitSystem, formatMass, formatMeasure } from '../../platform/wire/quantity.schema.js';
import { type HerdFacts, HerdFactsRead } from '../facts/herd-facts.js';
import { type LotFacts, LotFactsRead } from '../facts/lot-facts.js';
import { weatherAnswer, weatherChoiceOf } from '../facts/weather.schema.js';
import { contentOf, layOut, massOfKilograms, type RationContent, type RationRow } from '../facts/ration-content.js';
import { dailyAmount, notesAnswer, proteinAmount } from '../judge/judgement.js';
import { coldLeftOutOf, type JudgeOptions, judgeRation, needOf } from '../judge/ration-judge.js';
import { RationRead } from '../rations/ration.read.js';
import type * as api from './herd-requirement.schema.js';

type Answer = AnswerOf<typeof api.herdRequirements>;
type One = Answer['requirements'][number];

@Injectable()
export class HerdRequirementService {
  constructor(
    private readonly herds: HerdFactsRead,
    private readonly lots: LotFactsRead,
    private readonly rations: RationRead,
  ) {}

  async get(tenant: OperationTenant, { params, query }: InputOf<typeof api.herdRequirements>): Promise<Answer> {
    const units = query.units ?? tenant.operation.unitPreference;
    const herdOn = await this.herds.herdOn(tenant, params.herdId, query.on);
    const [facts, fed] = await together(
      this.herds.ofOne(tenant, herdOn, weatherChoiceOf(query)),
      query.diet === 'solved' ? Promise.resolve(undefined) : this.#rationInUse(tenant, herdOn.herd.id, herdOn.on),
    );
    const editions = query.edition === undefined ? REQUIREMENT_EDITIONS : [query.edition];
    const { animal } = facts;
    return {
      herdId: facts.herd.id,
      herd: facts.herd.name,
      onDay: facts.on,
      cattleClass: animal.class,
      head: facts.head,
      bodyWeight: formatMass(facts.bodyWeight, units, 'small'),
      bodyWeightFrom: wordsIn(units, facts.bodyWeightFrom),
      daysPregnant: animal.daysPregnant ?? null,
      daysInMilk: animal.daysInMilk ?? null,
      bodyCondition: animal.bodyConditionScore ?? null,
      dietFrom:
        fed === undefined || !layOut(fed.content, fed.lots).ok
          ? 'the poorest diet whose predicted intake covers the need'
          : `the ration in use, "${fed.ration.name}"`,
      weather: weatherAnswer(facts, query.coldMethod, units),
      units,
      requirements: editions.map((edition): One => {
        const options = { edition, coldMethod: query.coldMethod };
        const judged = fed === undefined ? undefined : judgedRationOf(facts, fed, options);
        const answer = needOf(facts, options, { diet: judged?.diet, grazing: query.grazing === 'true' });
        if (answer.ok)
          return requirementsAnswer(answer.value, {
            units,
            head: facts.head,
            eaten: eatenOf(answer.value, judged?.evaluation ?? null),
            coldLeftOut: coldLeftOutOf(facts, options, answer.value.diet),
          });
        return {
          edition,
          perHead: null,
          perHerd: null,
          diet: null,
          coldMethod: null,
          lowerCriticalTemperature: null,
          working: [],
          notes: [],
          refusedBecause: answer.problems.map(({ code, field, message }) => ({ code, field, message })),
        };
      }),
    };
  }

  async #rationInUse(tenant: OperationTenant, herdId: string, on: string): Promise<RationInUse | undefined> {
    const ration = (await this.rations.inUseOn(tenant, [herdId], on)).get(herdId);
    if (ration === undefined) return undefined;
    const layers = (await this.rations.layersOf(tenant, [ration])).get(ration.id) ?? [];
    const lots = await this.lots.named(
      tenant,
      layers.map((layer) => ({ id: layer.hay_lot_id, pointer: '#' })),
      on,
    );
    return { ration, content: contentOf(ration, layers), lots };
  }
}

interface RationInUse {
  ration: RationRow;
  content: RationContent;
  lots: ReadonlyMap<string, LotFacts>;
}

/** The ration in use as the judge judges it, and the diet that it is; undefined where it cannot be laid out. */
function judgedRationOf(
  facts: HerdFacts,
  { content, lots }: RationInUse,
  options: JudgeOptions,
): { diet: DietContext; evaluation: RationEvaluation | null } | undefined {
  const laid = layOut(content, lots);
  if (!laid.ok) return undefined;
  const asked = { ...options, statedWastedShare: content.statedWastedShare, fedAtPresent: true, showCost: false };
  const { evaluation, wasted } = judgeRation(facts, laid.value, asked);
  return { diet: dietContextOf(rationSupply({ layers: laid.value.layers, wastedShare: wasted.share })), evaluation };
}

/** What is eaten of the ration in use, and what the microbes of the rumen need of that, as its judgement has them. */
interface Eaten extends NeedAsEaten {
  readonly dryMatterKg: number;
}

function eatenOf(set: RequirementSet, evaluation: RationEvaluation | null): Eaten | null {
  if (evaluation === null) return null;
  const { supply, metabolizableProtein } = evaluation;
  return { dryMatterKg: supply.dryMatterKg, ...needAsEaten(set, supply, metabolizableProtein) };
}

/** On which intake each need stands. */
function intakeNote({ dryMatterIntakeKgPerDay }: RequirementSet, eaten: Eaten | null): RequirementNote {
  const predicted = sentence`the predicted intake of ${quantity(dryMatterIntakeKgPerDay, 'kg', 2)} of dry matter`;
  const microbes = 'Degradable protein and sulfur are what the microbes of the rumen need';
  const ofTheRation = 'that is eaten of the ration in use; the other needs stand at';
  const message =
    eaten === null
      ? sentence`Every need stands at ${predicted}. ${microbes}: less where less is eaten.`
      : sentence`${microbes} of the ${quantity(eaten.dryMatterKg, 'kg', 2)} of dry matter ${ofTheRation} ${predicted}.`;
  return {
    code: 'needs-by-intake',
    message,
    source: 'NRC 2000, p. 17: 0.13 of the TDN eaten; University of Arkansas MP391, Table 1: sulfur',
  };
}

interface Answered {
  readonly head: number;
  readonly units: UnitSystem;
  /** `null` without a ration in use. */
  readonly eaten: Eaten | null;
  readonly coldLeftOut: ColdLeftOut | null;
}

function requirementsAnswer(set: RequirementSet, { head, units, eaten, coldLeftOut }: Answered): One {
  const mass = (kilograms: number): ReturnType<typeof formatMass> =>
    formatMass(massOfKilograms(kilograms), units, 'small');
  const round = (value: number, places = 1): number => Number(value.toFixed(places));
  const digestibleKg = digestibleNeedKg(set, set.diet);
  const degradableG = eaten?.degradableProteinG ?? set.rumenDegradableProteinGPerDay;
  const minerals = eaten === null ? set.minerals : { ...set.minerals, sulfur: eaten.sulfurG };
  const notes = [
    ...set.notes,
    intakeNote(set, eaten),
    ...(coldLeftOut === null
      ? []
      : coldLeftOutCautions(coldLeftOut).map(({ code, message, source }) => ({ code, message, source }))),
  ];
  return {
    edition: set.edition,
    perHead: {
      dryMatterIntake: mass(set.dryMatterIntakeKgPerDay),
      dryMatterEaten: eaten === null ? null : mass(eaten.dryMatterKg),
      netEnergyMaintenanceTotal: dailyAmount(set.netEnergyMaintenanceTotalMcalPerDay, 'Mcal/d', 3),
      netEnergyMaintenance: dailyAmount(set.netEnergyMaintenanceMcalPerDay, 'Mcal/d', 3),
      netEnergyGain: dailyAmount(set.netEnergyGainMcalPerDay, 'Mcal/d', 3),
      netEnergyPregnancy: dailyAmount(set.netEnergyPregnancyMcalPerDay, 'Mcal/d', 3),
      netEnergyLactation: dailyAmount(set.netEnergyLactationMcalPerDay, 'Mcal/d', 3),
      totalDigestibleNutrients: digestibleKg === null ? null : mass(digestibleKg),
      milk: mass(set.milkKgPerDay),
      metabolizableProtein: proteinAmount('metabolizableProtein', set.metabolizableProteinGPerDay, units),
      crudeProtein: proteinAmount('crudeProtein', set.crudeProteinGPerDay, units),
      rumenDegradableProtein: proteinAmount('degradableProtein', degradableG, units),
      ...byCode(MINERALS, (mineral) =>
        dailyAmount(minerals[mineral], NUTRIENTS[mineral].need.unit, NUTRIENTS[mineral].need.decimals),
      ),
      ...byCode(TRACE_NUTRIENTS, (trace) => dailyAmount(set.traces[trace], NUTRIENTS[trace].need.unit, 2)),
      water: formatMeasure(set.waterLPerDay, 'volume', units, { size: 'small' }),
    },
    perHerd: {
      dryMatterIntake: mass(set.dryMatterIntakeKgPerDay * head),
      water: formatMeasure(set.waterLPerDay * head, 'volume', units, { size: 'small' }),
    },
    diet: {
      netEnergyMaintenance: formatMeasure(set.diet.netEnergyMaintenanceMcalPerKg, 'energy content', units, {
        size: 'small',
        places: 4,
      }),
      totalDigestibleNutrients: mass((set.dryMatterIntakeKgPerDay * set.diet.totalDigestibleNutrientsPercent) / 100),
      totalDigestibleNutrientsPercent: round(set.diet.totalDigestibleNutrientsPercent, 2),
      origin: set.diet.origin,
    },
    coldMethod: set.coldMethod,
    lowerCriticalTemperature:
      set.lowerCriticalTemperatureC === null
        ? null
        : formatMeasure(set.lowerCriticalTemperatureC, 'temperature', units),
    working: Object.entries(set.parts).map(([family, steps]) => ({
      family,
      steps: steps.map((step) => stepAnswer(step, units)),
    })),
    notes: notesAnswer(notes, units),
    refusedBecause: [],
  };
}

/** A step in the units of the answer, beside the equation's own figure. */
function stepAnswer(
  { name, value, unit, source }: WorkingStep,
  units: UnitSystem,
): One['working'][number]['steps'][number] {
  const round = (figure: number): number => Number(figure.toFixed(6));
  const shown = figureIn(units, { value, unit });
  return {
    name,
    value: round(shown.value),
    unit: shown.unit,
    inTheEquation: { value: round(value), unit },
    source,
  };
}
