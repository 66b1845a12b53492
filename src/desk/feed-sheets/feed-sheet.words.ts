import type { FeedSheetAnswer } from './feed-sheet.schema.js';

export type HerdSheet = FeedSheetAnswer['herds'][number];
export type SheetLine = HerdSheet['layers'][number]['lines'][number];

/** 1234 as 1,234: read at a glance, in gloves. */
export function whole(value: string | number): string {
  return Math.round(Number(value)).toLocaleString('en-US');
}

export function weighed(mass: { value: string; unit: string }): string {
  return `${whole(mass.value)} ${mass.unit}`;
}

const WEEKDAYS = ['Sunday', 'Monday', 'Tuesday', 'Wednesday', 'Thursday', 'Friday', 'Saturday'];

export function dayWords(day: string): string {
  return `${WEEKDAYS[new Date(`${day}T00:00:00Z`).getUTCDay()] ?? ''} ${day}`;
}

/** What the hand does with the bales of a line. */
export function baleWords({ bales }: SheetLine): string {
  if (bales === null) return 'loose';
  const over = Number(bales.carriedIn.value);
  // Number and unit stay on one line.
  const overWords = weighed(bales.carriedIn).replaceAll(' ', '\u00a0');
  const opened = `open ${bales.open} ${bales.open === 1 ? 'bale' : 'bales'}`;
  if (Math.round(over) > 0) return bales.open === 0 ? `from the open bale (${overWords} over)` : `${opened}, after the ${overWords} left over`;
  return opened;
}

export const SEVERITY_WORDS: Readonly<Record<'danger' | 'watch' | 'notice', string>> = { danger: 'DANGER', watch: 'WATCH', notice: 'NOTE' };

export const SHEET_FOOTER = 'Numbers about feeding are aids to judgement. Before you act on a caution ask a veterinarian, a licensed nutritionist or the lab, and keep to local codes.';
