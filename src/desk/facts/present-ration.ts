import type { LayerRole } from '../../core/laying/layer.js';
import type { FedLately } from './fed-lately.js';
import type { RationContent } from './ration-content.js';

/**
 * What a herd is fed at present, as a ration: the mean kilograms per head per day of each lot in each role over the
 * days of its last feedings, in the build order of the last one. `null` where nothing was fed.
 */
export function presentRationOf({ feedings, layers }: Pick<FedLately, 'feedings' | 'layers'>): RationContent | null {
  const days = new Set(feedings.map((feeding) => feeding.happened_on)).size;
  const perHead = new Map<string, { role: LayerRole; lotId: string; kilograms: number; order: number }>();
  feedings.forEach((feeding, index) => {
    for (const layer of layers.get(feeding.id) ?? []) {
      const key = `${layer.role} ${layer.hay_lot_id}`;
      perHead.set(key, {
        role: layer.role,
        lotId: layer.hay_lot_id,
        kilograms: (perHead.get(key)?.kilograms ?? 0) + Number(layer.kilograms) / feeding.head_fed / days,
        order: index * 100 + layer.position,
      });
    }
  });
  const parts = [...perHead.values()].sort((a, b) => a.order - b.order);
  const total = parts.reduce((sum, part) => sum + part.kilograms, 0);
  if (total <= 0) return null;
  return {
    basis: 'as-fed',
    amountKg: String(total),
    amountBasis: 'as-fed',
    statedWastedShare: null,
    parts: parts.map(({ role, lotId, kilograms }, index) => ({
      position: index + 1,
      role,
      lotId,
      sharePercent: String((kilograms / total) * 100),
      weight: null,
      freeChoice: false,
      density: null,
    })),
  };
}
