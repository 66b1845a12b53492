import { DEFAULT_GUIDES } from '../cautions/guides.data.js';
import { observationCautions } from '../cautions/hay-observations.js';
import { labTestCautions } from '../cautions/lab-tests.js';
import { mineralCautions, type MineralStage, totalSulfur } from '../cautions/minerals.js';
import { nitrateCautions } from '../cautions/nitrate.js';
import {
  abruptChangeCautions,
  acidosisCautions,
  legumeBloatCautions,
  proteinForRumenCautions,
  ureaCautions,
} from '../cautions/rumen.js';
import { waterCautions } from '../cautions/water.js';
import { traceCautions } from '../cautions/trace-minerals.js';
import { type Mineral, TRACE_NUTRIENTS } from '../nutrients/nutrients.js';
import { type RaisedCaution, worstFirst } from '../cautions/caution.js';
import { type AnimalDescription, MATURE_COWS, type RequirementSet } from '../requirements/requirement-set.js';
import type { EvaluationRequest } from './evaluation.js';
import { JUDGEMENT } from './judgement.data.js';
import { percentOfDryMatter, rationSupply, type RationSupply, valueOf } from './ration-supply.js';

/** An evaluation, or what there is of one when the herd's need is not known: the hay's cautions do not depend on it. */
export type CautionRequest = Omit<EvaluationRequest, 'requirement'> & { readonly requirement: RequirementSet | null };

export const isPregnant = ({ class: animalClass, daysPregnant }: AnimalDescription): boolean =>
  animalClass === 'dry-pregnant-cow' || (daysPregnant ?? 0) > 0;

function mineralStage(animal: AnimalDescription, requirement: RequirementSet | null): MineralStage {
  // A first-calf heifer in milk needs the magnesium of any milking cow.
  if (requirement === null ? animal.class === 'lactating-cow' : requirement.milkKgPerDay > 0) return 'early-milk';
  if (isPregnant(animal)) return 'pregnant';
  return animal.class === 'dry-open-cow' ? 'dry' : 'growing';
}

/** Nitrate of each lot and of the whole ration. */
export function nitrateOf(
  { animal, anyPregnant = false, guides = DEFAULT_GUIDES }: CautionRequest,
  supply: RationSupply,
) {
  return nitrateCautions({
    pregnant: anyPregnant || isPregnant(animal),
    guide: guides.nitrate,
    lots: supply.parts.map(({ lot, shareOfDryMatter }) => {
      const nitrate = valueOf({ lot, field: 'nitrateNitrogenPpm' });
      return {
        name: lot.lotName,
        shareOfRationDryMatter: shareOfDryMatter,
        canGatherNitrate: lot.canGatherNitrate,
        isSmallPart: shareOfDryMatter <= JUDGEMENT.smallPartOfDryMatter.value,
        nitrateNitrogenPpmDm: nitrate.value,
        restsOnBookValue: nitrate.value !== null && nitrate.restsOnBookValue,
      };
    }),
  });
}

/** Sulfur of feed and water; `null` if the feed's is not known. */
export function sulfurOf({ requirement, water }: CautionRequest, supply: RationSupply, sulfurPercent: number | null) {
  return totalSulfur({
    sulfurPercent,
    dryMatterKgPerDay: supply.dryMatterKg,
    waterLPerDay: requirement?.waterLPerDay ?? null,
    waterSulfateMgPerL: water?.sulfateMgPerL ?? null,
  });
}

function cautionsOfMinerals(
  { animal, requirement, guides = DEFAULT_GUIDES, water }: CautionRequest,
  supply: RationSupply,
): RaisedCaution[] {
  const { minerals, dryMatterKg } = supply;
  const percentOf = (mineral: Mineral) => percentOfDryMatter(supply, minerals[mineral]);
  return mineralCautions({
    stage: mineralStage(animal, requirement),
    matureCow: MATURE_COWS.includes(animal.class),
    dryMatterKgPerDay: dryMatterKg,
    forageShare: supply.forageDryMatterKg / dryMatterKg,
    calciumPercent: percentOf('calcium'),
    phosphorusPercent: percentOf('phosphorus'),
    magnesiumPercent: percentOf('magnesium'),
    potassiumPercent: percentOf('potassium'),
    sulfurPercent: percentOf('sulfur'),
    sodiumPercent: percentOf('sodium'),
    sodiumNeedGPerDay: requirement?.minerals.sodium ?? null,
    waterLPerDay: requirement?.waterLPerDay ?? null,
    waterSulfateMgPerL: water?.sulfateMgPerL ?? null,
    restsOnBookValue: Object.values(minerals).some((each) => each.bookValueLots.length > 0),
    sulfurMaximum: guides.sulfurMaximum,
  });
}

/**
 * The cautions of a ration, worst first. Where the need of the herd is not known, those that depend on it are missing
 * and all others remain: what is in the hay and the water, how the lots were tested, how the ration changed.
 */
export function rationCautions(request: CautionRequest): RaisedCaution[] {
  const supply = rationSupply({ layers: request.layers, wastedShare: request.wastedShare ?? 0 });
  if (!(supply.dryMatterKg > 0)) return worstFirst(lotCautions(request));
  return worstFirst([...nitrateOf(request, supply).cautions, ...otherCautions(request, supply)]);
}

/** How each lot was tested, and what was seen of it. */
function lotCautions({ testing = [], observed = [] }: CautionRequest): RaisedCaution[] {
  return [...testing.flatMap((lot) => labTestCautions(lot)), ...observed.flatMap((lot) => observationCautions(lot))];
}

/** Every caution but nitrate's, which comes with a verdict. */
export function otherCautions(request: CautionRequest, supply: RationSupply): RaisedCaution[] {
  const { animal, before = [], fedWet = false, water } = request;
  const { dryMatterKg } = supply;
  const shares = supply.parts.map(({ lot, shareOfDryMatter }) => ({ lotId: lot.lotId, shareOfDryMatter }));
  return [
    ...cautionsOfMinerals(request, supply),
    ...traceCautions(
      TRACE_NUTRIENTS.map((code) => ({
        code,
        perKg: supply.traces[code].atMost / dryMatterKg,
        restsOnBookValue: supply.traces[code].bookValueLots.length > 0,
      })),
    ),
    ...(supply.legumeDryMatterKg === null
      ? []
      : legumeBloatCautions({ legumeShareOfDryMatter: supply.legumeDryMatterKg / dryMatterKg, fedWet })),
    ...acidosisCautions({
      starchyGrainKgPerDay: supply.starchyGrainAsFedKg,
      bodyWeightKg: animal.fullBodyWeightKg,
      longStemFiberPercent:
        supply.longStemFiberKg.value === null ? null : (supply.longStemFiberKg.value / dryMatterKg) * 100,
    }),
    ...abruptChangeCautions({ before, now: shares }),
    ...ureaCautions({
      proteinEquivalentFromNonProteinNitrogenG: supply.nonProteinNitrogenG,
      crudeProteinG: supply.crudeProteinG.value,
      bodyWeightKg: animal.fullBodyWeightKg,
      hayCrudeProteinPercent: forageProteinPercent(supply),
    }),
    ...proteinForRumenCautions({
      strawShareOfDryMatter: supply.strawDryMatterKg / dryMatterKg,
      crudeProteinPercent: percentOfDryMatter(supply, supply.crudeProteinG),
      restsOnBookValue: supply.crudeProteinG.bookValueLots.length > 0,
    }),
    ...(water === undefined ? [] : waterCautions(water)),
    ...lotCautions(request),
  ];
}

function forageProteinPercent(supply: RationSupply): number | null {
  let protein = 0;
  for (const { lot, dryMatterEatenKg } of supply.parts) {
    if (!lot.isForage || dryMatterEatenKg === 0) continue;
    const content = valueOf({ lot, field: 'crudeProteinPercent' });
    if (content.value === null) return null;
    protein += content.value * dryMatterEatenKg;
  }
  return supply.forageDryMatterKg === 0 ? null : protein / supply.forageDryMatterKg;
}
