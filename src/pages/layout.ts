import { type Ask, ASK_STYLE, askForm } from './ask-form.js';
import { html, type Html, styleSheet } from './html.js';
import { type Link, linksBar, LINKS_STYLE } from './links.js';

/** One style for all pages: plain, readable outdoors, printable. */
const STYLE = `
:root { color-scheme: light dark; --ink: #22261f; --paper: #fbfaf5; --line: #c9c4b0; --accent: #5b6b1f; }
@media (prefers-color-scheme: dark) {
  :root { --ink: #eceade; --paper: #1c1e18; --line: #4c5041; --accent: #b9cc6c; }
}
body {
  font: 1.05rem/1.5 system-ui, sans-serif; color: var(--ink); background: var(--paper);
  margin: 0 auto; padding: 2rem 1rem; max-width: 52rem;
}
h1 { font-size: 1.7rem; border-bottom: 3px solid var(--accent); padding-bottom: .3rem; }
h2 { font-size: 1.15rem; }
a { color: var(--accent); }
table { border-collapse: collapse; width: 100%; }
th, td { text-align: left; padding: .35rem .6rem; border-bottom: 1px solid var(--line); vertical-align: top; }
code, pre { font-family: ui-monospace, monospace; font-size: .92em; }
.code { font-family: ui-monospace, monospace; }
nav { display: flex; flex-wrap: wrap; gap: .4rem 1.4rem; }
form { margin: 0; }
label { display: block; font-weight: 700; margin: 1rem 0 .2rem; }
label small { font-weight: 400; }
input {
  font: inherit; font-size: 1.2rem; width: 100%; max-width: 26rem; box-sizing: border-box; padding: .6rem;
  color: inherit; background: transparent; border: 2px solid var(--accent); border-radius: .2rem;
}
button {
  font: inherit; font-weight: 700; padding: .6rem 1.2rem; color: var(--paper); background: var(--accent);
  border: 0; border-radius: .2rem; min-height: 3rem;
}
button.quiet { color: var(--accent); background: transparent; border: 2px solid var(--accent); }
.told { border: 3px solid currentColor; padding: .6rem .8rem; font-weight: 700; }
.sheets { list-style: none; padding: 0; }
.sheets a {
  display: block; border: 2px solid var(--accent); border-radius: .2rem; padding: .7rem .9rem; margin: .6rem 0;
  text-decoration: none; color: inherit;
}
.sheets b { display: block; font-size: 1.5rem; line-height: 1.2; color: var(--accent); }
.sheets .lacking { font-weight: 700; }
.at-the-end { display: flex; flex-wrap: wrap; gap: .8rem; margin-top: 2.5rem; }
.wide { overflow-x: auto; }
.number { text-align: right; white-space: nowrap; font-variant-numeric: tabular-nums; }
@media print {
  body { max-width: none; padding: 0; } a { color: inherit; } nav, form, .at-the-end { display: none; }
}`;

/** A whole document with its own style, ready to send. */
export function htmlDocument({
  title,
  style,
  links = [],
  ask,
  body,
}: {
  title: string;
  style: Html;
  links?: readonly Link[];
  ask?: Ask | undefined;
  body: Html;
}): string {
  return html`<!doctype html>
<html lang="en">
<head>
<meta charset="utf-8">
<meta name="viewport" content="width=device-width, initial-scale=1">
<title>${title}</title>
<link rel="icon" href="data:,">
<style>${style}
</style>
</head>
<body>
${linksBar(links)}<main>
${ask === undefined ? null : askForm(ask)}${body}
</main>
</body>
</html>
`.toString();
}

export function page(title: string, body: Html, links: readonly Link[] = []): string {
  return htmlDocument({
    title: title === 'Rickyard' ? title : `${title} · Rickyard`,
    style: styleSheet(STYLE, LINKS_STYLE, ASK_STYLE),
    links,
    body: html`<h1>${title}</h1>
${body}`,
  });
}
