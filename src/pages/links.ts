import { html, type Html } from './html.js';

export interface Link {
  href: string;
  words: string;
}

/** For pages with a style of their own: large enough for a thumb, hidden in print. */
export const LINKS_STYLE = `
nav.links { display: flex; flex-wrap: wrap; gap: .5rem; margin: 0 0 1rem; font-family: system-ui, sans-serif; }
nav.links a {
  border: 2px solid currentColor; border-radius: .2rem; padding: .45rem .9rem;
  color: inherit; text-decoration: none; font-weight: 700;
}
@media print { nav.links { display: none; } }`;

export function linksBar(links: readonly Link[]): Html {
  if (links.length === 0) return html``;
  return html`<nav class="links">${links.map(({ href, words }) => html`<a href="${href}">${words}</a>`)}</nav>
`;
}
