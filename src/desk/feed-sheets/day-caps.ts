import { CAUTIONS } from '../../core/cautions/cautions.data.js';
import { DEFAULT_GUIDES } from '../../core/cautions/guides.data.js';
import { nitrateBand } from '../../core/cautions/nitrate.js';
import type { DayCap } from '../../core/laying/bale-days.js';
import type { RationLot } from '../../core/ration/ration.js';
import type { LotFacts } from '../facts/lot-facts.js';
import type { LaidRation } from '../facts/ration-content.js';

/**
 * Limits that a day's hay should not exceed if the ration itself does not: legume, against bloat, and the share of a
 * nitrate hay that the guide allows. Whole bales must not put on one day what the ration spreads over several.
 */
export function capsOf({
  laid,
  head,
  baled,
  loose,
  along,
}: {
  laid: Pick<LaidRation, 'parts' | 'dryMatterKgPerHead'>;
  head: number;
  baled: readonly string[];
  loose: readonly string[];
  along: readonly string[];
}): DayCap[] {
  const facts = new Map(laid.parts.map((part) => [part.lotId, part.facts]));
  const legume = (lotId: string): number => facts.get(lotId)?.lot.legumeShare ?? 0;
  const caps = [
    { ...cap('legume', legume, CAUTIONS['legume-bloat'].thresholds.legumeShare.value), isDanger: false },
    ...[...facts].flatMap(([lotId, of]) => {
      const atMost = nitrateShare(of);
      return atMost === null || atMost >= 1
        ? []
        : [{ ...cap(of.lot.lotName, (other) => (other === lotId ? 1 : 0), atMost), isDanger: true }];
    }),
    ...concentrateCaps(facts),
  ];
  return caps.flatMap(({ name, contentOf, atMost, isDanger }): DayCap[] => {
    const shareOf = (lotIds: readonly string[] | null): number =>
      laid.parts
        .filter((part) => lotIds === null || lotIds.includes(part.lotId))
        .reduce((sum, part) => sum + dryMatterKg(part) * contentOf(part.lotId), 0);
    // A ration that exceeds the limit every day is left alone: its own caution says so.
    if (shareOf(null) > atMost * laid.dryMatterKgPerHead) return [];
    return [
      {
        name,
        contents: baled.map(contentOf),
        inLooseKg: shareOf(loose) * head,
        inAlongKg: shareOf(along) * head,
        atMost,
        isDanger,
      },
    ];
  });
}

/**
 * Bales of grain or of feed with urea go out as whole bales like those of hay, but not on a day whose hay is too little
 * for them: starch without long fiber, or urea beyond its share of the protein.
 */
function concentrateCaps(facts: ReadonlyMap<string, LotFacts>) {
  const lots = [...facts.values()].map(({ lot }) => lot);
  const of = (lotId: string): RationLot | undefined => facts.get(lotId)?.lot;
  const fiberLeast = CAUTIONS.acidosis.thresholds.effectiveFiberPercent.value / 100;
  const longFiber = (lotId: string): number => {
    const lot = of(lotId);
    return lot?.isLongStem === true ? (lot.composition.neutralDetergentFiberPercent?.value ?? 0) / 100 : 0;
  };
  const ureaShare = CAUTIONS['urea-share'].thresholds.shareOfCrudeProtein.value;
  const ureaBeyond = (lotId: string): number => {
    const lot = of(lotId);
    const protein = lot?.composition.crudeProteinPercent?.value ?? 0;
    return ((lot?.nonProteinNitrogenPercent ?? 0) - ureaShare * protein) / 100;
  };
  // A cap is a most: what must be at least so much is told by how far each lot is below it.
  return [
    ...(lots.some((lot) => lot.isStarchyGrain)
      ? [{ ...cap('long-stem fiber', (lotId) => 1 - longFiber(lotId), 1 - fiberLeast), isDanger: true }]
      : []),
    ...(lots.some((lot) => (lot.nonProteinNitrogenPercent ?? 0) > 0)
      ? [{ ...cap('urea', (lotId) => 1 + ureaBeyond(lotId), 1), isDanger: true }]
      : []),
  ];
}

function cap(name: string, contentOf: (lotId: string) => number, atMost: number): Content {
  return { name, contentOf, atMost };
}

interface Content {
  name: string;
  contentOf: (lotId: string) => number;
  atMost: number;
}

function dryMatterKg({ asFedKgPerHead, facts }: LaidRation['parts'][number]): number {
  return (asFedKgPerHead * facts.lot.dryMatterPercent.value) / 100;
}

/** The stricter of the guide's shares, for pregnant animals. */
function nitrateShare({ lot }: LotFacts): number | null {
  const test = lot.composition.nitrateNitrogenPpm;
  return test === undefined
    ? null
    : nitrateBand({ guide: DEFAULT_GUIDES.nitrate, nitrateNitrogenPpmDm: test.value }).maxSharePregnant;
}
