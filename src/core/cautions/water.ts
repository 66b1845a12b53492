import { type CautionCode, CAUTIONS } from './cautions.data.js';
import { plain, raiseCaution, raiseIfPassed, type RaisedCaution } from './caution.js';
import type { Problem } from '../outcome/problem.js';
import { quantity, sentence } from '../units/wording.js';
import { DISSOLVED_SOLIDS_BANDS, type DissolvedSolidsBand } from './guides.data.js';

/**
 * The band of total dissolved solids. Source: Montana State University Extension (Endecott 2017). @throws RangeError
 * below zero.
 */
export function dissolvedSolidsBand({
  dissolvedSolidsMgPerL,
}: {
  readonly dissolvedSolidsMgPerL: number;
}): DissolvedSolidsBand {
  const band = DISSOLVED_SOLIDS_BANDS.filter((each) => dissolvedSolidsMgPerL >= each.fromMgPerL).at(-1);
  if (band === undefined) throw new RangeError(`Not a content of dissolved solids: ${dissolvedSolidsMgPerL}`);
  return band;
}

/** Sulfate is one of the solids that are dissolved in water: more of it than of all of them is a slip of the pen. */
export function moreSulfateThanSolids({
  sulfateMgPerL,
  dissolvedSolidsMgPerL,
}: {
  readonly sulfateMgPerL: number;
  readonly dissolvedSolidsMgPerL: number;
}): Problem[] {
  if (sulfateMgPerL <= dissolvedSolidsMgPerL) return [];
  return [
    {
      code: 'more-sulfate-than-solids',
      field: 'sulfateMgPerL',
      given: sulfateMgPerL,
      allowed: `${dissolvedSolidsMgPerL} mg/L or less, the total dissolved solids`,
      message:
        `${sulfateMgPerL} mg/L of sulfate can't be in water with ${dissolvedSolidsMgPerL} mg/L of dissolved solids, ` +
        'of which sulfate is a part. Look at the lab report again.',
    },
  ];
}

/** What is known of a water source on the day. `null`: not checked. */
export interface WaterOnTheDay {
  readonly sourceName: string;
  readonly frozen: boolean | null;
  /** True if they have no other water: every source that is known is frozen. */
  readonly onlySource?: boolean;
  /** What the source can give in a day, L: tank filled so many times, or flow × hours. */
  readonly supplyLPerDay: number | null;
  /** What the herd needs in a day, L. */
  readonly needLPerDay: number | null;
  readonly dissolvedSolidsMgPerL: number | null;
  readonly sulfateMgPerL: number | null;
  readonly pregnantOrMilking: boolean;
  readonly milking: boolean;
  readonly calves: boolean;
}

/** The cautions that water itself raises. */
export const WATER_CAUTIONS: readonly CautionCode[] = [
  'water-frozen',
  'water-short',
  'water-sulfate',
  'water-dissolved-solids',
];

/** Water that is frozen, short, salty or full of sulfate. */
export function waterCautions(water: WaterOnTheDay): RaisedCaution[] {
  const subject = { kind: 'water source', name: water.sourceName } as const;
  const share =
    water.supplyLPerDay === null || water.needLPerDay === null || water.needLPerDay <= 0
      ? null
      : water.supplyLPerDay / water.needLPerDay;
  const given = quantity(water.supplyLPerDay ?? 0, 'L', 0);
  const needed = quantity(water.needLPerDay ?? 0, 'L', 0);
  const sulfate = CAUTIONS['water-sulfate'].thresholds;
  const isDanger = (water.sulfateMgPerL ?? 0) > sulfate.dangerMgPerL.value;
  return [
    ...raiseIfPassed({
      code: 'water-frozen',
      severity: water.milking || water.calves || water.onlySource === true ? 'danger' : 'watch',
      subject,
      given: water.frozen === true ? 1 : null,
      threshold: CAUTIONS['water-frozen'].thresholds.frozenSources,
      message:
        water.onlySource === true
          ? `${water.sourceName} is frozen, and no other water of these cattle is known to be open.`
          : `${water.sourceName} is frozen.`,
    }),
    ...raiseIfPassed({
      code: 'water-short',
      severity: (share ?? 1) < 0.75 ? 'danger' : 'watch',
      subject,
      given: share,
      threshold: CAUTIONS['water-short'].thresholds.shareOfNeed,
      message: sentence`${water.sourceName} gives ${given} of ${needed} needed a day.`,
    }),
    ...dissolvedSolids(water),
    ...raiseIfPassed({
      code: 'water-sulfate',
      severity: isDanger ? 'danger' : 'watch',
      subject,
      given: water.sulfateMgPerL,
      threshold: isDanger ? sulfate.dangerMgPerL : water.calves ? sulfate.calfMgPerL : sulfate.adultMgPerL,
      message: `${water.sourceName} holds ${plain(water.sulfateMgPerL ?? 0, 0)} mg sulfate per L.`,
    }),
  ];
}

function dissolvedSolids(water: WaterOnTheDay): RaisedCaution[] {
  const { dissolvedSolidsMgPerL } = water;
  if (dissolvedSolidsMgPerL === null) return [];
  const band = dissolvedSolidsBand({ dissolvedSolidsMgPerL });
  const severity = water.pregnantOrMilking || water.calves ? band.severityForPregnantOrMilking : band.severity;
  if (severity === null) return [];
  return [
    raiseCaution({
      code: 'water-dissolved-solids',
      severity,
      subject: { kind: 'water source', name: water.sourceName },
      given: dissolvedSolidsMgPerL,
      guide: 'Montana',
      threshold: {
        value: band.fromMgPerL,
        unit: 'mg dissolved solids per L',
        raisedWhen: 'at-or-above',
        source: 'montanaDissolvedSolids',
      },
      message:
        `${water.sourceName} holds ${plain(dissolvedSolidsMgPerL, 0)} mg of dissolved solids per L: ` +
        `${band.label}.`,
    }),
  ];
}
