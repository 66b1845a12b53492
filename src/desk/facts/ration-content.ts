import type { Selectable } from 'kysely';
import type { LayerBasis, LayerRole } from '../../core/laying/layer.js';
import type { ConvertedShare, StatedValue } from '../../core/laying/layer-shares.js';
import { rationFromShares } from '../../core/ration/from-shares.js';
import type { RationLayer } from '../../core/ration/ration.js';
import type { Outcome } from '../../core/outcome/outcome.js';
import { decimal } from '../../core/units/decimal.js';
import { Mass } from '../../core/units/mass.js';
import type { DB } from '../../platform/database/types.js';
import type { LotFacts } from './lot-facts.js';

export type RationRow = Selectable<DB['ration']>;
export type RationLayerRow = Selectable<DB['ration_layer']>;

interface RationPartContent {
  position: number;
  role: LayerRole;
  lotId: string;
  /** Of the whole ration, on its basis. */
  sharePercent: string;
  density: StatedValue | null;
}

/** What a ration says, whether it is kept or only asked about. */
export interface RationContent {
  basis: LayerBasis;
  amountKg: string;
  amountBasis: 'as-fed' | 'dry-matter';
  parts: readonly RationPartContent[];
  /** Part of it that it says is not eaten; `null` where it says nothing. */
  statedWastedShare: number | null;
}

export interface LaidPart extends RationPartContent {
  facts: LotFacts;
  shares: ConvertedShare;
  asFedKgPerHead: number;
}

export interface LaidRation {
  parts: readonly LaidPart[];
  /** For the evaluation: layers in build order, bottom first. */
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
 * The ration as it is laid for one head: shares turned into kilograms by the densities and dry matters of the lots on
 * the day. Refused by the core where shares do not add up, or an amount cannot be.
 */
export function layOut(content: RationContent, lots: ReadonlyMap<string, LotFacts>): Outcome<LaidRation> {
  const facts = (lotId: string): LotFacts => {
    const found = lots.get(lotId);
    if (found === undefined) throw new RangeError(`The lot ${lotId} was not gathered`);
    return found;
  };
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
  const parts = content.parts.map((part, index): LaidPart => {
    const shares = turned.value.shares.layers[index];
    if (shares === undefined) throw new RangeError('Every part has its shares');
    return {
      ...part,
      facts: facts(part.lotId),
      shares,
      asFedKgPerHead: turned.value.layers[index]?.lots[0]?.asFedKgPerHeadPerDay ?? 0,
    };
  });
  const positions = [...new Set(parts.map((part) => part.position))].sort((a, b) => a - b);
  return {
    ok: true,
    value: {
      parts,
      layers: positions.map((position) => {
        const inLayer = parts.filter((part) => part.position === position);
        return {
          role: inLayer[0]?.role ?? 'mixed',
          lots: inLayer.map((part) => ({ lot: part.facts.lot, asFedKgPerHeadPerDay: part.asFedKgPerHead })),
        };
      }),
      asFedKgPerHead: parts.reduce((sum, part) => sum + part.asFedKgPerHead, 0),
      dryMatterKgPerHead: parts.reduce(
        (sum, part) => sum + (part.asFedKgPerHead * part.facts.lot.dryMatterPercent.value) / 100,
        0,
      ),
      restsOnBookValues: turned.value.shares.restsOnBookValues,
    },
  };
}

/** Kilograms of the core's nutrition, as a mass to a tenth of a gram: no bale is weighed finer. */
export function massOfKilograms(kilograms: number): Mass {
  return Mass.kilograms(decimal(kilograms.toFixed(4)));
}
