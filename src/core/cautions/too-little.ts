import { quantity, sentence } from '../units/wording.js';
import { passes, plain, raiseIfPassed, type RaisedCaution } from './caution.js';
import { CAUTIONS } from './cautions.data.js';

const { shareOfEnergy, dangerousShareOfEnergy } = CAUTIONS['less-than-keeps-weight'].thresholds;

/** That cattle get less energy than keeps their weight, Mcal of net energy for maintenance a day. */
export function tooLittleCautions({
  eatenMcal,
  neededMcal,
  dryMatterKg,
}: {
  /** As much as it can be where a lot does not tell it; `null` where that is not known either. */
  readonly eatenMcal: number | null;
  readonly neededMcal: number;
  /** Offered, without what is refused or wasted. */
  readonly dryMatterKg: number;
}): RaisedCaution[] {
  const given = eatenMcal === null || !(neededMcal > 0) ? null : eatenMcal / neededMcal;
  const isDanger = given !== null && passes(given, dangerousShareOfEnergy.raisedWhen, dangerousShareOfEnergy.value);
  const percent = plain((given ?? 0) * 100, 0);
  const dryMatter = quantity(dryMatterKg, 'kg', 1);
  return raiseIfPassed({
    code: 'less-than-keeps-weight',
    severity: isDanger ? 'danger' : 'watch',
    given,
    threshold: isDanger ? dangerousShareOfEnergy : shareOfEnergy,
    message: sentence`A head gets ${dryMatter} of dry matter a day, ${percent} % of the energy that keeps its weight.`,
  });
}
