import { readFile } from 'node:fs/promises';
import { createRequire } from 'node:module';
import path from 'node:path';
import type { FastifyInstance } from 'fastify';
import { serveDocument } from '../../../platform/http/open-document.js';
import { html } from '../../html.js';
import { COLORS } from '../../look/tokens.data.js';
import { waitingHtml } from './waiting.page.js';
import { YARD_SCRIPT } from './yard.script.js';
import { YARD_WORKER } from './yard-worker.script.js';

const JAVASCRIPT = 'text/javascript; charset=utf-8';
const { paper, accent } = COLORS;

/** A stack of bales: what the icon shows, drawn here. */
const ICON = html`<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 192 192">
<rect width="192" height="192" fill="${paper.light}"/>
<g fill="${accent.light}"><circle cx="62" cy="124" r="34"/><circle cx="130" cy="124" r="34"/>
<circle cx="96" cy="65" r="34"/></g>
<g fill="none" stroke="${paper.light}" stroke-width="6"><circle cx="62" cy="124" r="17"/>
<circle cx="130" cy="124" r="17"/><circle cx="96" cy="65" r="17"/></g>
</svg>
`;

/** W3C Web Application Manifest. */
const MANIFEST = {
  name: 'Rickyard',
  short_name: 'Rickyard',
  description: 'Feed sheets, tickets, weights and counts of the yard',
  id: '/yard',
  start_url: '/yard',
  scope: '/yard',
  display: 'standalone',
  background_color: paper.light,
  theme_color: paper.light,
  icons: [{ src: '/yard/icon.svg', sizes: 'any', type: 'image/svg+xml', purpose: 'any' }],
};

/** The library over IndexedDB that the worker and the list of what waits share, as its package has it. */
function queueLibrary(): Promise<Buffer> {
  const entry = createRequire(__filename).resolve('idb');
  return readFile(path.join(path.dirname(entry), 'umd.js'));
}

/** What a phone needs of the yard beside its pages, the same for everybody. */
export function serveOffline(server: FastifyInstance): void {
  serveDocument(server, { path: '/yard/yard.js', type: JAVASCRIPT, text: () => YARD_SCRIPT });
  serveDocument(server, {
    path: '/yard/worker.js',
    type: JAVASCRIPT,
    text: () => YARD_WORKER,
    // The start page, /yard, is above the worker's own folder.
    headers: { 'Service-Worker-Allowed': '/yard' },
  });
  serveDocument(server, { path: '/yard/idb.js', type: JAVASCRIPT, text: queueLibrary });
  serveDocument(server, { path: '/yard/icon.svg', type: 'image/svg+xml', text: () => ICON.toString() });
  serveDocument(server, { path: '/yard/waiting', type: 'text/html; charset=utf-8', text: waitingHtml });
  serveDocument(server, {
    path: '/yard/manifest.webmanifest',
    type: 'application/manifest+json',
    text: () => JSON.stringify(MANIFEST),
  });
}
