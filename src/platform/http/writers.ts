import type { z } from 'zod';
import type { AnyEndpoint, WrittenForm } from './endpoint.js';

export type Writer<Answer> = (answer: Answer) => string | Buffer | Promise<string | Buffer>;

const WRITERS = new Map<string, Partial<Record<WrittenForm, Writer<unknown>>>>();

/**
 * Registers what makes the forms that an endpoint promises by `alsoAs`. The endpoint need not know its writers, so that
 * the records' modules load no pages and no PDF.
 */
export function registerWriters<Answer extends z.ZodType>(
  endpoint: Pick<AnyEndpoint, 'operationId'> & { answer?: Answer },
  writers: Partial<Record<WrittenForm, Writer<z.output<Answer>>>>,
): void {
  if (WRITERS.has(endpoint.operationId)) throw new RangeError(`${endpoint.operationId} has its writers already`);
  WRITERS.set(endpoint.operationId, writers as Partial<Record<WrittenForm, Writer<unknown>>>);
}

/** @throws RangeError where an endpoint promises a form that nobody writes. */
export function writerOf({ operationId }: Pick<AnyEndpoint, 'operationId'>, form: WrittenForm): Writer<unknown> {
  const writer = WRITERS.get(operationId)?.[form];
  if (writer === undefined) throw new RangeError(`${operationId} promises ${form}, and nothing writes it`);
  return writer;
}

/** All that is registered: operation and form. */
export function registeredWriters(): [operationId: string, form: WrittenForm][] {
  return [...WRITERS].flatMap(([operationId, writers]) =>
    (Object.keys(writers) as WrittenForm[]).map((form): [string, WrittenForm] => [operationId, form]),
  );
}
