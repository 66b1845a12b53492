import { withoutDust } from '../../core/units/without-dust.js';
import { wasReplayed } from '../database/idempotency.js';
import type { Job } from '../workers/job.js';
import { csvRemarks, renderCsv } from './csv.js';
import { type AnyEndpoint, type Form, formsOf, MEDIA_TYPES, type Table } from './endpoint.js';
import { hasHead, headOf, type Remark, TableSeal, type Told, wantsHead } from './file-head.js';
import { fileName, type FiledUnder, whatIsFiled } from './file-name.js';
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

/**
 * @param address As it was asked, which a file names as its source.
 * @param make Does the long ones: sheets, PDF and pictures.
 * @param operation Name of the operation that was entered, if one was: whose the file is.
 */
export async function inForm(
  endpoint: AnyEndpoint,
  body: unknown,
  form: Form,
  address: string,
  make: (job: Job) => Promise<string | Buffer>,
  operation?: string,
): Promise<WrittenAnswer> {
  const vary: Record<string, string> = formsOf(endpoint).length > 1 ? { Vary: 'Accept' } : {};
  const { operationId, table } = endpoint;
  const under = { operation, ...(body as FiledUnder), ...endpoint.filedUnder?.(body) };
  const named = (ending: string): string => `filename="${fileName(endpoint, under, ending)}"`;
  const asFile = (ending: string): string => `attachment; ${named(ending)}`;
  if (form === 'json') return { headers: vary, content: body };
  if (form === 'csv') {
    const headers = { ...vary, 'Content-Type': CSV_TYPE, 'Content-Disposition': asFile('csv') };
    return { headers, content: table === undefined ? body : csvFile(table(body), remarksOf(endpoint, body, address)) };
  }
  if (form === 'xlsx') {
    const headers = { ...vary, 'Content-Type': MEDIA_TYPES.xlsx, 'Content-Disposition': asFile('xlsx') };
    if (table === undefined) return { headers, content: body };
    return { headers, content: await make(workbookJob(endpoint, table(body), remarksOf(endpoint, body, address))) };
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
      ...(SHOWN.has(form) ? { 'Content-Disposition': `inline; ${named(form)}` } : {}),
      ...(form === 'beancount' ? { 'Content-Disposition': asFile('beancount') } : {}),
      ...(form === 'gzip' ? { 'Content-Disposition': asFile('ndjson.gz') } : {}),
    },
    content,
  };
}

/** What a browser shows; the name is for whoever saves it from there. */
const SHOWN: ReadonlySet<Form> = new Set(['html', 'pdf', 'svg']);

/** RFC 4180 and, of parameters, RFC 7111: the head before the header row is comments. */
export const CSV_TYPE = 'text/csv; charset=utf-8; header=present';

function remarksOf(endpoint: AnyEndpoint, body: unknown, address: string): Remark[] {
  return hasHead(endpoint) && wantsHead(address) ? headOf(body as Told, address) : [];
}

function csvFile(table: Table, head: readonly Remark[]): string {
  const csv = renderCsv(table);
  return head.length === 0 ? csv : csvRemarks([...head, ...new TableSeal().add(csv).remarks(table.rows.length)]) + csv;
}

/** A workbook of a table, sealed like its CSV. */
function workbookJob({ path }: AnyEndpoint, table: Table, head: readonly Remark[]): Job {
  const remarks =
    head.length === 0 ? [] : [...head, ...new TableSeal().add(renderCsv(table)).remarks(table.rows.length)];
  return { kind: 'workbook', table, sheetName: whatIsFiled(path), remarks };
}
