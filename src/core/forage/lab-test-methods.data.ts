export const LAB_METHODS = ['wet-chemistry', 'near-infrared', 'label', 'book-value'] as const;
export type LabMethod = (typeof LAB_METHODS)[number];

/** How much one test counts when several tests of a lot are averaged. A book value never counts alongside a test. */
export const LAB_METHOD_WEIGHTS: readonly {
  readonly method: LabMethod;
  readonly weight: number;
  readonly source: string;
}[] = [
  { method: 'wet-chemistry', weight: 2, source: 'common practice, no source: wet chemistry counts double' },
  { method: 'near-infrared', weight: 1, source: 'common practice, no source' },
  { method: 'label', weight: 1, source: 'a guarantee, which counts only where nothing was measured' },
  { method: 'book-value', weight: 0, source: 'a book value is no measurement of the lot' },
];

/**
 * Cores a composite sample should hold. Source: National Forage Testing Association sampling protocol, read at Montana
 * State: at least 20.
 */
export const CORES_WANTED = 20;
