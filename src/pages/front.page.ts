import type { FastifyInstance } from 'fastify';
import { html } from './html.js';
import { page } from './layout.js';

export function serveFront(server: FastifyInstance): void {
  server.get('/', (_request, reply) =>
    reply.type('text/html; charset=utf-8').send(
      page(
        'Rickyard',
        html`
<p>Records, rations, trials and accounts for beef herds wintered on hay.</p>
<ul>
<li><a href="/yard">Sign in: feed sheets, rations, trials, hay</a></li>
<li><a href="/reference">Interactive API reference</a></li>
<li><a href="/openapi.json">API description (OpenAPI 3.1)</a></li>
<li><a href="/problems">Problems the API answers with</a></li>
<li><a href="/health/ready">Health</a></li>
</ul>
<p>Numbers about feeding are aids to judgment. Before you act on a caution, ask a veterinarian,
a licensed nutritionist or the lab, and follow local codes.</p>`,
      ),
    ),
  );
}
