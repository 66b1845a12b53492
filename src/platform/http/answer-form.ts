import { withoutDust } from '../../core/units/without-dust.js';
import { wasReplayed } from '../database/idempotency.js';
import type { Job } from '../workers/job.js';
import { renderCsv } from './csv.js';
import { type AnyEndpoint, type Form, formsOf, MEDIA_TYPES } from './endpoint.js';
import { type FiledUnder, fileName } from './file-name.js';
import { writerOf } from './writers.js';

/** An answer in the form that was asked for, with the headers that tell it. */
export interface WrittenAnswer {
  headers: Record<string, string>;
  /** For JSON the object itself, which the server writes. */
  content: unknown;
}

/** The answer as the description promises it. @throws ZodError where it is not: our bug. */
export function promised({ answer }: AnyEndpoint, raw: unknown): Record<string, unknown> {
  return withoutDust(answer?.parse(raw) as Record<string, unknown>);
}

/** Where the new record is, and whether it was made by an earlier request with this key. */
export function creationHeaders(
  { creates }: AnyEndpoint,
  params: unknown,
  raw: unknown,
  body: unknown,
): Record<string, string> {
  return {
    ...(creates === undefined ? {} : { Location: creates(body, params) }),
    ...(typeof raw === 'object' && raw !== null && wasReplayed(raw) ? { 'Idempotency-Replayed': 'true' } : {}),
  };
}

/** @param make does the long ones: sheets, PDF and pictures. */
export async function inForm(
  endpoint: AnyEndpoint,
  body: unknown,
  form: Form,
  make: (job: Job) => Promise<string | Buffer>,
): Promise<WrittenAnswer> {
  const vary: Record<string, string> = formsOf(endpoint).length > 1 ? { Vary: 'Accept' } : {};
  const { operationId, table } = endpoint;
  const named = (ending: string): string => `filename="${fileName(endpoint, body as FiledUnder, ending)}"`;
  const asFile = (ending: string): string => `attachment; ${named(ending)}`;
  if (form === 'json') return { headers: vary, content: body };
  if (form === 'csv') {
    const type = 'text/csv; charset=utf-8; header=present';
    const headers = { ...vary, 'Content-Type': type, 'Content-Disposition': asFile('csv') };
    return { headers, content: table === undefined ? body : renderCsv(table(body)) };
  }
  if (form === 'xlsx') {
    const headers = { ...vary, 'Content-Type': MEDIA_TYPES.xlsx, 'Content-Disposition': asFile('xlsx') };
    const job = (): Job => ({ kind: 'workbook', table: table!(body), sheetName: operationId });
    return { headers, content: table === undefined ? body : await make(job()) };
  }
  const content =
    form === 'pdf' || form === 'svg'
      ? await make({ kind: 'document', operationId, form, answer: body })
      : await writerOf(endpoint, form)(body);
  const text = form === 'pdf' || form === 'gzip' ? '' : '; charset=utf-8';
  return {
    headers: {
      ...vary,
      'Content-Type': `${MEDIA_TYPES[form]}${text}`,
      ...(form === 'pdf' ? { 'Content-Disposition': `inline; ${named('pdf')}` } : {}),
      ...(form === 'gzip' ? { 'Content-Disposition': asFile('ndjson.gz') } : {}),
    },
    content,
  };
}
