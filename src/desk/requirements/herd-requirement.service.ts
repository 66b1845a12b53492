import { Injectable } from '@nestjs/common';
import { dietContextOf } from '../../core/judge/diet-context.js';
import { rationSupply } from '../../core/judge/ration-supply.js';
import { NUTRIENTS } from '../../core/nutrients/nutrients.data.js';
import { byCode, MINERALS, TRACE_NUTRIENTS } from '../../core/nutrients/nutrients.js';
import { digestibleNeedKg } from '../../core/requirements/digestible-need.js';
import {
  type DietContext,
  REQUIREMENT_EDITIONS,
  type RequirementSet,
  type WorkingStep,
} from '../../core/requirements/requirement-set.js';
import { figureIn, wordsIn } from '../../core/units/wording.js';
import type { OperationTenant } from '../../platform/database/types.js';
import { together } from '../../platform/database/together.js';
import type { AnswerOf, InputOf } from '../../platform/http/endpoint.js';
import { type UnitSystem, formatMass, formatMeasure } from '../../platform/wire/quantity.schema.js';
import { type HerdFacts, HerdFactsRead } from '../facts/herd-facts.js';
import { type LotFacts, LotFactsRead } from '../facts/lot-facts.js';
import { weatherAnswer, weatherChoiceOf } from '../facts/weather.schema.js';
import { contentOf, layOut, massOfKilograms, type RationContent, type RationRow } from '../facts/ration-content.js';
import { dailyAmount, notesAnswer, proteinAmount } from '../judge/judgement.js';
import { needOf, USUAL_JUDGING, wastedOf } from '../judge/ration-judge.js';
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
    const diet = fed === undefined ? undefined : dietOf(facts, fed);
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
      dietFrom: diet?.from ?? 'the poorest diet whose predicted intake covers the need',
      weather: weatherAnswer(facts, query.coldMethod, units),
      units,
      requirements: editions.map((edition): One => {
        const answer = needOf(
          facts,
          { edition, coldMethod: query.coldMethod },
          { diet: diet?.context, grazing: query.grazing === 'true' },
        );
        if (answer.ok) return requirementsAnswer(answer.value, facts.head, units);
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

function dietOf(
  facts: HerdFacts,
  { ration, content, lots }: RationInUse,
): { context: DietContext; from: string } | undefined {
  const laid = layOut(content, lots);
  if (!laid.ok) return undefined;
  const wasted = wastedOf(facts, {
    ...USUAL_JUDGING,
    statedWastedShare: content.statedWastedShare,
    fedAtPresent: true,
  });
  return {
    context: dietContextOf(rationSupply({ layers: laid.value.layers, wastedShare: wasted.share })),
    from: `the ration in use, "${ration.name}"`,
  };
}

function requirementsAnswer(set: RequirementSet, head: number, units: UnitSystem): One {
  const mass = (kilograms: number): ReturnType<typeof formatMass> =>
    formatMass(massOfKilograms(kilograms), units, 'small');
  const round = (value: number, places = 1): number => Number(value.toFixed(places));
  const digestibleKg = digestibleNeedKg(set, set.diet);
  return {
    edition: set.edition,
    perHead: {
      dryMatterIntake: mass(set.dryMatterIntakeKgPerDay),
      netEnergyMaintenanceTotal: dailyAmount(set.netEnergyMaintenanceTotalMcalPerDay, 'Mcal/d', 3),
      netEnergyMaintenance: dailyAmount(set.netEnergyMaintenanceMcalPerDay, 'Mcal/d', 3),
      netEnergyGain: dailyAmount(set.netEnergyGainMcalPerDay, 'Mcal/d', 3),
      netEnergyPregnancy: dailyAmount(set.netEnergyPregnancyMcalPerDay, 'Mcal/d', 3),
      netEnergyLactation: dailyAmount(set.netEnergyLactationMcalPerDay, 'Mcal/d', 3),
      totalDigestibleNutrients: digestibleKg === null ? null : mass(digestibleKg),
      milk: mass(set.milkKgPerDay),
      metabolizableProtein: proteinAmount('metabolizableProtein', set.metabolizableProteinGPerDay, units),
      crudeProtein: proteinAmount('crudeProtein', set.crudeProteinGPerDay, units),
      rumenDegradableProtein: proteinAmount('degradableProtein', set.rumenDegradableProteinGPerDay, units),
      ...byCode(MINERALS, (mineral) =>
        dailyAmount(set.minerals[mineral], NUTRIENTS[mineral].need.unit, NUTRIENTS[mineral].need.decimals),
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
    notes: notesAnswer(set.notes, units),
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
