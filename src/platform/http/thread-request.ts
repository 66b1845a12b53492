import type { INestApplicationContext } from '@nestjs/common';
import { Database } from '../database/database.js';
import type { Tenant } from '../database/types.js';
import type { Job } from '../workers/job.js';
import { creationHeaders, inForm, promised, type WrittenAnswer } from './answer-form.js';
import type { Asker, Idempotency } from './asker.js';
import { type AnyEndpoint, type Form, HANDLERS, type ReceivedCall, transactionOf } from './endpoint.js';
import { nameOfEntered } from './file-name.js';
import { linkedPage } from './page-link.js';
import { placedIn } from './in-the-request.js';
import { Problem } from './problem.js';

/** A request that a thread answers. Whoever asks has been let in; the thread's own transaction looks again. */
export interface ThreadRequest {
  /** The endpoint's operationId. */
  endpoint: string;
  /** Whether it tries or enters a file of records: all else that a thread answers is a read. */
  takesFile: boolean;
  asker: Asker;
  operationId: string | undefined;
  input: ReceivedCall['input'];
  form: Form;
  /** As asked, for the link to the next page and the source that a file names. */
  url: string;
}

/** A function does not cross; the thread makes it again. */
export function asPlainData(asker: Asker): Asker {
  const { recordAt: _made, ...plain } = asker.idempotency ?? {};
  return { ...asker, idempotency: asker.idempotency === undefined ? undefined : (plain as Idempotency) };
}

/** Where the record of a first answer is, for a repeat that may not see that answer. */
export function recordAtOf({ creates, answer }: AnyEndpoint, params: unknown): Pick<Idempotency, 'recordAt'> {
  return creates === undefined ? {} : { recordAt: (first) => creates(answer?.parse(first), params) };
}

function withRecordAt(asker: Asker, endpoint: AnyEndpoint, params: unknown): Asker {
  const { idempotency } = asker;
  return {
    ...asker,
    idempotency: idempotency === undefined ? undefined : { ...idempotency, ...recordAtOf(endpoint, params) },
  };
}

/** Answers a request as the server itself would, letter for letter. @throws Problem what the person is told. */
export async function answerInThread(
  application: INestApplicationContext,
  { endpoint: name, asker, operationId, input, form, url }: ThreadRequest,
  make: (job: Job) => Promise<string | Buffer>,
): Promise<WrittenAnswer> {
  const handler = HANDLERS.get(name);
  if (handler?.endpoint.answer === undefined) throw new RangeError(`There is no endpoint ${name} that answers`);
  const { endpoint, controller, method } = handler;
  const database = application.get(Database, { strict: false });
  const handlers = application.get<Record<string, (call: ReceivedCall) => Promise<unknown>>>(controller, {
    strict: false,
  });
  let entered: string | undefined;
  const work = async (tenant: Tenant): Promise<unknown> => {
    entered = nameOfEntered(tenant);
    return handlers[method]?.({ tenant, input });
  };
  const raw = await (
    transactionOf(endpoint) === 'own'
      ? Promise.resolve(handlers[method]?.({ asker: withRecordAt(asker, endpoint, input.params), input }))
      : operationId === undefined
        ? database.read(asker, work)
        : database.readIn(asker, operationId, work)
  ).catch((error: unknown) => {
    throw error instanceof Problem ? placedIn(error, input) : error;
  });
  const body = promised(endpoint, raw);
  const link = linkedPage(endpoint, input.params, url, body);
  const { headers: made, content } = await inForm(endpoint, body, form, url, make, entered);
  const headers = { ...made, ...link, ...creationHeaders(endpoint, input.params, raw, body) };
  return form === 'json'
    ? { headers: { ...headers, 'Content-Type': 'application/json; charset=utf-8' }, content: JSON.stringify(content) }
    : { headers, content };
}
