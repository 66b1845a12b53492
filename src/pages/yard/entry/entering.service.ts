import { Injectable } from '@nestjs/common';
import { Database } from '../../../platform/database/database.js';
import type { OperationTenant } from '../../../platform/database/types.js';
import type { Asker } from '../../../platform/http/asker.js';
import { placedIn } from '../../../platform/http/in-the-request.js';
import { Problem } from '../../../platform/http/problem.js';
import type { Typed } from './body-of-fields.js';
import { formHtml } from './entry.page.js';
import type { FormShown } from './form.schema.js';
import { ProblemOnForm } from './problem-on-form.js';

export interface Sent {
  asker: Asker;
  operationId: string;
  typed: Typed;
  /** What the API address would be sent. @throws Problem where it cannot be read. */
  input: () => { params: object; body: unknown };
  write: (tenant: OperationTenant, input: { params: object; body: unknown }) => Promise<string>;
  again: (tenant: OperationTenant, problem: Problem) => Promise<FormShown>;
}

/** What every form that enters something does: once, by the one whose form it is, or the form comes again. */
@Injectable()
export class EnteringService {
  constructor(private readonly database: Database) {}

  /** @returns where to go on. @throws ProblemOnForm */
  async enter({ asker, operationId, typed, input, write, again }: Sent): Promise<string> {
    refuseOfAnother(asker, typed);
    let read: { params: object; body: unknown } | undefined;
    try {
      read = input();
      const given = read;
      const { at } = await this.database.writeIn(asker, operationId, async (tenant) => ({
        at: await write(tenant, given),
      }));
      return at;
    } catch (error) {
      if (!(error instanceof Problem) || error.status >= 500) throw error;
      const problem = placedIn(error, { params: read?.params, query: {}, body: read?.body });
      throw new ProblemOnForm(
        problem,
        await this.database.readIn(asker, operationId, async (tenant) => formHtml(await again(tenant, problem))),
      );
    }
  }
}

/** What was typed by somebody else on the same phone is theirs to send. */
function refuseOfAnother({ personId }: Asker, { by }: Typed): void {
  if (by !== undefined && by !== personId)
    throw new Problem(
      'not-permitted',
      'This was typed while somebody else was signed in on this device. Nothing was saved: who typed it has to ' +
        'send it.',
    );
}
