import { type Ask, askForm } from './ask-form.js';
import { html, type Html, styleSheet } from './html.js';
import { type Link, linksBar } from './links.js';
import { LOOK, ON_PAPER } from './look/look.style.js';

/** What only the first pages have: the list of sheets, large, and what is done seldom. */
const FIRST_PAGES = `
.sheets { list-style: none; padding: 0; }
.sheets a, main .sheets a {
  display: block; border: 2px solid var(--accent); border-radius: var(--corner); padding: .7rem .9rem; margin: .6rem 0;
  text-decoration: none; color: inherit;
}
.sheets b { display: block; font-size: 1.5rem; line-height: 1.2; color: var(--accent); }
.sheets .lacking { font-weight: 700; color: var(--warn); }
.at-the-end { display: flex; flex-wrap: wrap; gap: .8rem; margin-top: 2.5rem; }
@media print { .at-the-end { display: none; } }`;

/** A whole document, ready to send. `style`: what this page has beside the look of all. */
export function htmlDocument({
  title,
  style = '',
  links = [],
  ask,
  head = null,
  body,
}: {
  title: string;
  style?: string;
  links?: readonly Link[];
  ask?: Ask | undefined;
  /** What else stands in the head of the document. */
  head?: Html | null;
  body: Html;
}): string {
  return html`<!doctype html>
<html lang="en">
<head>
<meta charset="utf-8">
<meta name="viewport" content="width=device-width, initial-scale=1">
<title>${title}</title>
<link rel="icon" href="data:,">${head}
<style>${styleSheet(...LOOK, style, ON_PAPER)}
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
    style: FIRST_PAGES,
    links,
    body: html`<h1>${title}</h1>
${body}`,
  });
}
