import { Injectable } from '@nestjs/common';
import type { WaterOnTheDay } from '../../core/cautions/water.js';
import { anyInMilk } from '../../core/judge/in-milk.js';
import { pregnancyOf } from '../../core/judge/pregnancy.js';
import type { AnimalDescription, RequirementNote } from '../../core/requirements/requirement-set.js';
import type { Books } from '../../platform/database/books.js';
import { together } from '../../platform/database/together.js';
import { supplyOf, WaterCheckRead, type WaterCheckRow } from '../../records/yard/water-checks/water-check.read.js';

/** A water check up to this old still counts; common practice, no source. */
const CHECK_GOOD_FOR_DAYS = 3;
/** Salts and sulfate change slowly, so an analysis up to this old still counts; common practice, no source. */
const ANALYSIS_GOOD_FOR_DAYS = 366;

/**
 * A source at a place as known on a day: ice and flow from a recent check, salts and sulfate from its last analysis.
 */
export interface WaterSource {
  name: string;
  /** `null`: nobody has checked lately. */
  state: WaterCheckRow['state'] | null;
  checkedOn: string | null;
  supplyLPerDay: number | null;
  dissolvedSolidsMgPerL: number | null;
  sulfateMgPerL: number | null;
}

/** What a need says of a herd without a place: nobody knows which water it drinks. */
export const NO_PLACE_NOTE: RequirementNote = {
  code: 'no-place',
  message:
    'No place is on record for this herd, so its water is not known: sulfate and salt in it are not counted. Enter ' +
    'where the herd is.',
  source: 'places of the herd',
};

type Kind = Pick<WaterOnTheDay, 'milking' | 'pregnantOrMilking' | 'calves'>;

/** What the water's judgement needs to know about the cattle that drink it. */
export function drinkersOf(animals: readonly AnimalDescription[]): Kind {
  const milking = anyInMilk(animals);
  return {
    milking,
    pregnantOrMilking: milking || pregnancyOf(animals) !== 'no',
    calves: animals.some((animal) => animal.class === 'growing-calf'),
  };
}

/**
 * The water of a place for one herd: frozen if every checked source is, with the highest salts and sulfate of the
 * sources it may drink from. The amount of water concerns all herds of the place together and is left out.
 */
export function waterOfHerd(
  sources: readonly WaterSource[],
  animals: readonly AnimalDescription[],
): WaterOnTheDay | null {
  const open = sources.filter((source) => source.state !== 'frozen');
  const drunk = open.length > 0 ? open : sources;
  if (drunk.length === 0) return null;
  const most = (pick: (source: WaterSource) => number | null): number | null =>
    drunk.reduce<number | null>((found, source) => {
      const value = pick(source);
      return value === null || (found !== null && found >= value) ? found : value;
    }, null);
  const sulfateMgPerL = most((source) => source.sulfateMgPerL);
  const worst = drunk.find((source) => source.sulfateMgPerL === sulfateMgPerL);
  return {
    sourceName: worst?.name ?? '',
    frozen: open.length === 0,
    supplyLPerDay: null,
    needLPerDay: null,
    dissolvedSolidsMgPerL: most((source) => source.dissolvedSolidsMgPerL),
    sulfateMgPerL,
    onlySource: open.length === 0,
    ...drinkersOf(animals),
  };
}

/** What is known about the water at each place. */
@Injectable()
export class WaterRead {
  constructor(private readonly checks: WaterCheckRead) {}

  async of(books: Books, placeIds: readonly string[], on: string): Promise<Map<string, WaterSource[]>> {
    const [looked, analyzed] = await together(
      this.checks.latest(books, placeIds, on, CHECK_GOOD_FOR_DAYS),
      this.checks.analyzed(books, placeIds, on, ANALYSIS_GOOD_FOR_DAYS),
    );
    return new Map(
      placeIds.map((placeId) => {
        const seen = looked.get(placeId) ?? [];
        const known = analyzed.filter((row) => row.place_id === placeId);
        const names = [...new Set([...seen, ...known].map((row) => row.source_name))].sort();
        return [
          placeId,
          names.map((name): WaterSource => {
            const look = seen.find((row) => row.source_name === name);
            const analysis = known.find((row) => row.source_name === name);
            return {
              name,
              state: look?.state ?? null,
              checkedOn: look?.happened_on ?? null,
              supplyLPerDay: look === undefined ? null : supplyOf(look),
              dissolvedSolidsMgPerL: numberOf(analysis?.dissolved_solids),
              sulfateMgPerL: numberOf(analysis?.sulfate),
            };
          }),
        ];
      }),
    );
  }
}

function numberOf(value: string | null | undefined): number | null {
  return value === null || value === undefined ? null : Number(value);
}
