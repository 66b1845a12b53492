import type { LayerRole } from './layer.js';

/** A layer as planned or as fed. Layers are in build order, bottom first. */
export interface LayerOfDay {
  readonly lotId: string;
  readonly role: LayerRole;
  readonly dryMatterKgPerHead: number;
}

interface LotDrift {
  readonly lotId: string;
  readonly plannedDryMatterKgPerHead: number;
  readonly fedDryMatterKgPerHead: number;
  readonly plannedShare: number;
  readonly fedShare: number;
  /** fedShare − plannedShare, in points of share (0.05 = 5 points). */
  readonly shareDifference: number;
}

export interface RationDrift {
  readonly byLot: readonly LotDrift[];
  readonly byRole: readonly {
    readonly role: LayerRole;
    readonly plannedShare: number;
    readonly fedShare: number;
    readonly shareDifference: number;
  }[];
  readonly plannedDryMatterKgPerHead: number;
  readonly fedDryMatterKgPerHead: number;
  readonly dryMatterDifferenceKgPerHead: number;
  /** `null` if nothing was planned. */
  readonly dryMatterDifferencePercent: number | null;
  /** Share of the ration that was a different hay than planned, 0 to 1. `null` if one side is empty. */
  readonly misplacedShare: number | null;
  /** Pairs of lots, planned below/above, that were laid the other way around. */
  readonly outOfOrder: readonly { readonly plannedLower: string; readonly plannedUpper: string }[];
  readonly notPlanned: readonly string[];
  readonly notFed: readonly string[];
}

/**
 * How far a feeding was from the ration in use: by layer share, by dry matter and by the order in which it was laid.
 */
export function rationDrift({
  planned,
  fed,
}: {
  readonly planned: readonly LayerOfDay[];
  readonly fed: readonly LayerOfDay[];
}): RationDrift {
  const plannedTotal = total(planned);
  const fedTotal = total(fed);
  const lotIds = [...new Set([...planned, ...fed].map((layer) => layer.lotId))];
  const share = (kg: number, of: number) => (of === 0 ? 0 : kg / of);
  const byLot = lotIds.map((lotId) => {
    const plannedKg = total(planned.filter((layer) => layer.lotId === lotId));
    const fedKg = total(fed.filter((layer) => layer.lotId === lotId));
    const plannedShare = share(plannedKg, plannedTotal);
    const fedShare = share(fedKg, fedTotal);
    return {
      lotId,
      plannedDryMatterKgPerHead: plannedKg,
      fedDryMatterKgPerHead: fedKg,
      plannedShare,
      fedShare,
      shareDifference: fedShare - plannedShare,
    };
  });
  const roles = [...new Set([...planned, ...fed].map((layer) => layer.role))];
  const byRole = roles.map((role) => {
    const plannedShare = share(total(planned.filter((layer) => layer.role === role)), plannedTotal);
    const fedShare = share(total(fed.filter((layer) => layer.role === role)), fedTotal);
    return { role, plannedShare, fedShare, shareDifference: fedShare - plannedShare };
  });
  return {
    byLot,
    byRole,
    plannedDryMatterKgPerHead: plannedTotal,
    fedDryMatterKgPerHead: fedTotal,
    dryMatterDifferenceKgPerHead: fedTotal - plannedTotal,
    dryMatterDifferencePercent: plannedTotal === 0 ? null : ((fedTotal - plannedTotal) / plannedTotal) * 100,
    misplacedShare:
      plannedTotal === 0 || fedTotal === 0
        ? null
        : byLot.reduce((sum, lot) => sum + Math.abs(lot.shareDifference), 0) / 2,
    outOfOrder: outOfOrder(planned, fed),
    notPlanned: byLot
      .filter((lot) => lot.plannedDryMatterKgPerHead === 0 && lot.fedDryMatterKgPerHead > 0)
      .map((lot) => lot.lotId),
    notFed: byLot
      .filter((lot) => lot.plannedDryMatterKgPerHead > 0 && lot.fedDryMatterKgPerHead === 0)
      .map((lot) => lot.lotId),
  };
}

function total(layers: readonly LayerOfDay[]): number {
  return layers.reduce((sum, layer) => sum + layer.dryMatterKgPerHead, 0);
}

/** A lot in several layers is placed by its lowest one. */
function outOfOrder(planned: readonly LayerOfDay[], fed: readonly LayerOfDay[]): RationDrift['outOfOrder'] {
  const fedPlace = new Map<string, number>();
  fed.forEach((layer, index) => {
    if (!fedPlace.has(layer.lotId)) fedPlace.set(layer.lotId, index);
  });
  const order = [...new Set(planned.map((layer) => layer.lotId))].filter((lotId) => fedPlace.has(lotId));
  return order.flatMap((plannedLower, index) =>
    order
      .slice(index + 1)
      .filter((plannedUpper) => (fedPlace.get(plannedLower) ?? 0) > (fedPlace.get(plannedUpper) ?? 0))
      .map((plannedUpper) => ({ plannedLower, plannedUpper })),
  );
}
