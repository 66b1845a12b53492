import type { FastifyInstance } from 'fastify';
import { PROBLEM_CODES, PROBLEMS, type ProblemCode } from '../platform/http/problem-catalogue.js';
import { Problem } from '../platform/http/problem.js';
import { sendProblem } from '../platform/http/problem.filter.js';
import { page, text } from './layout.js';

/** The pages behind every problem's `type`. */
export function serveProblems(server: FastifyInstance): void {
  server.get('/problems', (_request, reply) => {
    const rows = PROBLEM_CODES.map(
      (code) =>
        `<tr><td><a href="/problems/${code}">${code}</a></td><td>${PROBLEMS[code].status}</td><td>${text(PROBLEMS[code].title)}</td></tr>`,
    );
    return reply
      .type('text/html; charset=utf-8')
      .send(
        page(
          'Problems',
          `<table><thead><tr><th>Code</th><th>Status</th><th>Title</th></tr></thead><tbody>${rows.join('')}</tbody></table>`,
        ),
      );
  });
  server.get<{ Params: { code: string } }>('/problems/:code', (request, reply) => {
    const { code } = request.params;
    if (!Object.hasOwn(PROBLEMS, code)) return sendProblem(new Problem('not-found'), request, reply);
    const { title, status, meaning, whatToDo } = PROBLEMS[code as ProblemCode];
    return reply
      .type('text/html; charset=utf-8')
      .send(
        page(
          title,
          `<p class="code">${status} · ${text(code)}</p><h2>What it means</h2><p>${text(meaning)}</p><h2>What to do</h2><p>${text(whatToDo)}</p><p><a href="/problems">All problems</a></p>`,
        ),
      );
  });
}
