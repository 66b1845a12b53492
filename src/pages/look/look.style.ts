import { COLORS, SIZES } from './tokens.data.js';

const declared = (entries: readonly (readonly [name: string, value: string])[]): string =>
  entries.map(([name, value]) => `--${name}: ${value};`).join(' ');
const colors = (of: 'light' | 'dark'): string =>
  declared(Object.entries(COLORS).map(([name, color]) => [name, color[of]] as const));

const TOKENS = `
:root { color-scheme: light dark; ${colors('light')}
  ${declared(Object.entries(SIZES).map(([name, { value }]) => [name, value] as const))} }
@media (prefers-color-scheme: dark) { :root { ${colors('dark')} } }`;

const WORDS = `
* { box-sizing: border-box; }
body {
  font: var(--text)/1.5 var(--letters); color: var(--ink); background: var(--paper);
  margin: 0 auto; padding: 1.5rem 1rem; max-width: var(--page); overflow-wrap: break-word;
}
h1 {
  font-size: 1.75rem; line-height: 1.2; margin: 0 0 .4rem; padding-bottom: .3rem;
  border-bottom: 3px solid var(--accent);
}
h2 { font-size: 1.25rem; line-height: 1.25; margin: 1.8rem 0 .4rem; }
h3 { font-size: 1.1rem; line-height: 1.25; margin: 1.3rem 0 .3rem; }
a { color: var(--accent); }
small { font-size: var(--small); }
code, pre, .code { font-family: var(--fixed); font-size: var(--small); overflow-wrap: anywhere; }
:focus-visible { outline: 3px solid var(--accent); outline-offset: 2px; }
.subtitle, figcaption, caption { color: var(--quiet); }
.subtitle { margin: 0 0 1rem; }
.strong { font-weight: 700; }
.mark, .told { border: 3px solid var(--warn); padding: .5rem .8rem; font-weight: 700; }`;

const TABLES = `
.wide { overflow-x: auto; margin: .5rem 0; }
table { border-collapse: collapse; width: 100%; }
.wide table { font-size: var(--small); }
caption { text-align: left; padding-bottom: .2rem; }
th, td { text-align: left; padding: .35rem .6rem .35rem 0; border-bottom: 1px solid var(--line); vertical-align: top; }
thead th { border-bottom: 2px solid var(--ink); }
.number { text-align: right; white-space: nowrap; font-variant-numeric: tabular-nums; }
th.number { white-space: normal; }
.day { white-space: nowrap; }
figure { margin: .8rem 0; }
/* Never made smaller, so that letters stay at 12 px: a narrow screen has a drawing of its own, or scrolls. */
figure svg { display: block; background: #fff; }
.narrow { display: none; }
@media screen and (max-width: 46rem) { .broad { display: none; } .narrow { display: block; } }`;

const CONTROLS = `
form { margin: 0; }
label { display: block; font-weight: 700; margin: 1rem 0 .2rem; }
label small { font-weight: 400; }
input, select {
  font: inherit; width: 100%; max-width: 26rem; min-height: var(--touch); padding: .4rem .6rem; color: inherit;
  background: transparent; border: 2px solid var(--accent); border-radius: var(--corner);
}
option { color: var(--ink); background: var(--paper); }
button {
  font: inherit; font-weight: 700; padding: .5rem 1.2rem; min-height: 3rem; color: var(--on-accent);
  background: var(--accent); border: 2px solid var(--accent); border-radius: var(--corner);
}
button.quiet { color: var(--accent); background: transparent; }
nav.links { display: flex; flex-wrap: wrap; gap: .5rem; margin: 0 0 1rem; }
nav.links a {
  display: flex; align-items: center; min-height: var(--touch); padding: 0 .9rem; font-weight: 700;
  text-decoration: none; border: 2px solid var(--accent); border-radius: var(--corner);
}
p.ways { display: flex; flex-wrap: wrap; gap: .3rem 1.2rem; margin: .3rem 0; }
p.ways a { display: flex; align-items: center; min-height: var(--touch); font-weight: 700; }
form.ask { display: flex; flex-wrap: wrap; align-items: end; gap: .5rem .8rem; margin: 0 0 1rem; }
form.ask label { margin: 0; font-weight: 400; }
form.ask input, form.ask select { width: auto; max-width: 100%; display: block; }
form.ask button { min-height: var(--touch); }
@media screen and (max-width: 40rem) {
  body { padding: .8rem; }
  main a { display: inline-block; min-width: var(--touch); min-height: var(--touch); padding-block: .55rem; }
}`;

const PAPER = `
@page { margin: 12mm; }
@media print {
  :root { color-scheme: light; --paper: #fff; --ink: #000; --quiet: #000; --line: #777; --accent: #000; --warn: #000; }
  body { max-width: none; padding: 0; font-size: 11pt; }
  a { color: inherit; text-decoration: none; }
  nav, form, .ways { display: none; }
  .narrow { display: none; }
  .wide { overflow: visible; }
  h2, h3 { break-after: avoid; }
  figure, tr, li { break-inside: avoid; }
}`;

/** The style that every page begins with. A page adds what it alone has. */
export const LOOK = [TOKENS, WORDS, TABLES, CONTROLS];
/** Comes after what a page adds: paper has the last word. */
export const ON_PAPER = PAPER;
