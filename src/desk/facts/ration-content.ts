import type { Selectable } from 'kysely';
import type { LayerBasis, LayerRole } from '../../core/laying/layer.js';
import { type ConvertedShare, convertShares, type StatedValue } from '../../core/laying/layer-shares.js';
import { dryMatterOf, rationFromShares } from '../../core/ration/from-shares.js';
import type { PartOfDay } from '../../core/judge/fed-before.js';
import type { RationLayer, RationLot } from '../../core/ration/ration.js';
import { type Outcome, succeeded } from '../../core/outcome/outcome.js';
import { decimal } from '../../core/units/decimal.js';
import { Mass, type MassUnit } from '../../core/units/mass.js';
import type { DB } from '../../platform/database/types.js';
import type { LotAsFed, LotFacts } from './lot-facts.js';

export type RationRow = Selectable<DB['ration']>;
export type RationLayerRow = Selectable<DB['ration_layer']>;

interface RationPartContent {
  position: number;
  role: LayerRole;
  lotId: string;
  /** Share of the amount, on the ration's basis; null where the part is given by weight. */
  sharePercent: string | null;
  /** As fed, per head per day, where the part is given by weight; added on top of the amount. */
  weight: { kilograms: string; value: string; unit: MassUnit } | null;
  /** Kept in front of the cattle and not laid; the weight is the stated intake. */
  freeChoice: boolean;
  density: StatedValue | null;
}

/** The content of a ration, whether stored or only asked about. */
export interface RationContent {
  basis: LayerBasis;
  amountKg: string;
  amountBasis: 'as-fed' | 'dry-matter';
  parts: readonly RationPartContent[];
  /** Share that the ration states as not eaten; `null` if it states none. */
  statedWastedShare: number | null;
}

export interface LaidPart extends RationPartContent {
  facts: LotFacts;
  shares: ConvertedShare;
  asFedKgPerHead: number;
}

export interface LaidRation {
  parts: readonly LaidPart[];
  /** Layers for the evaluation, in build order, bottom first. */
  layers: readonly RationLayer[];
  asFedKgPerHead: number;
  dryMatterKgPerHead: number;
  restsOnBookValues: boolean;
}

export function contentOf(row: RationRow, layers: readonly RationLayerRow[]): RationContent {
  return {
    basis: row.basis,
    amountKg: row.amount_kg,
    amountBasis: row.amount_basis,
    statedWastedShare: row.wasted_percent === null ? null : Number(row.wasted_percent) / 100,
    parts: layers.map((layer) => ({
      position: layer.position,
      role: layer.role,
      lotId: layer.hay_lot_id,
      sharePercent: layer.share_value,
      weight:
        layer.per_head_kg === null || layer.per_head_value === null || layer.per_head_unit === null
          ? null
          : { kilograms: layer.per_head_kg, value: layer.per_head_value, unit: layer.per_head_unit },
      freeChoice: layer.free_choice,
      density:
        layer.density_kg_m3 === null
          ? null
          : {
              value: Number(layer.density_kg_m3),
              origin: 'measured',
              source: `stated in the ration: ${layer.density_value} ${layer.density_unit}`,
            },
    })),
  };
}

/**
 * The ration as laid for one head: shares become kilograms by the lots' densities and dry matters on the day. The core
 * refuses shares that do not add up and impossible amounts.
 */
export function layOut(content: RationContent, lots: ReadonlyMap<string, LotFacts>): Outcome<LaidRation> {
  const facts = (lotId: string): LotFacts => {
    const found = lots.get(lotId);
    if (found === undefined) throw new RangeError(`The lot ${lotId} was not gathered`);
    return found;
  };
  const amounts = amountsOf(content, facts);
  if (!amounts.ok) return amounts;
  const { shares, restsOnBookValues } = amounts.value;
  const parts = content.parts.map((part, index): LaidPart => {
    const share = shares[index];
    if (share === undefined) throw new RangeError('Every part has its shares');
    return { ...part, facts: facts(part.lotId), shares: share, asFedKgPerHead: amounts.value.kilograms[index] ?? 0 };
  });
  return {
    ok: true,
    value: {
      parts,
      layers: layersOf(parts),
      asFedKgPerHead: parts.reduce((sum, part) => sum + part.asFedKgPerHead, 0),
      dryMatterKgPerHead: parts.reduce(
        (sum, part) => sum + (part.asFedKgPerHead * part.facts.lot.dryMatterPercent.value) / 100,
        0,
      ),
      restsOnBookValues,
    },
  };
}

/** What has to be known of a lot to weigh out its part. */
type LotOf = (lotId: string) => Pick<LotAsFed, 'lot' | 'looseDensity'>;

/** Each part as fed, kg per head, in the order of the parts. */
export function kilogramsOf(content: RationContent, lotOf: LotOf): Outcome<readonly number[]> {
  const amounts = amountsOf(content, lotOf);
  return amounts.ok ? succeeded(amounts.value.kilograms) : amounts;
}

interface PartAmounts {
  kilograms: readonly number[];
  shares: readonly ConvertedShare[];
  restsOnBookValues: boolean;
}

/** Each part per head: parts by share divide the amount, parts by weight come on top of it. */
function amountsOf(content: RationContent, facts: LotOf): Outcome<PartAmounts> {
  const shared = content.parts.filter((part) => part.weight === null);
  const turned = shared.length === 0 ? undefined : byShare({ ...content, parts: shared }, facts);
  if (turned?.ok === false) return turned;
  if (turned !== undefined && shared.length === content.parts.length) return turned;
  const kilogramsOfShared = new Map(shared.map((part, index) => [part, turned?.value.kilograms[index] ?? 0]));
  const kilograms = content.parts.map((part) =>
    part.weight === null ? (kilogramsOfShared.get(part) ?? 0) : Number(part.weight.kilograms),
  );
  const total = kilograms.reduce((sum, one) => sum + one, 0);
  const whole = convertShares({
    basis: 'as-fed',
    layers: content.parts.map((part, index) => {
      const { lot, looseDensity } = facts(part.lotId);
      return {
        name: lot.lotName,
        share: (kilograms[index] ?? 0) / total,
        bulkDensityKgPerM3: part.density ?? looseDensity,
        dryMatterPercent: dryMatterOf(lot),
      };
    }),
  });
  if (!whole.ok) return whole;
  return succeeded({ kilograms, shares: whole.value.layers, restsOnBookValues: whole.value.restsOnBookValues });
}

function byShare(content: RationContent, facts: LotOf): Outcome<PartAmounts> {
  const amount = Number(content.amountKg);
  const turned = rationFromShares({
    basis: content.basis,
    amount: content.amountBasis === 'as-fed' ? { asFedKg: amount } : { dryMatterKg: amount },
    layers: content.parts.map((part) => {
      const { lot, looseDensity } = facts(part.lotId);
      return {
        role: part.role,
        lot,
        share: Number(part.sharePercent) / 100,
        bulkDensityKgPerM3: part.density ?? looseDensity,
      };
    }),
  });
  if (!turned.ok) return turned;
  return succeeded({
    kilograms: turned.value.layers.map((layer) => layer.lots[0]?.asFedKgPerHeadPerDay ?? 0),
    shares: turned.value.shares.layers,
    restsOnBookValues: turned.value.shares.restsOnBookValues,
  });
}

/** The parts as layers for the evaluation, in build order, bottom first. */
export function layersOf(parts: readonly LaidPart[]): RationLayer[] {
  const positions = [...new Set(parts.map((part) => part.position))].sort((a, b) => a - b);
  return positions.map((position) => {
    const inLayer = parts.filter((part) => part.position === position);
    return {
      role: inLayer[0]?.role ?? 'mixed',
      lots: inLayer.map(({ facts, asFedKgPerHead, freeChoice }) => ({
        lot: facts.lot,
        asFedKgPerHeadPerDay: asFedKgPerHead,
        ...(freeChoice ? { freeChoice } : {}),
      })),
    };
  });
}

/** Weight of a bale of the part if it is counted in bales; loose hay and free-choice feed are not. */
export function balesOf({
  freeChoice,
  facts,
}: {
  readonly freeChoice: boolean;
  readonly facts: Pick<LotFacts, 'row' | 'baleWeight'>;
}): Mass | null {
  return freeChoice || facts.row.bale_form === 'loose' ? null : facts.baleWeight;
}

/** What one head gets of a lot on a day, as a change of feed is judged by it. */
export function partOfDay({ lotId, dryMatterPercent, isStarchyGrain }: RationLot, asFedKg: number): PartOfDay {
  return { lotId, asFedKg, dryMatterShare: dryMatterPercent.value / 100, isStarchyGrain };
}

/**
 * Kilograms from the equations as a mass, to a millionth of a gram: coarser, 28 lb that somebody typed would come back
 * as 28.00003; finer, as the dust of floating-point sums.
 */
export function massOfKilograms(kilograms: number): Mass {
  return Mass.kilograms(decimal(kilograms.toFixed(9)));
}
