import { html, type Html } from './html.js';

export interface Link {
  href: string;
  words: string;
}

/** The ways from a page: large enough for a thumb, hidden in print. */
export function linksBar(links: readonly Link[]): Html {
  if (links.length === 0) return html``;
  const ways = links.map(({ href, words }) => html`<a href="${href}">${words}</a>`);
  return html`<nav class="links" aria-label="From this page">${ways}</nav>
`;
}
