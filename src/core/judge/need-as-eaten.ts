import type { RequirementSet } from '../requirements/requirement-set.js';
import type { MetabolizableProteinOfRation, RationSupply } from './ration-supply.js';

/** g/d. */
export interface NeedAsEaten {
  readonly degradableProteinG: number;
  readonly sulfurG: number;
}

/**
 * What the microbes of the rumen need of what is eaten of a ration, in place of what they would need at the predicted
 * intake: bacterial protein is made from the TDN that is eaten (NRC 2000, p. 17: 0.13 TDN), and their sulfur is a share
 * of the dry matter that is eaten (University of Arkansas MP391, Table 1, after NRC 1996: 0.15 %). All other needs are
 * the animal's own, which do not shrink where it is offered less. Where too little is known of the ration's protein,
 * its degradable need stands at the predicted intake. A small part of the ration that does not tell its sulfur is left
 * out of its need as of its supply.
 */
export function needAsEaten(
  requirement: RequirementSet,
  supply: RationSupply,
  protein: MetabolizableProteinOfRation | null,
): NeedAsEaten {
  const sulfurGPerKg = requirement.minerals.sulfur / requirement.dryMatterIntakeKgPerDay;
  return {
    degradableProteinG: protein?.degradableProteinNeededG ?? requirement.rumenDegradableProteinGPerDay,
    sulfurG: sulfurGPerKg * supply.minerals.sulfur.heldAgainstKg,
  };
}
