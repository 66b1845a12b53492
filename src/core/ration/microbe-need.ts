import { valueOf } from '../judge/ration-supply.js';
import { dietEnergyFromNetEnergyMaintenance } from '../requirements/diet-energy.js';
import { MICROBIAL_EFFICIENCY } from '../requirements/microbial-efficiency.data.js';
import { bacterialProtein } from '../requirements/protein.js';
import type { RequirementEdition, RequirementSet } from '../requirements/requirement-set.js';
import type { Candidate } from './ration-row.js';

/** Degradable protein that the microbes need, g, as a straight line over the TDN and the dry matter of a mixture. */
export interface MicrobeNeed {
  readonly perTdnG: number;
  readonly perDryMatterKg: number;
  readonly constantG: number;
}

/** Close enough to read the direction of a curve, points of TDN. */
const STEP = 1e-3;

/**
 * The need on diets around the requirement's own: exact there, and straight. On poor diets the need rises faster than
 * the TDN, so it is a curve, and a row has to be a line.
 */
export function microbeNeedAt(requirement: RequirementSet): MicrobeNeed {
  return microbeNeedBetween([requirement], [0, 0], 'easiest');
}

/**
 * A line that the need on no diet of a range lies below (`easiest`) or above (`hardest`): through the need at the
 * poorest of them, in the least or the largest direction to any other. `beside`: see `digestibleBeside`.
 */
export function microbeNeedBetween(
  sets: readonly Pick<RequirementSet, 'edition' | 'diet'>[],
  [less, more]: readonly [number, number],
  which: 'easiest' | 'hardest',
): MicrobeNeed {
  const [first] = sets;
  if (first === undefined) throw new RangeError('No needs to choose from');
  const percents = sets.map(({ diet }) => diet.totalDigestibleNutrientsPercent);
  const from = Math.min(...percents) + less;
  const to = Math.max(...percents) + more;
  const needAt = needPerKg(first.edition);
  const bends = MICROBIAL_EFFICIENCY.map((point) => point.totalDigestibleNutrientsPercent);
  const others = [from + STEP, ...bends.filter((bend) => bend > from + STEP && bend < to), Math.max(to, from + STEP)];
  const slopes = others.map((percent) => (needAt(percent) - needAt(from)) / (percent - from));
  const slope = which === 'easiest' ? Math.min(...slopes) : Math.max(...slopes);
  return {
    perTdnG: slope / 10,
    perDryMatterKg: needAt(from) - slope * from,
    constantG: neededG(first.edition, 0, from),
  };
}

const neededG = (
  edition: RequirementEdition,
  dryMatterIntakeKgPerDay: number,
  totalDigestibleNutrientsPercent: number,
) =>
  bacterialProtein({ edition, dryMatterIntakeKgPerDay, totalDigestibleNutrientsPercent })
    .degradableProteinNeededGPerDay;

/** Of a kilogram of dry matter, without the constant that an edition may have. */
const needPerKg = (edition: RequirementEdition) => (percent: number) =>
  neededG(edition, 1, percent) - neededG(edition, 0, percent);

/** By how much, at the least and at the most, the TDN of the lots lies beside the one that their NEm tells. */
export function digestibleBeside(candidates: readonly Candidate[]): readonly [number, number] {
  const beside = candidates.flatMap(({ lot }) => {
    const energy = valueOf({ lot, field: 'netEnergyMaintenanceMcalPerKg' }).value;
    const { value } = valueOf({ lot, field: 'totalDigestibleNutrientsPercent' });
    if (value === null || energy === null || energy <= 0) return [];
    const fromEnergy = dietEnergyFromNetEnergyMaintenance({ netEnergyMaintenanceMcalPerKg: energy });
    return [value - fromEnergy.totalDigestibleNutrientsPercent];
  });
  return [Math.min(0, ...beside), Math.max(0, ...beside)];
}
