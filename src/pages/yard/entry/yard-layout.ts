import { html, type Html } from '../../html.js';
import { htmlDocument } from '../../layout.js';
import type { Link } from '../../links.js';
import { YARD_STYLE } from './yard.style.js';

/** What makes the yard's pages ones that a phone can keep: their manifest, and the script that hears of no signal. */
const KEPT_ON_PHONES = html`
<link rel="manifest" href="/yard/manifest.webmanifest">
<script src="/yard/yard.js" defer></script>`;

interface YardPage {
  title: string;
  links: readonly Link[];
  /** What else stands in the head, such as a script that the one of the yard needs. */
  head?: Html;
  body: Html;
}

/** A page on which somebody enters something, with gloves on. */
export function yardPage({ title, links, head = html``, body }: YardPage): string {
  return htmlDocument({
    title: `${title} · Rickyard`,
    style: YARD_STYLE,
    links,
    head: html`${head}${KEPT_ON_PHONES}`,
    body: html`<h1>${title}</h1>
<p class="signal" id="signal" role="status" hidden></p>
${body}`,
  });
}
