function positive(value: number, name: string): void {
  if (!(value > 0) || !Number.isFinite(value)) throw new RangeError(`${name} must be above zero, was ${value}`);
}

/**
 * Volume of a round bale: width · π · (diameter/2)². Meters and cubic meters (or feet and cubic feet: the formula
 * is the same). Source: Texas A&M AgriLife Extension (Banta), "Do you have enough hay?".
 */
export function roundBaleVolume({ widthM, diameterM }: { widthM: number; diameterM: number }): { volumeM3: number } {
  positive(widthM, 'Width');
  positive(diameterM, 'Diameter');
  return { volumeM3: widthM * Math.PI * (diameterM / 2) ** 2 };
}

/** Volume of a square bale: length · width · height. */
export function squareBaleVolume({ lengthM, widthM, heightM }: { lengthM: number; widthM: number; heightM: number }): {
  volumeM3: number;
} {
  positive(lengthM, 'Length');
  positive(widthM, 'Width');
  positive(heightM, 'Height');
  return { volumeM3: lengthM * widthM * heightM };
}

/** Weight as fed from volume and bulk density as fed. */
export function baleWeight({ volumeM3, densityKgPerM3 }: { volumeM3: number; densityKgPerM3: number }): {
  weightKg: number;
} {
  positive(volumeM3, 'Volume');
  positive(densityKgPerM3, 'Density');
  return { weightKg: volumeM3 * densityKgPerM3 };
}

/** Bulk density as fed from weight and volume, to turn shares by volume into shares by weight. */
export function baleDensity({ volumeM3, weightKg }: { volumeM3: number; weightKg: number }): {
  densityKgPerM3: number;
} {
  positive(volumeM3, 'Volume');
  positive(weightKg, 'Weight');
  return { densityKgPerM3: weightKg / volumeM3 };
}

/**
 * Share of a round bale's volume in an outer layer of a given depth: 1 − (1 − 2·depth/diameter)². Geometry: it
 * shows why a few inches of weathered hay are a large part of a bale.
 */
export function outerLayerShare({ diameterM, depthM }: { diameterM: number; depthM: number }): { share: number } {
  positive(diameterM, 'Diameter');
  if (!(depthM >= 0) || depthM > diameterM / 2) throw new RangeError('Depth must lie between zero and the radius');
  return { share: 1 - (1 - (2 * depthM) / diameterM) ** 2 };
}
