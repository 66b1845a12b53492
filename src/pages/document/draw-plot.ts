import type * as PlotLibrary from '@observablehq/plot';
import { html } from '../html.js';

export type Plot = typeof PlotLibrary;
export type PlotOptions = PlotLibrary.PlotOptions;

/** Dark on white, legible in print and distinct without color: arms also differ in dash and mark. */
export const INK = '#1a1a1a';
/** Pixels; what is smaller cannot be read on a phone. */
const LETTERS = 12;
export const GRID = '#d9d9d9';
const ARM_INKS = ['#3b3b3b', '#8a3b12', '#1f4e79', '#4d6b1f', '#6b3f73', '#7a6a00'] as const;
const ARM_DASHES = ['none', '6 3', '2 3', '8 3 2 3', '4 2', '1 4'] as const;

/** Bars of a need, by what is found; the words beside them say the same. */
export const BAR_INKS = { meets: '#1f4e79', short: '#8a3b12', excess: '#6b3f73', near: '#7a6a00' } as const;

export function inkOf(index: number): string {
  return ARM_INKS[index % ARM_INKS.length] ?? INK;
}

export function dashOf(index: number): string {
  return ARM_DASHES[index % ARM_DASHES.length] ?? 'none';
}

export interface Drawing {
  /** A whole SVG document. */
  svg: string;
  width: number;
  height: number;
  /** The same for a narrow screen, with letters of the same size; where there is none, the screen scrolls. */
  narrow?: Drawing;
}

/** Draws a plot on the server, without a browser. The libraries are loaded when the first picture is asked for. */
export async function draw(
  options: (plot: Plot) => PlotOptions,
  { width, height, title, description }: { width: number; height: number; title: string; description?: string },
): Promise<Drawing> {
  const plot = await import('@observablehq/plot');
  const { parseHTML } = await import('linkedom');
  const { document } = parseHTML('<!doctype html><html><body></body></html>') as unknown as { document: object };
  const element = plot.plot({
    ...options(plot),
    document,
    width,
    height,
    style: { background: 'white', color: INK, fontSize: `${LETTERS}px`, fontFamily: 'sans-serif' },
  }) as unknown as { outerHTML: string };
  // The style sheet inside works in browsers only, so attributes repeat it here.
  // One picture with one name: what Plot says of its marks would be read out piece by piece.
  const inner = element.outerHTML
    .replace(/<style>[\s\S]*?<\/style>/, '')
    .replaceAll(/ aria-[a-z]+="[^"]*"/g, '')
    // On paper the attribute counts, on a screen the style.
    .replace(/^(<svg [^>]*) font-size="\d+"/, `$1 font-size="${LETTERS}"`)
    .replace(/^<svg ([^>]*)>/, `<svg xmlns="http://www.w3.org/2000/svg" role="img" $1>${nameOf(title, description)}`)
    .replaceAll('currentColor', INK);
  return { svg: inner, width, height };
}

function nameOf(title: string, description: string | undefined): string {
  const told = (text: string): string => html`${text}`.toString();
  const more = description === undefined ? '' : `<desc>${told(description)}</desc>`;
  return `<title>${told(title)}</title>${more}`;
}
