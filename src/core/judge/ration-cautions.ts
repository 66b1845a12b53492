import { DEFAULT_GUIDES } from '../cautions/guides.data.js';
import { lotCautions } from '../cautions/lot-cautions.js';
import { leftOverCautions } from '../cautions/left-over.js';
import { mineralCautions, type MineralStage, tetanyRatio, totalSulfur } from '../cautions/minerals.js';
import { nitrateCautions } from '../cautions/nitrate.js';
import {
  abruptChangeCautions,
  acidosisCautions,
  legumeBloatCautions,
  proteinForRumenCautions,
  ureaCautions,
} from '../cautions/rumen.js';
import { coldLeftOutCautions } from '../cautions/cold-left-out.js';
import { tooLittleCautions } from '../cautions/too-little.js';
import { heatCautions } from '../cautions/heat.js';
import { waterCautions } from '../cautions/water.js';
import { traceCautions } from '../cautions/trace-minerals.js';
import { byCode, type Mineral, MINERALS, TRACE_NUTRIENTS } from '../nutrients/nutrients.js';
import { type RaisedCaution, worstFirst } from '../cautions/caution.js';
import { DEFAULTS } from '../requirements/requirement-defaults.data.js';
import { waterFromDryMatter } from '../requirements/water.js';
import { isPlainSalt } from '../ration/plain-salt.js';
import type { RationField, RationLot, TestsThatDiffer } from '../ration/ration.js';
import { type AnimalDescription, MATURE_COWS, type RequirementSet } from '../requirements/requirement-set.js';
import type { EvaluationRequest } from './evaluation.js';
import { pregnancyOf } from './pregnancy.js';
import { JUDGEMENT } from './judgement.data.js';
import { endOf, mostOf, nitrateOfAnotherUnit, rationSupply, type RationSupply, valueOf } from './ration-supply.js';
import {
  knownParts,
  perKgForTooLittle,
  perKgForTooMuch,
  wordsOfAtLeast,
  wordsOfTestsThatDiffer,
  wordsOfUnknown,
} from './supply-bounds.js';

/** An evaluation, or what there is of one when the herd's need is not known: the hay's cautions do not depend on it. */
export type CautionRequest = Omit<EvaluationRequest, 'requirement'> & { readonly requirement: RequirementSet | null };

const isPregnant = ({ class: animalClass, daysPregnant }: AnimalDescription): boolean =>
  animalClass === 'dry-pregnant-cow' || (daysPregnant ?? 0) > 0;

function mineralStage(animal: AnimalDescription, requirement: RequirementSet | null): MineralStage {
  // A first-calf heifer in milk needs the magnesium of any milking cow.
  if (requirement === null ? animal.class === 'lactating-cow' : requirement.milkKgPerDay > 0) return 'early-milk';
  if (isPregnant(animal)) return 'pregnant';
  return animal.class === 'dry-open-cow' ? 'dry' : 'growing';
}

const partsPerMillion = (gramsPerKg: number | null) =>
  gramsPerKg === null ? null : Number((gramsPerKg * 1000).toPrecision(9));
const percent = (gramsPerKg: number | null) => (gramsPerKg === null ? null : gramsPerKg / 10);

/** Nitrate of each lot and of the whole ration. */
export function nitrateOf(
  { animal, anyPregnant = false, mayBePregnant = false, guides = DEFAULT_GUIDES }: CautionRequest,
  supply: RationSupply,
) {
  const ofMean = pregnancyOf([animal]);
  const pregnancy = anyPregnant || ofMean === 'yes' ? 'yes' : mayBePregnant ? 'may-be' : ofMean;
  return nitrateCautions({
    pregnant: pregnancy !== 'no',
    stageNotKnown: pregnancy === 'may-be',
    guide: guides.nitrate,
    heldAgainstPpmDm:
      supply.nitrateNitrogenG.missingIn.length === 0 ? null : partsPerMillion(perKgForTooMuch(supply.nitrateNitrogenG)),
    wordsOfAtLeast: (told) => wordsOfAtLeast(supply, supply.nitrateNitrogenG, (gramsPerKg) => told(gramsPerKg * 1000)),
    lots: supply.parts.map(({ lot, shareOfDryMatter }) => {
      const nitrate = valueOf({ lot, field: 'nitrateNitrogenPpm' });
      return {
        id: lot.lotId,
        name: lot.lotName,
        shareOfRationDryMatter: shareOfDryMatter,
        canGatherNitrate: lot.canGatherNitrate,
        isKnownInPart: lot.knownInPart?.includes('nitrateNitrogenPpm') ?? false,
        isSmallPart: shareOfDryMatter <= JUDGEMENT.smallPartOfDryMatter.value,
        // A label's highest guarantee counts as if it were there.
        nitrateNitrogenPpmDm: mostOf({ lot, field: 'nitrateNitrogenPpm' }),
        ofAnotherUnitPpm: nitrateOfAnotherUnit(lot),
        restsOnBookValue: nitrate.value !== null && nitrate.restsOnBookValue,
        worst: lot.composition.nitrateNitrogenPpm?.worst,
        differ: lot.composition.nitrateNitrogenPpm?.differ,
      };
    }),
  });
}

/**
 * What one animal drinks, L/d: the herd's need where it is known, else by the dry matter of the ration, which no herd
 * has to be known for.
 */
function drunkLPerDay({ requirement, temperatureC }: CautionRequest, { dryMatterKg }: RationSupply): number {
  return (
    requirement?.waterLPerDay ??
    waterFromDryMatter({
      dryMatterIntakeKgPerDay: dryMatterKg,
      milkKgPerDay: 0,
      temperatureC: temperatureC ?? DEFAULTS.waterTemperatureC,
    }).waterLPerDay
  );
}

/** Sulfur of feed and water: one count for the line, the ratio and the cautions; `null` if neither is known. */
export function sulfurOf(request: CautionRequest, supply: RationSupply) {
  const { sulfur } = supply.minerals;
  return totalSulfur({
    sulfurPercent: percent(perKgForTooMuch(sulfur)),
    // Of water alone, all dry matter.
    dryMatterKgPerDay: sulfur.knownOfKg > 0 ? sulfur.heldAgainstKg : supply.dryMatterKg,
    waterLPerDay: drunkLPerDay(request, supply),
    waterSulfateMgPerL: request.water?.sulfateMgPerL ?? null,
  });
}

/** Where the herd is not judged its weight may be wrong: no more than what cattle weigh that eat so much. */
function weightForLimits({ requirement, animal }: CautionRequest, { dryMatterKg }: RationSupply): number {
  if (requirement !== null) return animal.fullBodyWeightKg;
  return Math.min(animal.fullBodyWeightKg, (dryMatterKg * 100) / JUDGEMENT.eatenPercentOfWeight.value);
}

function cautionsOfMinerals(request: CautionRequest, supply: RationSupply): RaisedCaution[] {
  const { animal, requirement, guides = DEFAULT_GUIDES, water } = request;
  const { minerals, dryMatterKg } = supply;
  const atLeast = (mineral: Mineral) => percent(perKgForTooMuch(minerals[mineral]));
  const asFarAsKnown = (mineral: Mineral) => percent(perKgForTooLittle(supply, minerals[mineral]));
  const sodium = sodiumOf(supply);
  return mineralCautions({
    stage: mineralStage(animal, requirement),
    matureCow: MATURE_COWS.includes(animal.class),
    dryMatterKgPerDay: dryMatterKg,
    forageShare: supply.forageDryMatterKg / dryMatterKg,
    ...ratiosOfKnown(supply),
    calciumPercent: asFarAsKnown('calcium'),
    phosphorusPercent: asFarAsKnown('phosphorus'),
    magnesiumPercent: asFarAsKnown('magnesium'),
    mostPercent: byCode(MINERALS, atLeast),
    milking: (requirement?.milkKgPerDay ?? 0) > 0 || animal.class === 'lactating-cow',
    mineralFeedShare: supply.parts
      .filter(({ lot }) => lot.feedGroup === 'mineral')
      .reduce((sum, { shareOfDryMatter }) => sum + shareOfDryMatter, 0),
    plainSaltKg: supply.parts
      .filter(({ lot }) => isPlainSalt(lot))
      .reduce((sum, { asFedOfferedKg }) => sum + asFedOfferedKg, 0),
    potassiumPercent: asFarAsKnown('potassium'),
    sulfurPercent: atLeast('sulfur'),
    ...(minerals.sulfur.knownOfKg > 0 ? { sulfurHeldAgainstKg: minerals.sulfur.heldAgainstKg } : {}),
    sulfurIsAtLeast: minerals.sulfur.missingIn.length > 0,
    wordsOfAtLeast: (mineral, told) => wordsOfAtLeast(supply, minerals[mineral], (perKg) => told(perKg / 10)),
    sodiumPercent: sodium.percent,
    sodiumNeedGPerDay: requirement?.minerals.sodium ?? null,
    waterLPerDay: drunkLPerDay(request, supply),
    waterSulfateMgPerL: water?.sulfateMgPerL ?? null,
    wordsOfTestsThatDiffer: (...ofMinerals) => wordsOfTestsThatDiffer(supply, ofMinerals),
    wordsOfUnknown: (mineral, leastPercent) =>
      mineral === 'sodium' && sodium.words !== null
        ? sodium.words
        : wordsOfUnknown(supply, minerals[mineral], leastPercent * 10),
    restsOnBookValue: Object.values(minerals).some((each) => each.bookValueLots.length > 0),
    sulfurMaximum: guides.sulfurMaximum,
  });
}

/** Meadow hay too; cereals and sorghums, which gather nitrate, hold other amounts of sodium. */
const isGrassHay = ({ feedGroup, isStraw, legumeShare, canGatherNitrate }: RationLot): boolean =>
  feedGroup === 'hay' && !isStraw && !canGatherNitrate && (legumeShare ?? 0) === 0;

/**
 * Sodium, % of dry matter, as far as it is known; where that is too little of the ration, with grass hay at the most
 * that is usual, which the words say. Most labs do not test hay for it, and most grass hay holds too little.
 */
function sodiumOf(supply: RationSupply): { readonly percent: number | null; readonly words: string | null } {
  const { sodium } = supply.minerals;
  const known = percent(perKgForTooLittle(supply, sodium));
  if (known !== null) return { percent: known, words: null };
  const untested = supply.parts.filter(({ lot }) => valueOf({ lot, field: 'sodiumPercent' }).value === null);
  const grass = untested.filter(({ lot }) => isGrassHay(lot));
  const taken = JUDGEMENT.sodiumOfGrassHayPercent.value;
  const grassKg = grass.reduce((sum, { dryMatterEatenKg }) => sum + dryMatterEatenKg, 0);
  const perKg = perKgForTooLittle(supply, {
    ...sodium,
    lowest: sodium.lowest + grassKg * taken * 10,
    knownOfKg: sodium.knownOfKg + grassKg,
  });
  const names = (of: typeof untested) => [...new Set(of.map(({ lot }) => lot.lotName))].join(', ');
  const others = names(untested.filter((part) => !grass.includes(part)));
  return {
    percent: percent(perKg),
    words:
      ` ${names(grass)} was not tested for sodium; grass hay seldom holds more than ${taken} %, which is taken.` +
      (others === '' ? '' : ` Not known of ${others}: whether that makes up for it can't be judged without a test.`),
  };
}

/** Both ratios over the lots that tell what goes into them, by the worse of tests that differ. */
export function ratiosOfKnown({ parts }: RationSupply) {
  const small = JUDGEMENT.smallPartOfDryMatter.value;
  const worse = (lot: RationLot, field: RationField, end: keyof TestsThatDiffer) => endOf({ lot, field }, end);
  const boneRatio = (calcium: keyof TestsThatDiffer, phosphorus: keyof TestsThatDiffer) => {
    const bone = knownParts(
      parts,
      ({ lot }) => ({
        calcium: worse(lot, 'calciumPercent', calcium),
        phosphorus: worse(lot, 'phosphorusPercent', phosphorus),
      }),
      small,
    );
    return bone === null || bone.phosphorus === 0 ? null : bone.calcium / bone.phosphorus;
  };
  const tetany = knownParts(
    parts,
    ({ lot }) => ({
      potassiumPercent: worse(lot, 'potassiumPercent', 'most'),
      calciumPercent: worse(lot, 'calciumPercent', 'least'),
      magnesiumPercent: worse(lot, 'magnesiumPercent', 'least'),
    }),
    small,
  );
  return {
    calciumToPhosphorus: { least: boneRatio('least', 'most'), most: boneRatio('most', 'least') },
    tetanyRatio: tetany === null ? null : tetanyRatio(tetany).ratio,
  };
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

/**
 * Every caution but nitrate's, which comes with a verdict. What one animal may pick from the offer counts as offered;
 * minerals as the herd can eat them, as the lines do.
 */
export function otherCautions(
  request: CautionRequest,
  supply: RationSupply,
  eaten: RationSupply = supply,
): RaisedCaution[] {
  const { before, fedWet = false, water } = request;
  const { dryMatterKg } = supply;
  const protein = perKgForTooLittle(supply, supply.crudeProteinG);
  const shares = supply.parts.map(({ lot, shareOfDryMatter }) => ({ lotId: lot.lotId, shareOfDryMatter }));
  return [
    ...cautionsOfMinerals(request, eaten),
    ...(request.requirement === null || request.holdToIntake !== true
      ? []
      : leftOverCautions({
          laidKg: supply.dryMatterOfferedKg,
          offeredKg: dryMatterKg,
          predictedKg: request.requirement.dryMatterIntakeKgPerDay,
          bodyWeightKg: request.animal.fullBodyWeightKg,
        })),
    ...tooLittleOf(request, eaten),
    ...traceCautions(
      TRACE_NUTRIENTS.map((code) => ({
        code,
        perKg: perKgForTooMuch(supply.traces[code]) ?? 0,
        wordsOfAtLeast: (told: (perKg: number) => string) => wordsOfAtLeast(supply, supply.traces[code], told),
        restsOnBookValue: supply.traces[code].bookValueLots.length > 0,
      })),
    ),
    ...legumeBloatCautions({
      legumeShareOfDryMatter: perKgForTooMuch(supply.legume) ?? 0,
      fedWet,
      wordsOfAtLeast: (told) => wordsOfAtLeast(supply, supply.legume, told),
    }),
    ...acidosisCautions({
      starchyGrainKgPerDay: supply.starchyGrainAsFedKg,
      bodyWeightKg: weightForLimits(request, supply),
      longStemFiberPercent: longStemFiberPercent(supply),
      addedAtOnceKgPerDay:
        before === undefined ? null : Math.max(0, supply.starchyGrainAsFedKg - before.starchyGrainKgPerDay),
    }),
    ...abruptChangeCautions({ before: before?.shares ?? [], now: request.evenedShares ?? shares }),
    ...(request.temperatureC === undefined ? [] : heatCautions({ meanTemperatureC: request.temperatureC })),
    ...(request.coldLeftOut === undefined ? [] : coldLeftOutCautions(request.coldLeftOut)),
    ...ureaCautions({
      proteinEquivalentFromNonProteinNitrogenG: supply.nonProteinNitrogenG,
      crudeProteinG: supply.crudeProteinG.value ?? (protein === null ? null : supply.crudeProteinG.atLeast),
      dryMatterKg,
      bodyWeightKg: weightForLimits(request, supply),
      hayCrudeProteinPercent: forageProteinPercent(supply),
    }),
    ...proteinForRumenCautions({
      strawShareOfDryMatter: supply.strawDryMatterKg / dryMatterKg,
      crudeProteinPercent: percent(protein),
      restsOnBookValue: supply.crudeProteinG.bookValueLots.length > 0,
      wordsOfUnknown: (leastPercent) => wordsOfUnknown(supply, supply.crudeProteinG, leastPercent * 10),
    }),
    ...(water === undefined ? [] : waterCautions(water)),
    ...lotCautions(request),
  ];
}

/** Feed without any forage is given beside what they graze or pick up. */
function tooLittleOf({ requirement, holdToIntake }: CautionRequest, supply: RationSupply): RaisedCaution[] {
  if (requirement === null || holdToIntake !== true || !(supply.forageDryMatterKg > 0)) return [];
  const { value, couldReach } = supply.netEnergyMaintenanceMcal;
  const most = value ?? couldReach;
  return tooLittleCautions({
    eatenMcal: Number.isFinite(most) ? most : null,
    neededMcal: requirement.netEnergyMaintenanceTotalMcalPerDay,
    dryMatterKg: supply.dryMatterKg,
  });
}

/** NDF of long-stem forage, % of dry matter, without the forage whose fiber is not known; `null` where that is most. */
function longStemFiberPercent(supply: RationSupply): number | null {
  const { atLeast, knownOfKg } = supply.longStemFiberKg;
  const unknownKg = supply.longStemDryMatterKg - knownOfKg;
  if (unknownKg > 0 && knownOfKg < unknownKg) return null;
  return (atLeast / (supply.dryMatterKg - unknownKg)) * 100;
}

/** Of the forage that tells it; `null` where that is less than half. */
function forageProteinPercent(supply: RationSupply): number | null {
  let protein = 0;
  let knownKg = 0;
  for (const { lot, dryMatterEatenKg } of supply.parts) {
    if (!lot.isForage || dryMatterEatenKg === 0) continue;
    const content = valueOf({ lot, field: 'crudeProteinPercent' });
    if (content.value === null) continue;
    protein += content.value * dryMatterEatenKg;
    knownKg += dryMatterEatenKg;
  }
  return knownKg === 0 || knownKg < supply.forageDryMatterKg / 2 ? null : protein / knownKg;
}
