import { amesInsley1975EffectiveTemperature, coldRuleOfThumb } from '../../../src/core/requirements/cold.js';
import { gainToTarget, targetWeight } from '../../../src/core/requirements/heifer-growth.js';
import { GESTATION_DAYS, HEIFER_TARGETS } from '../../../src/core/requirements/heifer-targets.data.js';
import { SHRUNK_SHARE_OF_FULL_WEIGHT } from '../../../src/core/requirements/maintenance.js';
import { nrc2000ConceptusWeight } from '../../../src/core/requirements/pregnancy.js';
import { KG_PER_LB as LB, needs } from '../ration/ration-fixtures.js';
import { compare, numberIn, type PublishedCase, type Run } from './published-cases.js';

const numbers = (value: unknown) => value as readonly number[];

/** A wind chill table to the cell: winds down, temperatures across. */
const windChillTable: Run = (one) => {
  const temperatures = numbers(one.inputs['air_F']);
  const rows = one.expected as readonly (readonly number[])[];
  return numbers(one.inputs['wind_mph']).flatMap((windMph, row) =>
    temperatures.map((temperatureF, column) =>
      compare(
        one,
        `${windMph} mph, ${temperatureF} °F`,
        '°F effective',
        rows[row]?.[column] ?? NaN,
        amesInsley1975EffectiveTemperature({ temperatureF, windMph }).effectiveTemperatureF,
        1e-9,
      ),
    ),
  );
};

const wetCoatByTheDegree: Run = (one) => {
  const { effectiveTemperatureF } = amesInsley1975EffectiveTemperature({
    temperatureF: numberIn(one.inputs, 'air_F'),
    windMph: numberIn(one.inputs, 'wind_mph'),
  });
  const { extraPercent } = coldRuleOfThumb({ effectiveTemperatureF, coat: 'wet-or-summer' });
  return [compare(one, 'extra energy', '%', one.expected as number, extraPercent, one.tolerance as number)];
};

const wetCoatByTwo: Run = (one) => {
  const rule = coldRuleOfThumb({
    effectiveTemperatureF: numberIn(one.inputs, 'windchill_F'),
    coat: 'wet-or-summer',
    rule: 'two-per-cent-when-wet',
  });
  return [
    compare(one, 'degrees below', '°F', numberIn(one.expected, 'degrees_below'), rule.degreesBelowF, 1e-9),
    compare(one, 'extra energy', '%', numberIn(one.expected, 'extra_pct'), rule.extraPercent, 1e-9),
  ];
};

/** Any unit of mass: the arithmetic is the same. */
const gainRun: Run = (one) => [
  compare(
    one,
    'gain to the target',
    'lb/d',
    one.expected as number,
    gainToTarget({
      weightKg: numberIn(one.inputs, 'from_lb'),
      targetWeightKg: numberIn(one.inputs, 'to_lb'),
      days: numberIn(one.inputs, 'days'),
    }).gainKgPerDay,
    one.tolerance as number,
  ),
];

const targetsRun: Run = (one) =>
  (['first-calving', 'second-calving'] as const).flatMap((event) => {
    const { share, weightKg } = targetWeight({
      event,
      matureWeightKg: numberIn(one.inputs, 'mature_lb'),
      breedType: 'bos-taurus-beef',
    });
    return [
      compare(one, `${event} weight`, 'lb', numberIn(one.expected, `${event}_lb`), weightKg, 0.5),
      compare(one, `${event} share`, '% of mature weight', numberIn(one.expected, `${event}_pct`), share * 100, 1e-9),
    ];
  });

const breedingRun: Run = (one) => {
  const [from = NaN, to = NaN] = numbers(one.expected);
  return HEIFER_TARGETS.filter((row) => row.event === 'first-breeding').map((row) =>
    compare(one, row.breedTypes?.join(', ') ?? 'any', '% of mature weight', [from, to], row.share * 100, 1e-9),
  );
};

/**
 * A bred heifer, weighed as she stands, on the straight way from her weight at breeding to 80 % at calving, her calf
 * 7 % of mature weight.
 */
const bredHeiferRun: Run = (one) => {
  const matureKg = numberIn(one.inputs, 'mature_lb') * LB;
  const daysPregnant = numberIn(one.inputs, 'days_pregnant');
  const calfBirthWeightKg = 0.07 * matureKg;
  const bredKg = numberIn(one.inputs, 'breeding_lb') * LB;
  const ownKg = bredKg + ((0.8 * matureKg - bredKg) * daysPregnant) / GESTATION_DAYS;
  const { conceptusWeightKg } = nrc2000ConceptusWeight({ calfBirthWeightKg, daysPregnant });
  const set = needs({
    class: 'first-calf-heifer',
    sex: 'heifer',
    fullBodyWeightKg: ownKg + conceptusWeightKg / SHRUNK_SHARE_OF_FULL_WEIGHT,
    weighedWithCalf: true,
    matureFullBodyWeightKg: matureKg,
    daysPregnant,
    calfBirthWeightKg,
  });
  const proteinPercent = set.crudeProteinGPerDay / set.dryMatterIntakeKgPerDay / 10;
  const { TDN_pct, CP_pct } = one.tolerance as Record<'TDN_pct' | 'CP_pct', number>;
  return [
    compare(
      one,
      'TDN',
      '% of DM',
      numberIn(one.expected, 'TDN_pct'),
      set.diet.totalDigestibleNutrientsPercent,
      TDN_pct,
    ),
    compare(one, 'CP', '% of DM', numberIn(one.expected, 'CP_pct'), proteinPercent, CP_pct),
  ];
};

const RUNS: Readonly<Record<string, Run>> = {
  'cold-windchill-sdsu-table': windChillTable,
  'cold-wet-sdsu': wetCoatByTheDegree,
  'cold-wet-osu': wetCoatByTwo,
  'heifer-targets-ohio': targetsRun,
  'heifer-target-breeding-range': breedingRun,
};

/** Cold tables to the cell, and what heifers have to gain. */
export function coldOrGrowthRun(one: PublishedCase): Run | undefined {
  if (one.id.startsWith('heifer-gain-')) return gainRun;
  return RUNS[one.id] ?? (one.id.startsWith('heifer-bred-') ? bredHeiferRun : undefined);
}
