import { createRequire } from 'node:module';
import path from 'node:path';
import fastifyStatic from '@fastify/static';
import type { FastifyInstance } from 'fastify';
import { html } from './html.js';

const ASSETS = path.dirname(createRequire(__filename).resolve('swagger-ui-dist/package.json'));

const PAGE = html`<!doctype html>
<html lang="en">
<head>
<meta charset="utf-8">
<meta name="viewport" content="width=device-width, initial-scale=1">
<title>Rickyard API reference</title>
<link rel="stylesheet" href="/reference/assets/swagger-ui.css">
<link rel="icon" href="data:,">
</head>
<body>
<div id="reference"></div>
<script src="/reference/assets/swagger-ui-bundle.js"></script>
<script src="/reference/start.js"></script>
</body>
</html>
`.toString();

const START = `window.addEventListener('load', () => {
  window.ui = SwaggerUIBundle({
    url: '/openapi.json',
    dom_id: '#reference',
    deepLinking: true,
    persistAuthorization: false,
    tryItOutEnabled: true,
    validatorUrl: null,
    presets: [SwaggerUIBundle.presets.apis],
  });
});
`;

/** The interactive reference: every asset is served from here, none from elsewhere. */
export async function serveReference(server: FastifyInstance): Promise<void> {
  await server.register(fastifyStatic, {
    root: ASSETS,
    prefix: '/reference/assets/',
    index: false,
    decorateReply: false,
  });
  server.get('/reference', (_request, reply) => reply.type('text/html; charset=utf-8').send(PAGE));
  server.get('/reference/start.js', (_request, reply) => reply.type('text/javascript; charset=utf-8').send(START));
}
