import type { Asker } from '../http/asker.js';
import type { ThreadRequest } from '../http/thread-request.js';
import type { FieldProblem, Problem } from '../http/problem.js';
import type { Table, WrittenForm } from '../http/endpoint.js';
import type { Remark } from '../http/file-head.js';
import type { ProblemCode } from '../http/problem-catalogue.js';

/** Work that leaves the event loop, as plain data; `src/worker.ts` does it. */
export type Job =
  | { readonly kind: 'calculation'; readonly name: string; readonly body: unknown }
  | { readonly kind: 'document'; readonly operationId: string; readonly form: WrittenForm; readonly answer: unknown }
  | {
      readonly kind: 'workbook';
      readonly table: Table;
      readonly sheetName: string;
      readonly remarks: readonly Remark[];
    }
  | {
      readonly kind: 'register-workbook';
      readonly columns: Table['columns'];
      /** Of lines of JSON: what is said of the list, its rows, and its seal. */
      readonly pieces: readonly string[];
      readonly sheetName: string;
    }
  | { readonly kind: 'csv-file' | 'workbook-file'; readonly text: string; readonly rules: unknown }
  | { readonly kind: 'hay-budget'; readonly inputs: unknown; readonly rates: unknown }
  | { readonly kind: 'what-ifs'; readonly question: unknown }
  | { readonly kind: 'least-cost'; readonly question: unknown }
  | { readonly kind: 'trial-judgement'; readonly trial: unknown }
  | { readonly kind: 'costs'; readonly operationId: string }
  | { readonly kind: 'archive'; readonly asker: Asker; readonly operationId: string }
  | { readonly kind: 'request'; readonly request: ThreadRequest };

/**
 * Jobs of a lane share threads, and wait for none of the other: whoever tries a file still gets reports, and whoever
 * asks for reports still gets a file in.
 */
export const LANES = ['reports', 'files'] as const;
export type Lane = (typeof LANES)[number];

export function laneOf(job: Job): Lane {
  return isOfFile(job) ? 'files' : 'reports';
}

function isOfFile(job: Job): boolean {
  if (job.kind === 'request') return job.request.takesFile;
  return job.kind === 'csv-file' || job.kind === 'workbook-file';
}

/** What was asked for, and what to ask for instead where it takes too long, in words. */
export function wordsOf(job: Job): { readonly what: string; readonly instead: string } {
  if (isOfFile(job)) return { what: 'Going through the file', instead: 'Cut it into files of fewer rows.' };
  switch (job.kind) {
    case 'archive':
      return { what: 'Packing the archive', instead: 'Ask again when fewer people are at work.' };
    case 'document':
    case 'workbook':
      return { what: 'Writing the file', instead: 'Ask for fewer days, or for CSV.' };
    case 'trial-judgement':
      return { what: 'Judging the trial', instead: 'Ask again when fewer people are at work.' };
    case 'costs':
      return { what: 'Writing the costs of hay', instead: 'The rest is written later.' };
    case 'calculation':
      return { what: 'The calculation', instead: 'Ask for less at once.' };
    default:
      return { what: 'The calculation', instead: 'Ask for fewer days, herds or lots.' };
  }
}

/** What came of a job: its answer, or the problem that the person is told. */
export type Done =
  | { readonly answer: unknown }
  | {
      readonly problem: {
        readonly code: ProblemCode;
        readonly detail: string | undefined;
        readonly errors: readonly FieldProblem[];
        readonly headers: Readonly<Record<string, string>>;
      };
    };

/** A problem as it crosses between threads. */
export function problemOf({ code, detail, errors, headers }: Problem): Done {
  return { problem: { code, detail, errors, headers } };
}
