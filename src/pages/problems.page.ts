import type { FastifyInstance } from 'fastify';
import { PROBLEM_CODES, PROBLEMS, type ProblemCode } from '../platform/http/problem-catalogue.js';
import { Problem } from '../platform/http/problem.js';
import { sendProblem } from '../platform/http/problem.filter.js';
import { html, type Html, scrolling } from './html.js';
import { page } from './layout.js';

/** The pages behind every problem's `type`. */
export function serveProblems(server: FastifyInstance): void {
  server.get('/problems', (_request, reply) =>
    reply.type('text/html; charset=utf-8').send(page('Problems', listOfProblems())),
  );
  server.get<{ Params: { code: string } }>('/problems/:code', (request, reply) => {
    const { code } = request.params;
    if (!Object.hasOwn(PROBLEMS, code)) return sendProblem(new Problem('not-found'), request, reply);
    const known = code as ProblemCode;
    return reply.type('text/html; charset=utf-8').send(page(PROBLEMS[known].title, problemPart(known)));
  });
}

function listOfProblems(): Html {
  const rows = PROBLEM_CODES.map((code) => {
    const { status, title } = PROBLEMS[code];
    return html`<tr><td><a href="/problems/${code}">${code}</a></td><td>${status}</td><td>${title}</td></tr>
`;
  });
  return scrolling(
    'Problems',
    html`<table>
<thead><tr><th scope="col">Code</th><th scope="col">Status</th><th scope="col">Title</th></tr></thead>
<tbody>${rows}</tbody>
</table>`,
  );
}

function problemPart(code: ProblemCode): Html {
  const { status, meaning, whatToDo } = PROBLEMS[code];
  return html`<p class="code">${status} · ${code}</p>
<h2>What it means</h2><p>${meaning}</p>
<h2>What to do</h2><p>${whatToDo}</p>
<p><a href="/problems">All problems</a></p>`;
}
