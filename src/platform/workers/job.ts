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
