import { counted } from '../units/counted.js';
import { Mass } from '../units/mass.js';
import { AGE_OF_DAM_ADDITIONS, AGE_OF_DAM_SOURCE, WEANING_AGE_DAYS } from './adjusted-weaning-weight.data.js';
import { type Refusal, refused } from '../outcome/outcome.js';
import { problem, type Problem } from '../outcome/problem.js';

export interface AdjustedWeaningWeight {
  readonly ok: true;
  readonly weight: Mass;
  readonly gainPerDay: Mass;
  readonly ageOfDamAddition: Mass;
  readonly flags: readonly { readonly code: 'age-outside-range'; readonly message: string }[];
  readonly source: string;
}

/** Additions for the age of the dam in whole years at calving: to weaning weight by sex, and to birth weight. */
export function bifAgeOfDamAdditions(
  damAgeYears: number,
): { readonly male: Mass; readonly female: Mass; readonly birth: Mass } | Refusal {
  const row = AGE_OF_DAM_ADDITIONS.find(
    (each) => damAgeYears >= each.fromYears && (each.toYears === null || damAgeYears <= each.toYears),
  );
  if (!Number.isInteger(damAgeYears) || !row) {
    return refused(
      problem(
        'dam-age-out-of-range',
        'damAgeYears',
        String(damAgeYears),
        'whole years, 2 or more',
        'The table begins with dams of two years.',
      ),
    );
  }
  return { male: Mass.of(row.maleLb, 'lb'), female: Mass.of(row.femaleLb, 'lb'), birth: Mass.of(row.birthLb, 'lb') };
}

/**
 * Adjusted 205-day weight: (weaning − birth) / age × 205 + birth + age-of-dam addition. Outside 160 to 250 days of
 * age the weight is flagged and carries no age-of-dam addition. Source: Beef Improvement Federation Guidelines.
 */
export function bifAdjusted205DayWeight(input: {
  weaningWeight: Mass;
  birthWeight: Mass;
  ageDays: number;
  sex: 'male' | 'female';
  damAgeYears: number;
}): AdjustedWeaningWeight | Refusal {
  const { weaningWeight, birthWeight, ageDays, sex, damAgeYears } = input;
  const problems: Problem[] = [];
  if (!Number.isInteger(ageDays) || ageDays < 1)
    problems.push(
      problem('age-not-days', 'ageDays', String(ageDays), 'whole days, 1 or more', 'Age is counted in whole days.'),
    );
  if (!birthWeight.isPositive())
    problems.push(
      problem(
        'weight-not-positive',
        'birthWeight',
        birthWeight.toString(),
        'more than 0 kg',
        'A calf weighs something at birth.',
      ),
    );
  if (!weaningWeight.isPositive())
    problems.push(
      problem(
        'weight-not-positive',
        'weaningWeight',
        weaningWeight.toString(),
        'more than 0 kg',
        'A calf weighs something at weaning.',
      ),
    );
  const additions = bifAgeOfDamAdditions(damAgeYears);
  if ('ok' in additions) problems.push(...additions.problems);
  if (problems.length > 0 || 'ok' in additions) return refused(problems);
  const inRange = ageDays >= WEANING_AGE_DAYS.youngest && ageDays <= WEANING_AGE_DAYS.oldest;
  const ageOfDamAddition = inRange ? additions[sex] : Mass.zero;
  const gainPerDay = weaningWeight.minus(birthWeight).dividedBy(ageDays);
  return {
    ok: true,
    gainPerDay,
    ageOfDamAddition,
    weight: gainPerDay.times(WEANING_AGE_DAYS.standard).plus(birthWeight).plus(ageOfDamAddition),
    flags: inRange
      ? []
      : [
          {
            code: 'age-outside-range',
            message:
              `Weaned at ${counted(ageDays, 'day')}, outside ${WEANING_AGE_DAYS.youngest} to ` +
              `${WEANING_AGE_DAYS.oldest}: no age-of-dam addition, and the weight is not comparable.`,
          },
        ],
    source: AGE_OF_DAM_SOURCE,
  };
}
