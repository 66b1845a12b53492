/**
 * The look of all pages, in one place, each value with its reason. It comes from where the pages are read: in a cab
 * before sunrise, in a yard at noon, at a kitchen table, on paper.
 */

/** Colors, as pairs for day and night. Text keeps 7:1 against what it stands on (WCAG 2.2, 1.4.6), for the sun. */
export const COLORS = {
  paper: { light: '#faf8f1', dark: '#191b16', why: 'straw, that glares less than white in snow; at night no lamp' },
  ink: { light: '#1d211a', dark: '#f0eee3', why: 'next to black, so that a wet screen can still be read' },
  quiet: { light: '#494d40', dark: '#c6c8b8', why: 'what is said beside the figure: days, sources, advice' },
  accent: { light: '#3f5210', dark: '#c3d47c', why: 'cured hay, for what can be pressed and what heads a part' },
  'on-accent': { light: '#faf8f1', dark: '#191b16', why: 'words on a button' },
  warn: { light: '#7a2f0b', dark: '#ffb48a', why: 'rust, for what has to be seen to; always with its word' },
  line: { light: '#7c7a66', dark: '#83866f', why: 'rules and edges: 3:1 against the paper (WCAG 2.2, 1.4.11)' },
} as const satisfies Readonly<Record<string, { light: string; dark: string; why: string }>>;
export type ColorName = keyof typeof COLORS;

/** Which color stands on which, and how much they have to differ. */
export const PAIRS: readonly { on: ColorName; over: ColorName; least: number }[] = [
  { on: 'ink', over: 'paper', least: 7 },
  { on: 'quiet', over: 'paper', least: 7 },
  { on: 'accent', over: 'paper', least: 7 },
  { on: 'on-accent', over: 'accent', least: 7 },
  { on: 'warn', over: 'paper', least: 7 },
  // Turned around, for a danger that must not be overlooked.
  { on: 'paper', over: 'ink', least: 7 },
  { on: 'line', over: 'paper', least: 3 },
];

export const SIZES = {
  letters: {
    value: 'system-ui, "Liberation Sans", sans-serif',
    why: 'the letters that the device has: nothing to fetch where there is no signal, the same at every page',
  },
  fixed: { value: 'ui-monospace, monospace', why: 'ids, codes and digests, to be read letter by letter' },
  text: { value: '1.0625rem', why: '17 px: arm’s length on a desk' },
  large: { value: '1.25rem', why: '20 px: a phone or a sheet on the dashboard' },
  small: { value: '0.9375rem', why: '15 px: tables and what stands beside; never below 12 px' },
  touch: { value: '2.75rem', why: '44 px: a thumb (WCAG 2.2, 2.5.5)' },
  page: { value: '58rem', why: 'a table of eight columns without turning the head' },
  corner: { value: '.25rem', why: 'an edge that says it can be pressed, no more' },
} as const satisfies Readonly<Record<string, { value: string; why: string }>>;
