import { createRequire } from 'node:module';
import { readFile } from 'node:fs/promises';
import path from 'node:path';
import type { FastifyInstance } from 'fastify';
import { serveDocument } from '../platform/http/open-document.js';
import { html } from './html.js';

const ASSETS = path.dirname(createRequire(__filename).resolve('swagger-ui-dist/package.json'));
const CSS = 'swagger-ui.css';
const SCRIPT = 'swagger-ui-bundle.js';

const PAGE = html`<!doctype html>
<html lang="en">
<head>
<meta charset="utf-8">
<meta name="viewport" content="width=device-width, initial-scale=1">
<title>Rickyard API reference</title>
<link rel="stylesheet" href="/reference/assets/${CSS}">
<link rel="icon" href="data:,">
</head>
<body>
<main>
<h1>API reference</h1>
<div id="reference"></div>
</main>
<script src="/reference/assets/${SCRIPT}"></script>
<script src="/reference/start.js"></script>
</body>
</html>
`.toString();

/** Groups open when they are asked for: all operations and schemas at once keep a browser busy. */
const START = `window.addEventListener('load', () => {
  window.ui = SwaggerUIBundle({
    url: '/openapi.json',
    dom_id: '#reference',
    deepLinking: true,
    docExpansion: 'none',
    defaultModelsExpandDepth: -1,
    persistAuthorization: false,
    tryItOutEnabled: true,
    validatorUrl: null,
    presets: [SwaggerUIBundle.presets.apis],
  });
});
`;

/** The interactive reference: every asset is served from here, none from elsewhere. */
export function serveReference(server: FastifyInstance): void {
  const script = 'text/javascript; charset=utf-8';
  const asset = (name: string, type: string): void =>
    serveDocument(server, {
      path: `/reference/assets/${name}`,
      type,
      text: () => readFile(path.join(ASSETS, name)),
    });
  serveDocument(server, { path: '/reference', type: 'text/html; charset=utf-8', text: () => PAGE });
  serveDocument(server, { path: '/reference/start.js', type: script, text: () => START });
  asset(CSS, 'text/css; charset=utf-8');
  asset(SCRIPT, script);
}
