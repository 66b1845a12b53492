import { draw, type Drawing, type Plot, type PlotOptions } from '../document/draw-plot.js';

/** Pixels: a page at a desk or on paper, and a phone held upright. */
const BROAD = 680;
const NARROW = 330;

/** Lighter than any line over it and than any letter beside it. */
export const BAND = '#dde3c8';

export interface Sheet {
  readonly width: number;
  readonly narrow: boolean;
}

interface Told {
  readonly title: string;
  /** What the picture shows, for whoever does not see it. */
  readonly description: string;
  readonly height: (sheet: Sheet) => number;
}

/** A picture in both widths, each drawn at its real size with letters of 12 px. */
export async function drawBoth(
  options: (plot: Plot, sheet: Sheet) => PlotOptions,
  { height, ...told }: Told,
): Promise<Drawing> {
  const at = (sheet: Sheet): Promise<Drawing> =>
    draw((plot) => options(plot, sheet), { width: sheet.width, height: height(sheet), ...told });
  const broad = await at({ width: BROAD, narrow: false });
  return { ...broad, narrow: await at({ width: NARROW, narrow: true }) };
}
