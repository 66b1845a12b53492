import { type RaisedCaution, worstFirst } from '../cautions/caution.js';
import type { CautionCode } from '../cautions/cautions.data.js';
import { lotCautions, type LotsKnown } from '../cautions/lot-cautions.js';
import { nitrateCautions } from '../cautions/nitrate.js';
import type { RationLot } from '../ration/ration.js';
import type { AnimalClass, AnimalDescription } from '../requirements/requirement-set.js';
import { JUDGEMENT } from './judgement.data.js';
import { rationCautions } from './ration-cautions.js';
import { mostOf, nitrateOfAnotherUnit, valueOf } from './ration-supply.js';

/**
 * The danger cautions that a lot is under whatever ration it goes into: what was seen or measured of it, and nitrate
 * of which pregnant cattle may have none.
 */
export function lotDangers(lot: RationLot, known: LotsKnown): RaisedCaution[] {
  const nitrate = valueOf({ lot, field: 'nitrateNitrogenPpm' });
  const ofNitrate = nitrateCautions({
    pregnant: true,
    lots: [
      {
        id: lot.lotId,
        name: lot.lotName,
        // No share of any ration: only what the guide keeps out altogether is a danger by itself.
        shareOfRationDryMatter: 0,
        nitrateNitrogenPpmDm: mostOf({ lot, field: 'nitrateNitrogenPpm' }),
        ofAnotherUnitPpm: nitrateOfAnotherUnit(lot),
        restsOnBookValue: nitrate.value !== null && nitrate.restsOnBookValue,
        worst: lot.composition.nitrateNitrogenPpm?.worst,
        differ: lot.composition.nitrateNitrogenPpm?.differ,
        canGatherNitrate: lot.canGatherNitrate,
      },
    ],
  });
  return [...lotCautions(known), ...ofNitrate.cautions].filter(({ severity }) => severity === 'danger');
}

/** What a forage can bring on by itself; the other cautions are about a whole ration or what a herd needs. */
const OF_A_FORAGE: readonly CautionCode[] = [
  'nitrate-single-hay',
  'nitrate-unknown',
  'grass-tetany-ratio',
  'sulfur-total',
  'mineral-above-maximum',
  'trace-mineral-above-maximum',
];
/** Of these no animal is bred on the ranch; every other class carries a calf at some time of the year. */
const NEVER_BRED: readonly AnimalClass[] = ['growing-calf', 'yearling', 'finishing', 'bull'];
/** Hay is fed in a season other than that in which it is entered: cows count as they are in winter. */
const COW: AnimalDescription = { class: 'dry-pregnant-cow', sex: 'cow', fullBodyWeightKg: 550 };
const NOT_BRED: AnimalDescription = { class: 'yearling', sex: 'steer', fullBodyWeightKg: 350 };

/**
 * The cautions that a lot is under as it stands in the yard, worst first: what was seen of it and how it was tested
 * and, of a forage, what its contents do to the most sensitive of these classes if it is fed alone. Without a class, to
 * cows in calf.
 */
export function cautionsOfLotAlone(
  lot: RationLot,
  known: LotsKnown,
  kept: readonly AnimalClass[],
): readonly RaisedCaution[] {
  const animal = kept.length > 0 && kept.every((one) => NEVER_BRED.includes(one)) ? NOT_BRED : COW;
  const eatenKg = (animal.fullBodyWeightKg * JUDGEMENT.eatenPercentOfWeight.value) / 100;
  const fedAlone = lot.isForage
    ? rationCautions({
        animal,
        requirement: null,
        layers: [{ role: 'mixed', lots: [{ lot, asFedKgPerHeadPerDay: eatenKg }] }],
      }).filter(({ code }) => OF_A_FORAGE.includes(code))
    : [];
  const subject = { kind: 'lot', name: lot.lotName } as const;
  return worstFirst([...fedAlone.map((one) => ({ ...one, subject })), ...lotCautions(known)]);
}
