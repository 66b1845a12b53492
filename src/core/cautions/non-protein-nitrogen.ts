import type { ForageAnalysis } from '../forage/forage-analysis.js';
import type { Caution } from '../outcome/caution.js';
import { type Outcome, refused, succeeded } from '../outcome/outcome.js';
import { CAUTION_SOURCES } from './caution-sources.data.js';
import { CAUTIONS } from './cautions.data.js';
import { plain } from './caution.js';

type Figures = Pick<ForageAnalysis, 'crudeProteinPercent' | 'nonProteinNitrogenPercent'>;

/**
 * Whether what a test or a label gives as protein equivalent of non-protein nitrogen can be a part of its crude
 * protein, and whether it is so large a part that the feed is fed by its directions alone. Both on one basis.
 * @param least what a label guarantees at least, or what a laboratory measured
 * @param most what a label guarantees at most
 */
export function nonProteinNitrogenOnReport(least: Figures, most: Figures): Outcome<readonly Caution[]> {
  const equivalent = most.nonProteinNitrogenPercent ?? least.nonProteinNitrogenPercent;
  const protein = most.crudeProteinPercent ?? least.crudeProteinPercent;
  if (equivalent === undefined || equivalent <= 0) return succeeded([]);
  const field = 'nonProteinNitrogenPercent';
  if (protein === undefined)
    return refused({
      code: 'non-protein-nitrogen-without-protein',
      field,
      given: equivalent,
      allowed: 'beside the crude protein of the same report',
      message: 'It is a part of the crude protein: give the crude protein too, or nobody can tell how large a part.',
    });
  if (equivalent > protein)
    return refused({
      code: 'non-protein-nitrogen-above-protein',
      field,
      given: equivalent,
      allowed: `at most the crude protein (${plain(protein, 2)} %)`,
      message:
        'It is a part of the crude protein and cannot exceed it. A figure in urea or nitrogen has a unit of its own.',
    });
  const { value, unit, source } = CAUTIONS['urea-share'].thresholds.shareOfCrudeProtein;
  const share = equivalent / protein;
  if (share <= value) return succeeded([]);
  return succeeded([
    {
      code: 'non-protein-nitrogen-high',
      message: `${plain(share * 100, 0)} % of its crude protein is urea or other non-protein nitrogen.`,
      given: share,
      threshold: value,
      unit,
      source: CAUTION_SOURCES[source].citation,
      advice: CAUTIONS['urea-share'].advice,
    },
  ]);
}
