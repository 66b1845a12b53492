import {
  garrett1980NetEnergyMaintenance,
  nrc2000EnergyFromTdn,
  zinn1998NetEnergyGainFromMaintenance,
  DIGESTIBLE_ENERGY_PER_KG_TDN_MCAL,
} from '../../../src/core/forage/energy-from-tdn.js';
import {
  nrc2000BodyComposition,
  nrc2000ReserveEnergy,
  nrc2000WeightAtCondition,
} from '../../../src/core/requirements/body-condition.js';
import {
  amesInsley1975EffectiveTemperature,
  coldRuleOfThumb,
  illinoisBallparkEffectiveTemperature,
} from '../../../src/core/requirements/cold.js';
import {
  equivalentShrunkBodyWeight,
  nrc2000RetainedEnergy,
  nrc2000ShrunkGainPublishedForm,
  shrunkGainFromRetainedEnergy,
} from '../../../src/core/requirements/gain.js';
import { hibberdThrift1992ForageCapacity } from '../../../src/core/requirements/intake.js';
import {
  nrc2000LactationProtein,
  nrc2000MilkEnergy,
  nrc2000MilkYield,
  PEAK_WEEK,
} from '../../../src/core/requirements/lactation.js';
import { nrc2000MaintenanceEnergy } from '../../../src/core/requirements/maintenance.js';
import { NUTRIENTS } from '../../../src/core/nutrients/nutrients.data.js';
import type { NutrientOfDryMatter } from '../../../src/core/nutrients/nutrients.js';
import { nrc2000Calcium, nrc2000Phosphorus } from '../../../src/core/requirements/minerals.js';
import { nrc2000PregnancyEnergy, nrc2000PregnancyProtein } from '../../../src/core/requirements/pregnancy.js';
import {
  crudeProteinFromMetabolizable,
  nrc2000GainProtein,
  nrc2000MaintenanceProtein,
} from '../../../src/core/requirements/protein.js';
import type { AnimalDescription, RequirementSet } from '../../../src/core/requirements/requirement-set.js';
import { requirementsFor } from '../../../src/core/requirements/requirements-for.js';
import { fromBaseUnit } from '../../../src/core/units/unit.js';
import type { WaterClass } from '../../../src/core/requirements/water-intake.data.js';
import { winchesterMorris1956Water } from '../../../src/core/requirements/water.js';
import { publishedForageRows } from '../forage/published-forage.js';
import {
  ALL_CASES,
  compare,
  type ComparisonRow,
  numberIn,
  type PublishedCase,
  type Run,
  single,
  type UnansweredCase,
} from './published-cases.js';
import { KNOWN_MISSES } from './known-misses.js';
import { coldOrGrowthRun } from './published-cold-and-growth.js';

const LB = 0.45359237;
/**
 * The NRC table of beef cows counts to the end of each month (its milk of month 1 is that of day 30); so do all rows
 * here.
 */
const DAYS_PER_MONTH = 365 / 12;
/** Conception in a yearly calving interval with a gestation of 280 d: day 85 after calving. */
const CONCEPTION_DAY = 85;

function need(animal: AnimalDescription): RequirementSet {
  const answer = requirementsFor(animal, { edition: 'NRC2000' });
  if (!answer.ok) throw new Error(JSON.stringify(answer.problems));
  return answer.value;
}

/** The published tables of cows name shrunk weights (Arkansas MP391). */
function cow(
  cowLb: number,
  stage: {
    readonly daysPregnant?: number;
    readonly milkLb?: number;
    readonly daysInMilk?: number;
    readonly peakLb?: number;
  },
): RequirementSet {
  const fullBodyWeightKg = (cowLb * LB) / 0.96;
  const lactating = stage.milkLb !== undefined || stage.daysInMilk !== undefined;
  return need({
    class: lactating ? 'lactating-cow' : 'dry-pregnant-cow',
    sex: 'cow',
    fullBodyWeightKg,
    // Common practice: a calf weighs about 7 % of its dam.
    calfBirthWeightKg: 0.07 * cowLb * LB,
    ...(stage.daysPregnant === undefined ? {} : { daysPregnant: Math.max(0, stage.daysPregnant) }),
    ...(stage.milkLb === undefined ? {} : { milkKgPerDay: stage.milkLb * LB }),
    ...(stage.daysInMilk === undefined ? {} : { daysInMilk: stage.daysInMilk }),
    ...(stage.peakLb === undefined ? {} : { peakMilkKgPerDay: stage.peakLb * LB }),
  });
}

const answers: Readonly<Record<string, (set: RequirementSet) => number>> = {
  TDN_pct: (set) => set.diet.totalDigestibleNutrientsPercent,
  CP_pct: (set) => set.crudeProteinGPerDay / set.dryMatterIntakeKgPerDay / 10,
  DMI_lb: (set) => set.dryMatterIntakeKgPerDay / LB,
  CP_lb: (set) => set.crudeProteinGPerDay / 1000 / LB,
  TDN_lb: (set) => (set.dryMatterIntakeKgPerDay * set.diet.totalDigestibleNutrientsPercent) / 100 / LB,
  Ca_pct: (set) => set.minerals.calcium / set.dryMatterIntakeKgPerDay / 10,
  P_pct: (set) => set.minerals.phosphorus / set.dryMatterIntakeKgPerDay / 10,
  Ca_oz: (set) => set.minerals.calcium / 28.349523125,
  P_oz: (set) => set.minerals.phosphorus / 28.349523125,
};

function compareSet(
  one: PublishedCase,
  set: RequirementSet,
  tolerances: Readonly<Record<string, number | 'three percent'>>,
): ComparisonRow[] {
  return Object.entries(tolerances).map(([quantity, tolerance]) => {
    const answer = answers[quantity];
    if (answer === undefined) throw new Error(`No answer for ${quantity}`);
    const raw = (one.expected as Record<string, number | [number, number]>)[quantity];
    if (raw === undefined) throw new Error(`No ${quantity} in ${one.id}`);
    const published = raw;
    const allowed =
      tolerance === 'three percent' ? 0.03 * (typeof published === 'number' ? published : published[1]) : tolerance;
    return compare(one, quantity, quantity.slice(quantity.indexOf('_') + 1), published, answer(set), allowed);
  });
}

function eqsbw(sbwKg: number, finalKg: number): number {
  return equivalentShrunkBodyWeight({
    shrunkBodyWeightKg: sbwKg,
    finalShrunkBodyWeightKg: finalKg,
    standardReferenceWeightKg: 478,
  }).equivalentShrunkBodyWeightKg;
}

const nemOf = (kg: number, lactating = false, sex: 'steer' | 'bull' | 'cow' = 'steer') =>
  nrc2000MaintenanceEnergy({ shrunkBodyWeightKg: kg, sex, lactating }).netEnergyMaintenanceMcalPerDay;

const pregnancyRun = single(
  'Mcal NEm/d',
  0.002,
  (inputs) =>
    nrc2000PregnancyEnergy({
      calfBirthWeightKg: numberIn(inputs, 'calf_birth_weight_kg'),
      daysPregnant: numberIn(inputs, 'days_pregnant'),
      efficiencyOfMaintenance: numberIn(inputs, 'diet_km'),
    }).netEnergyPregnancyMcalPerDay,
);

const energyFromTdnRun: Run = (one) => {
  const energy = nrc2000EnergyFromTdn({ totalDigestibleNutrientsPercent: numberIn(one.inputs, 'TDN_pct_DM') });
  return [
    compare(one, 'ME', 'Mcal/kg', numberIn(one.expected, 'ME'), energy.metabolizableEnergyMcalPerKg, 0.005),
    compare(one, 'NEm', 'Mcal/kg', numberIn(one.expected, 'NEm'), energy.netEnergyMaintenanceMcalPerKg, 0.005),
    compare(one, 'NEg', 'Mcal/kg', numberIn(one.expected, 'NEg'), energy.netEnergyGainMcalPerKg, 0.005),
  ];
};

const retainedRun: Run = (one) => {
  const equivalentShrunkBodyWeightKg = eqsbw(
    numberIn(one.inputs, 'SBW_lb') * LB,
    numberIn(one.inputs, 'final_SBW_lb_at_28pct_fat') * LB,
  );
  const computed = nrc2000RetainedEnergy({
    equivalentShrunkBodyWeightKg,
    shrunkGainKgPerDay: numberIn(one.inputs, 'SWG_lb_d') * LB,
  }).retainedEnergyMcalPerDay;
  return [compare(one, 'RE', 'Mcal/d', one.expected as number, computed, 0.01 * (one.expected as number))];
};

const dryCowMonth: Run = (one) => {
  const month = numberIn(one.inputs, 'months_since_calving');
  const set = cow(numberIn(one.inputs, 'cow_lb'), { daysPregnant: month * DAYS_PER_MONTH - CONCEPTION_DAY });
  return compareSet(one, set, { TDN_pct: 'three percent', CP_pct: 0.3, DMI_lb: 'three percent' });
};

const milkingCowMonth: Run = (one) => {
  const month = numberIn(one.inputs, 'months_since_calving');
  const days = month * DAYS_PER_MONTH;
  const set = cow(numberIn(one.inputs, 'cow_lb'), {
    daysInMilk: days,
    peakLb: 20,
    daysPregnant: days - CONCEPTION_DAY,
  });
  return compareSet(one, set, { TDN_pct: 'three percent' });
};

const gainRun =
  (quantities: readonly string[], tolerances: Readonly<Record<string, number>>): Run =>
  (one) => {
    const weight = numberIn(one.inputs, 'shrunk_body_weight_kg');
    const shrunkGainKgPerDay = numberIn(one.inputs, 'shrunk_weight_gain_kg_d');
    const equivalentShrunkBodyWeightKg = eqsbw(weight, numberIn(one.inputs, 'final_shrunk_body_weight_kg'));
    const { retainedEnergyMcalPerDay } = nrc2000RetainedEnergy({ equivalentShrunkBodyWeightKg, shrunkGainKgPerDay });
    const protein = nrc2000GainProtein({ equivalentShrunkBodyWeightKg, shrunkGainKgPerDay, retainedEnergyMcalPerDay });
    const mineral = {
      shrunkBodyWeightKg: weight,
      retainedProteinGPerDay: protein.netProteinGPerDay,
      milkKgPerDay: 0,
      calfBirthWeightKg: 0,
      daysPregnant: 0,
    };
    const computed: Record<string, number> = {
      NE_gain_Mcal_d: retainedEnergyMcalPerDay,
      MP_gain_g_d: protein.metabolizableProteinGPerDay,
      Ca_gain_g_d: nrc2000Calcium(mineral).gainGPerDay,
      P_gain_g_d: nrc2000Phosphorus(mineral).gainGPerDay,
    };
    return quantities.map((quantity) =>
      compare(
        one,
        quantity,
        quantity.startsWith('NE') ? 'Mcal/d' : 'g/d',
        numberIn(one.expected, quantity),
        numberIn(computed, quantity),
        numberIn(tolerances, quantity),
      ),
    );
  };

const mineralTextRun: Run = (one) => {
  const symbol = String(one.inputs['mineral']);
  const codes: Readonly<Record<string, NutrientOfDryMatter>> = {
    Mg: 'magnesium',
    K: 'potassium',
    Cu: 'copper',
    Mn: 'manganese',
    S: 'sulfur',
  };
  const code = codes[symbol];
  const row = code === undefined ? undefined : NUTRIENTS[code].ofDryMatter;
  const numbers =
    String(one.expected)
      .match(/[\d.]+/g)
      ?.map(Number) ?? [];
  if (row === undefined || numbers.length < 3) throw new Error(`Cannot read ${one.id}`);
  const [growing = NaN, gestating = NaN, lactating = NaN, maximum] = numbers;
  return [
    compare(one, `${symbol} growing`, row.unit, growing, row.growing, 0),
    compare(one, `${symbol} gestating`, row.unit, gestating, row.gestating, 0),
    compare(one, `${symbol} early lactation`, row.unit, lactating, row.lactating, 0),
    ...(maximum === undefined ? [] : [compare(one, `${symbol} maximum`, row.unit, maximum, row.maximum ?? NaN, 0)]),
  ];
};

const waterGallons = (waterClass: WaterClass, weightLb: number, airF: number) =>
  fromBaseUnit(
    winchesterMorris1956Water({ waterClass, weightKg: weightLb * LB, temperatureC: (airF - 32) / 1.8 }).waterLPerDay,
    'gal',
  );

/** Classes of the shared water cases, with the weight where the page names none: 1100 lb cows. */
const SHARED_WATER: Readonly<Record<string, readonly [WaterClass, number]>> = {
  '500 lb calf': ['growing', 500],
  '800 lb growing': ['growing', 800],
  'dry pregnant cow': ['pregnant-cow', 1100],
  'lactating cow': ['lactating-cow', 1100],
};

const waterRun: Run = (one) => {
  const named = String(one.inputs['class']);
  const known = SHARED_WATER[named] ?? ([named as WaterClass, numberIn(one.inputs, 'weight_lb')] as const);
  const tolerance = typeof one.tolerance === 'number' ? one.tolerance : 0.1 * (one.expected as number);
  return [
    compare(
      one,
      'water',
      'gal/d',
      one.expected as number,
      waterGallons(known[0], known[1], numberIn(one.inputs, 'air_F')),
      tolerance,
    ),
  ];
};

const tableRun: Run = (one) => {
  const tolerances = one.tolerance as Readonly<Record<string, number>>;
  const weight = numberIn(one.inputs, 'shrunk_body_weight_kg');
  const table = String(one.inputs['table']);
  const month = one.inputs['month_since_calving'];
  const lactating = table === 'beef-cow' && typeof month === 'number' && month <= 6;
  const computed: Record<string, number> = {
    NEm_maintenance: nemOf(weight, lactating, table === 'bull' ? 'bull' : 'cow'),
    MP_maintenance: nrc2000MaintenanceProtein({ shrunkBodyWeightKg: weight }).metabolizableProteinGPerDay,
  };
  const mineral = {
    shrunkBodyWeightKg: weight,
    retainedProteinGPerDay: 0,
    milkKgPerDay: 0,
    calfBirthWeightKg: 0,
    daysPregnant: 0,
  };
  computed['Ca_maintenance'] = nrc2000Calcium(mineral).maintenanceGPerDay;
  computed['P_maintenance'] = nrc2000Phosphorus(mineral).maintenanceGPerDay;
  if (typeof month === 'number') {
    const day = month * DAYS_PER_MONTH;
    const { milkKgPerDay } = nrc2000MilkYield({
      peakMilkKgPerDay: numberIn(one.inputs, 'peak_milk_kg'),
      weekOfLactation: day / 7,
    });
    computed['NEm_lactation'] =
      milkKgPerDay *
      nrc2000MilkEnergy({
        fatPercent: numberIn(one.inputs, 'milk_fat_pct'),
        solidsNotFatPercent: numberIn(one.inputs, 'milk_SNF_pct'),
      }).milkEnergyMcalPerKg;
    computed['MP_lactation'] = nrc2000LactationProtein({
      milkKgPerDay,
      proteinPercent: numberIn(one.inputs, 'milk_protein_pct'),
    }).metabolizableProteinGPerDay;
    const calf = {
      calfBirthWeightKg: numberIn(one.inputs, 'calf_birth_weight_kg'),
      daysPregnant: Math.max(0, day - CONCEPTION_DAY),
    };
    computed['NEm_pregnancy'] = nrc2000PregnancyEnergy({
      ...calf,
      efficiencyOfMaintenance: numberIn(one.inputs, 'efficiency_of_maintenance'),
    }).netEnergyPregnancyMcalPerDay;
    computed['MP_pregnancy'] = nrc2000PregnancyProtein(calf).metabolizableProteinGPerDay;
    computed['NEm_total'] =
      numberIn(computed, 'NEm_maintenance') +
      numberIn(computed, 'NEm_pregnancy') +
      (lactating ? numberIn(computed, 'NEm_lactation') : 0);
  }
  return Object.keys(one.expected as object).map((quantity) =>
    compare(
      one,
      quantity,
      quantity.startsWith('NE') ? 'Mcal/d' : 'g/d',
      numberIn(one.expected, quantity),
      numberIn(computed, quantity),
      numberIn(tolerances, quantity),
    ),
  );
};

const reservesRun: Run = (one) => {
  const { shrunkBodyWeightKg } = nrc2000WeightAtCondition({
    shrunkBodyWeightKg: numberIn(one.inputs, 'mature_weight_at_score_5_lb') * LB,
    bodyConditionScore: 5,
    targetScore: numberIn(one.inputs, 'from_score'),
  });
  const { energyMcal } = nrc2000ReserveEnergy({
    shrunkBodyWeightKg,
    bodyConditionScore: numberIn(one.inputs, 'from_score'),
    targetScore: numberIn(one.inputs, 'to_score'),
  });
  return [
    compare(
      one,
      'energy of one score',
      'Mcal',
      numberIn(one.expected, 'energy_Mcal'),
      energyMcal,
      numberIn(one.tolerance, 'energy_Mcal'),
    ),
  ];
};

const bodyFatRun: Run = (one) => [
  compare(
    one,
    'body fat',
    '% of empty body',
    numberIn(one.expected, 'empty_body_fat_pct'),
    nrc2000BodyComposition({ bodyConditionScore: numberIn(one.inputs, 'score') }).fatShare * 100,
    numberIn(one.tolerance, 'empty_body_fat_pct'),
  ),
];

const arizonaMilk = (one: PublishedCase) =>
  cow(numberIn(one.inputs, 'cow_lb'), { milkLb: numberIn(one.inputs, 'milk_lb') });

const BY_ID: Readonly<Record<string, Run>> = {
  'energy-km-2.0': single('NEm/ME', 0.001, (inputs) => {
    const me = numberIn(inputs, 'diet_ME_Mcal_per_kg');
    return garrett1980NetEnergyMaintenance({ metabolizableEnergyMcalPerKg: me }).netEnergyMaintenanceMcalPerKg / me;
  }),
  'energy-nem-steer-715lb': single('Mcal NEm/d', 0.01, (inputs) => nemOf(numberIn(inputs, 'body_weight_lb') * LB)),
  'energy-nem-feed-for-maintenance': single(
    'kg DM/d',
    0.01,
    (inputs) => numberIn(inputs, 'NEm_req') / numberIn(inputs, 'diet_NEm_per_kg'),
  ),
  'energy-nem-cow-1200': single('Mcal NEm/d', 0.02, (inputs) =>
    nemOf(numberIn(inputs, 'shrunk_body_weight_lb') * LB, false, 'cow'),
  ),
  'energy-nem-cow-1200-lactating': single('Mcal NEm/d', 0.02, (inputs) =>
    nemOf(numberIn(inputs, 'shrunk_body_weight_lb') * LB, true, 'cow'),
  ),
  'energy-swg-from-re': (one) => {
    const inputs = {
      equivalentShrunkBodyWeightKg: eqsbw(numberIn(one.inputs, 'SBW_kg'), numberIn(one.inputs, 'final_SBW_kg')),
      retainedEnergyMcalPerDay: numberIn(one.inputs, 'RE_Mcal'),
    };
    return [
      compare(
        one,
        'SWG, published form',
        'kg/d',
        one.expected as number,
        nrc2000ShrunkGainPublishedForm(inputs).shrunkGainKgPerDay,
        0.00896,
      ),
      compare(
        one,
        'SWG, exact inverse',
        'kg/d',
        one.expected as number,
        shrunkGainFromRetainedEnergy(inputs).shrunkGainKgPerDay,
        0.00896,
      ),
    ];
  },
  'energy-neg-from-nem-1.5': single(
    'Mcal NEg/kg',
    0.001,
    (inputs) =>
      zinn1998NetEnergyGainFromMaintenance({ netEnergyMaintenanceMcalPerKg: numberIn(inputs, 'NEm_Mcal_kg') })
        .netEnergyGainMcalPerKg,
  ),
  'energy-tdn-lb-to-de': single(
    'kcal DE',
    0.5,
    (inputs) => numberIn(inputs, 'TDN_lb') * LB * DIGESTIBLE_ENERGY_PER_KG_TDN_MCAL * 1000,
  ),
  'energy-milk-e-fat-snf': single(
    'Mcal/kg milk',
    0.003,
    (inputs) =>
      nrc2000MilkEnergy({ fatPercent: numberIn(inputs, 'fat_pct'), solidsNotFatPercent: numberIn(inputs, 'SNF_pct') })
        .milkEnergyMcalPerKg,
  ),
  'energy-milk-curve-wk4': single(
    'kg/d',
    0.02,
    (inputs) =>
      nrc2000MilkYield({ peakMilkKgPerDay: numberIn(inputs, 'peak_kg'), weekOfLactation: numberIn(inputs, 'week') })
        .milkKgPerDay,
  ),
  'energy-milk-peak-week': single('week after calving', 0, () => PEAK_WEEK),
  'cold-dry-heavy-sdsu': (one) => {
    const { effectiveTemperatureF } = amesInsley1975EffectiveTemperature({
      temperatureF: numberIn(one.inputs, 'air_F'),
      windMph: numberIn(one.inputs, 'wind_mph'),
    });
    return [
      compare(one, 'effective temperature', '°F', numberIn(one.inputs, 'effective_F'), effectiveTemperatureF, 0.5),
      compare(
        one,
        'extra energy',
        '%',
        one.expected as number,
        coldRuleOfThumb({ effectiveTemperatureF, coat: 'dry-heavy-winter' }).extraPercent,
        1,
      ),
    ];
  },
  'cold-dry-osu': (one) => {
    const { extraPercent } = coldRuleOfThumb({
      effectiveTemperatureF: numberIn(one.inputs, 'windchill_F'),
      coat: 'dry-winter',
    });
    return [
      compare(one, 'extra energy', '%', numberIn(one.expected, 'extra_pct'), extraPercent, 0),
      compare(
        one,
        'hay',
        'lb/d',
        numberIn(one.expected, 'hay_lb'),
        numberIn(one.inputs, 'base_hay_lb') * (1 + extraPercent / 100),
        0.1,
      ),
    ];
  },
  'cold-windchill-5-10': single(
    '°F effective',
    0.5,
    (inputs) =>
      amesInsley1975EffectiveTemperature({
        temperatureF: numberIn(inputs, 'air_F'),
        windMph: numberIn(inputs, 'wind_mph'),
      }).effectiveTemperatureF,
  ),
  'cold-windchill-20-30': single(
    '°F effective',
    0.5,
    (inputs) =>
      amesInsley1975EffectiveTemperature({
        temperatureF: numberIn(inputs, 'air_F'),
        windMph: numberIn(inputs, 'wind_mph'),
      }).effectiveTemperatureF,
  ),
  'cold-ballpark-windchill': single(
    '°F',
    0,
    (inputs) =>
      illinoisBallparkEffectiveTemperature({
        temperatureF: numberIn(inputs, 'air_F'),
        windMph: numberIn(inputs, 'wind_mph'),
      }).effectiveTemperatureF,
  ),
  'cold-ndsu-25F-20mph': (one) => {
    const { effectiveTemperatureF } = amesInsley1975EffectiveTemperature({
      temperatureF: numberIn(one.inputs, 'air_F'),
      windMph: numberIn(one.inputs, 'wind_mph'),
    });
    const rule = coldRuleOfThumb({ effectiveTemperatureF, coat: 'dry-heavy-winter' });
    const tdn = numberIn(one.inputs, 'base_TDN_lb') * (1 + rule.extraPercent / 100);
    return [
      compare(one, 'effective temperature', '°F', numberIn(one.expected, 'effective_F'), effectiveTemperatureF, 0.5),
      compare(one, 'degrees below', '°F', numberIn(one.expected, 'degrees_below'), rule.degreesBelowF, 0.5),
      compare(one, 'TDN', 'lb/d', numberIn(one.expected, 'TDN_lb'), tdn, 0.01),
      compare(
        one,
        'extra TDN',
        'lb/d',
        numberIn(one.expected, 'extra_TDN_lb'),
        tdn - numberIn(one.inputs, 'base_TDN_lb'),
        0.01,
      ),
    ];
  },
  'req-cow1200-gest8': (one) =>
    compareSet(one, cow(1200, { daysPregnant: 8 * DAYS_PER_MONTH }), {
      CP_pct: 0.05,
      TDN_pct: 0.05,
      CP_lb: 0.05,
      TDN_lb: 0.05,
    }),
  'req-cow-late-rise': (one) => {
    const at = (month: number) => cow(1200, { daysPregnant: month * DAYS_PER_MONTH });
    const early = at(7);
    const late = at(9);
    const rise = (quantity: string) => {
      const answer = answers[quantity];
      return answer === undefined ? NaN : (answer(late) / answer(early) - 1) * 100;
    };
    const expected = one.expected as { CP_rise_pct: [number, number]; TDN_rise_pct: [number, number] };
    return [
      compare(one, 'CP rise', '%', expected.CP_rise_pct, rise('CP_lb'), 0),
      compare(one, 'TDN rise', '%', expected.TDN_rise_pct, rise('TDN_lb'), 0),
    ];
  },
  'req-cow1000-latepreg-cp': (one) => compareSet(one, cow(1000, { daysPregnant: 236 }), { CP_pct: 0.3, CP_lb: 0.1 }),
  'req-cow1000-lact10-cp': (one) => compareSet(one, arizonaMilk(one), { CP_pct: 0.3, CP_lb: 0.05 }),
  'req-cow1000-latepreg-minerals': (one) =>
    compareSet(one, cow(1000, { daysPregnant: 236 }), { Ca_pct: 0.02, Ca_oz: 0.05, P_pct: 0.02, P_oz: 0.05 }),
  'req-cow1000-midpreg-cp': (one) => [
    compare(
      one,
      'CP_lb',
      'lb/d',
      one.expected as number,
      answers['CP_lb']?.(cow(1000, { daysPregnant: 140 })) ?? NaN,
      0.05,
    ),
  ],
  'req-cow1000-lact7-cp': (one) => [
    compare(one, 'CP_lb', 'lb/d', one.expected as [number, number], answers['CP_lb']?.(arizonaMilk(one)) ?? NaN, 0),
  ],
  'az-cow1000-lact10-minerals': (one) => compareSet(one, arizonaMilk(one), { Ca_oz: 0.05, P_oz: 0.05 }),
  'az-cow1000-lact18-cp': (one) => compareSet(one, arizonaMilk(one), { CP_lb: 0.05 }),
  'req-heifer650-1.0': (one) =>
    compareSet(
      one,
      need({
        class: 'replacement-heifer',
        sex: 'heifer',
        fullBodyWeightKg: 650 * LB,
        matureFullBodyWeightKg: 1200 * LB,
        ageMonths: 10,
        targetShrunkGainKgPerDay: 1 * LB,
      }),
      { TDN_pct: 0.5, CP_pct: 0.5 },
    ),
  'req-mp-to-cp': single(
    'lb CP',
    0.005,
    (inputs) => crudeProteinFromMetabolizable({ metabolizableProtein: numberIn(inputs, 'MP_lb') }).crudeProtein,
  ),
};

const UNANSWERED: Readonly<Record<string, string>> = {
  'req-cow-frame7-dry': 'The page names a frame score, no weight; the equations need a weight.',
  'req-nursing-shortfall': 'A supply against a given need: belongs to the evaluation of a ration.',
};

function runFor(one: PublishedCase): Run | undefined {
  const named = BY_ID[one.id] ?? coldOrGrowthRun(one);
  if (named !== undefined) return named;
  if (one.id.startsWith('energy-pregnancy-')) return pregnancyRun;
  if (one.id.startsWith('energy-ne-from-tdn-')) return energyFromTdnRun;
  if (one.id.startsWith('energy-re-')) return retainedRun;
  if (one.id.startsWith('req-mineral-')) return mineralTextRun;
  if (/^req-cow\d+-month\d+$/.test(one.id))
    return String(one.inputs['state']).startsWith('dry') ? dryCowMonth : milkingCowMonth;
  if (one.id.startsWith('reserves-')) return reservesRun;
  if (one.id.startsWith('body-fat-')) return bodyFatRun;
  if (one.id.startsWith('growing-'))
    return gainRun(['NE_gain_Mcal_d', 'MP_gain_g_d', 'Ca_gain_g_d', 'P_gain_g_d'], {
      NE_gain_Mcal_d: 0.02,
      MP_gain_g_d: 1,
      Ca_gain_g_d: 1,
      P_gain_g_d: 1,
    });
  if (one.inputs['table'] === 'growing-gain')
    return gainRun(['NE_gain_Mcal_d', 'MP_gain_g_d'], one.tolerance as Record<string, number>);
  if (one.inputs['shrunk_body_weight_kg'] !== undefined && one.inputs['table'] !== undefined) return tableRun;
  if (one.topic === 'water' && one.id.startsWith('water-') && one.inputs['air_F'] !== undefined) return waterRun;
  if (one.topic === 'intake') {
    return (row) =>
      (['dry', 'lactating'] as const).map((stage) =>
        compare(
          row,
          `forage capacity, ${stage}`,
          '% of weight',
          numberIn(row.expected, `${stage}_pct`),
          hibberdThrift1992ForageCapacity({
            fullBodyWeightKg: 500,
            totalDigestibleNutrientsPercent: numberIn(row.inputs, 'TDN_pct'),
            lactating: stage === 'lactating',
          }).percentOfWeight,
          1e-9,
        ),
      );
  }
  return undefined;
}

const TOPICS = ['energy', 'cold', 'requirement_table', 'water', 'intake', 'growth'];

/** Water cases that judge the quality of water (solids, sulfate) belong to the cautions. */
function isOurs(one: PublishedCase): boolean {
  return TOPICS.includes(one.topic) && !(one.topic === 'water' && one.inputs['air_F'] === undefined);
}

/** Every published case of energy, cold, requirements, growth, water, intake and forage, computed; none is left out. */
export function publishedAgainstComputed(): {
  readonly rows: readonly ComparisonRow[];
  readonly unanswered: readonly UnansweredCase[];
} {
  const rows: ComparisonRow[] = [];
  const unanswered: UnansweredCase[] = [];
  for (const one of ALL_CASES.filter(isOurs)) {
    const run = runFor(one);
    if (run !== undefined) rows.push(...run(one));
    else unanswered.push({ id: one.id, reason: UNANSWERED[one.id] ?? 'no reason given' });
  }
  const forage = publishedForageRows();
  return { rows: [...rows, ...forage.rows], unanswered: [...unanswered, ...forage.unanswered] };
}

const figure = (value: number) => (Number.isInteger(value) ? String(value) : String(Number(value.toPrecision(4))));

/**
 * The table of published against computed values as Markdown text. `reasons` explains misses by `id/quantity`, or by
 * `id`.
 */
export function publishedAgainstComputedMarkdown(reasons: Readonly<Record<string, string>> = KNOWN_MISSES): string {
  const { rows, unanswered } = publishedAgainstComputed();
  const misses = rows.filter((row) => !row.within);
  const lines = [
    `${rows.length} published figures from ${new Set(rows.map((row) => row.id)).size} cases; ` +
      `${rows.length - misses.length} within tolerance, ${misses.length} missed, ${unanswered.length} cases not ` +
      'answered.',
    '',
    '| case | quantity | unit | source | status | published | computed | difference | tolerance | within |',
    '|---|---|---|---|---|---|---|---|---|---|',
    ...rows.map((row) => {
      const [from, to] = row.published;
      const published = from === to ? figure(from) : `${figure(from)} to ${figure(to)}`;
      return (
        `| ${row.id} | ${row.quantity} | ${row.unit} | ${row.source} | ${row.status} | ${published} | ` +
        `${figure(row.computed)} | ${figure(row.difference)} | ${figure(row.tolerance)} | ` +
        `${row.within ? 'yes' : 'no'} |`
      );
    }),
    '',
    'Misses and their reasons:',
    '',
    ...misses.map(
      (row) =>
        `- ${row.id}, ${row.quantity}: ${reasons[`${row.id}/${row.quantity}`] ?? reasons[row.id] ?? 'no reason given'}`,
    ),
    '',
    'Not answered here:',
    '',
    ...unanswered.map((one) => `- ${one.id}: ${one.reason}`),
    '',
  ];
  return lines.join('\n');
}
