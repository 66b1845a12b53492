import { counted } from '../../core/units/counted.js';
import { createHash } from 'node:crypto';
import { Inject, Injectable } from '@nestjs/common';
import type { Currency } from '../../core/units/money.js';
import { type Clock, CLOCK } from '../../platform/clock.js';
import { askFor } from '../../platform/database/doubts.js';
import { Database } from '../../platform/database/database.js';
import { FairShare, type ShareLimits } from '../../platform/database/fair-share.js';
import { HeavyWork } from '../../platform/workers/heavy-work.js';
import type { AuditEntry, OperationTenant, Words } from '../../platform/database/types.js';
import { wasAnswered } from '../../platform/database/idempotency.js';
import type { Asker, Idempotency } from '../../platform/http/asker.js';
import { pageOf, readCursor } from '../../platform/http/cursor.js';
import type { AnswerOf, InputOf } from '../../platform/http/endpoint.js';
import { Problem } from '../../platform/http/problem.js';
import { asCurrency } from '../../platform/wire/quantity.schema.js';
import { z } from 'zod';
import { allColumns, type ColumnSet } from './columns.js';
import { type CsvFile, readCsvFile, type Separator } from './csv-file.js';
import type { ImportKind, ImportKindCode } from './import-kind.js';
import { type EarlierImport, ImportRead, type ImportRow, mayKnowText } from './import.read.js';
import type * as api from './import.schema.js';
import { firstRow, ImportRun, type Outcome, type Pending } from './import-run.js';
import { ImportStore, type MadeRecord } from './import.store.js';
import { FeedingImport } from './kinds/feedings.js';
import { HayTicketImport } from './kinds/hay-tickets.js';
import { HeadChangeImport } from './kinds/head-changes.js';
import { HayObservationImport } from './kinds/hay-observations.js';
import { HerdEventImport } from './kinds/herd-events.js';
import { LabTestImport } from './kinds/lab-tests.js';
import { AnimalWeightImport, GroupWeightImport } from './kinds/weights.js';
import { NO_ROW_CAUTIONS } from '../kit/caution.schema.js';
import type { NameBook } from './name-book.js';
import { NameBooks } from './name-book.read.js';
import { RecordDraft } from './record-draft.js';
import { asFieldProblem, PROBLEMS_LISTED_MAX, type RowDoubt, type RowProblem } from './row-problem.js';

type Answer = AnswerOf<typeof api.getImport>;
type FileInput = Pick<InputOf<typeof api.importFeedings>, 'params' | 'body'>;

export interface Work {
  readonly kind: Words['ImportKind'];
  readonly fileSha256: string;
  readonly rowCount: number;
  /** Problems of the file itself. */
  readonly problems: readonly RowProblem[];
  prepare(tenant: OperationTenant): Promise<readonly Pending[]>;
}

type RowCautions = Pick<Answer, 'rowCautions' | 'judgedRecordCount'>;
/** What a judge says of records that were written, while they are there to be read. */
type JudgeOfMade = (tenant: OperationTenant, made: readonly MadeRecord[]) => Promise<RowCautions>;

interface Tried extends Outcome {
  readonly told?: RowCautions | undefined;
}

/** Thrown to leave a transaction with nothing done, carrying what was found. */
class NothingSaved extends Error {
  constructor(readonly outcome: Tried) {
    super('Nothing is saved');
  }
}

const PROGRESS_EVERY_ROWS = 50;
/** In characters: some hundred rows, which take a few milliseconds. */
const SHORT_FILE = 32_768;
/** A check writes the whole file and takes it all back; one operation's wait for each other. */
const CHECKS: ShareLimits = { atOnce: 1, waiting: 4, patienceMs: 120_000 };
/** An import without progress for this long was cut off with its server. */
const SILENT_FOR_MS = 120_000;
const SEPARATOR_NAMES: Readonly<Record<Separator, 'comma' | 'semicolon' | 'tab'>> = {
  ',': 'comma',
  ';': 'semicolon',
  '\t': 'tab',
};

/**
 * Files of records, imported in whole or not at all, by the API's own services in one transaction. Each record is
 * written behind a savepoint, so that a refused one does not hide the problems of the next; a single problem rolls
 * everything back.
 */
@Injectable()
export class ImportService {
  readonly #kinds: ReadonlyMap<ImportKindCode, ImportKind>;
  readonly #checks = new FairShare(CHECKS);

  constructor(
    private readonly database: Database,
    private readonly imports: ImportRead,
    private readonly store: ImportStore,
    private readonly names: NameBooks,
    private readonly heavyWork: HeavyWork,
    @Inject(CLOCK) private readonly clock: Clock,
    hayTickets: HayTicketImport,
    labTests: LabTestImport,
    feedings: FeedingImport,
    animalWeights: AnimalWeightImport,
    groupWeights: GroupWeightImport,
    headChanges: HeadChangeImport,
    herdEvents: HerdEventImport,
    hayObservations: HayObservationImport,
  ) {
    this.#kinds = new Map(
      [hayTickets, labTests, feedings, animalWeights, groupWeights, headChanges, herdEvents, hayObservations].map(
        (kind) => [kind.code, kind as ImportKind],
      ),
    );
  }

  async check(
    asker: Asker,
    { params, body }: FileInput,
    code: ImportKindCode,
    judge?: JudgeOfMade,
  ): Promise<AnswerOf<typeof api.checkFeedings>> {
    const { earlier, file, work } = await this.#read(asker, params.operationId, code, body);
    const outcome: Tried =
      work.problems.some((one) => one.row === 1) || file.rows.length === 0
        ? { problems: [...work.problems], asked: [], made: [] }
        : await this.#checks.of(params.operationId, () => this.#tried(asker, params.operationId, work, earlier, judge));
    return {
      kind: code,
      fileSha256: work.fileSha256,
      separator: SEPARATOR_NAMES[file.separator],
      rowCount: file.rows.length,
      recordCount: notStanding(
        this.#kind(code)
          .group(file.rows)
          .map((rows) => ({ rows })),
        earlier,
      ).length,
      alreadyImported: earlier.whole ? (earlier.newest?.id ?? null) : null,
      problemCount: outcome.problems.length,
      problems: inOrder(outcome.problems).slice(0, PROBLEMS_LISTED_MAX),
      asked: inOrder(outcome.asked).slice(0, PROBLEMS_LISTED_MAX).map(askedAnswer),
      ...(outcome.told ?? NO_ROW_CAUTIONS),
    };
  }

  async take(asker: Asker, { params, body }: FileInput, code: ImportKindCode): Promise<Answer> {
    const { work } = await this.#read(asker, params.operationId, code, body);
    if (work.problems.some((one) => one.row === 1) || work.rowCount === 0) throw refused([...work.problems]);
    return this.takeWork(asker, params.operationId, work);
  }

  /** Imports the file: throws if anything is wrong, else keeps what was written. */
  async takeWork(asker: Asker, operationId: string, work: Work): Promise<Answer> {
    const beside: Asker = { ...asker, idempotency: undefined };
    const { entry, own, answered } = await this.database.writeIn(beside, operationId, async (tenant) => {
      const found = await this.#entered(tenant, work, asker.idempotency);
      return { ...found, answered: found.entry?.state === 'done' ? this.#answer(tenant, found.entry) : undefined };
    });
    if (answered !== undefined) return answered;
    const progress = new Progress((rowsDone) =>
      this.database.writeIn(beside, operationId, async (tenant) => {
        if (own) await this.store.move(tenant, own.id, rowsDone, this.#now());
        return {};
      }),
    );
    let reached = false;
    try {
      const answer = await this.database.writeIn(asker, operationId, async (tenant) => {
        reached = true;
        await this.store.holdFile(tenant, work);
        const earlier = await this.imports.earlier(tenant, work);
        if (earlier.whole && earlier.newest !== undefined) {
          if (own) await this.store.end(tenant, own.id, 'broken-off', this.#now());
          return this.#answer(tenant, earlier.newest);
        }
        const held = own ?? (await this.#joined(tenant, work, entry));
        const outcome = await this.#run(tenant, work, earlier, (rowsDone) => {
          if (own) progress.tell(rowsDone);
        });
        if (outcome.problems.length > 0) throw new NothingSaved(outcome);
        refuseUnconfirmed(tenant, outcome.asked);
        return this.#answer(tenant, await this.#finish(tenant, held, outcome));
      });
      // Another request with this key has answered meanwhile.
      if (own && !reached) await this.#end(beside, operationId, own.id, 'broken-off');
      return answer;
    } catch (error) {
      await progress.settled();
      if (own)
        await this.#end(
          beside,
          operationId,
          own.id,
          error instanceof NothingSaved || isQuestion(error) ? 'refused' : 'broken-off',
        );
      throw error instanceof NothingSaved ? refused(error.outcome.problems) : error;
    }
  }

  async list(
    tenant: OperationTenant,
    { query }: InputOf<typeof api.listImports>,
  ): Promise<AnswerOf<typeof api.listImports>> {
    return pageOf(
      await this.imports.page(tenant, query, this.#silentSince()),
      query.limit,
      (row) => this.#answer(tenant, row),
      (row) => [row.id],
    );
  }

  async get(tenant: OperationTenant, { params }: InputOf<typeof api.getImport>): Promise<Answer> {
    return this.#answer(tenant, await this.imports.one(tenant, params.importId));
  }

  async records(
    tenant: OperationTenant,
    { params, query }: InputOf<typeof api.listImportedRecords>,
  ): Promise<AnswerOf<typeof api.listImportedRecords>> {
    const after =
      query.cursor === undefined ? 0 : Number(readCursor(query.cursor, z.tuple([z.string().regex(/^\d{1,9}$/)]))[0]);

    const { id } = await this.imports.one(tenant, params.importId);
    const rows = await this.imports.records(tenant, id, { after, limit: query.limit + 1 });
    return pageOf(
      rows,
      query.limit,
      (row) => ({ row: row.row_number, recordKind: row.subject_kind, recordId: row.subject_id }),
      (row) => [String(row.row_number)],
    );
  }

  async columns(
    tenant: OperationTenant,
    { params }: InputOf<typeof api.getImportColumns>,
  ): Promise<AnswerOf<typeof api.getImportColumns>> {
    const currency = asCurrency(tenant.operation.currency);
    return Promise.resolve({
      kinds: [...this.#kinds.values()].map((kind) => {
        const set = kind.columns(currency);
        return {
          kind: kind.code,
          title: kind.title,
          description: kind.description,
          sample: `/v1/operations/${params.operationId}/import-columns/${kind.code}/sample?format=csv`,
          columns: [
            ...set.plain.map(({ name, required, what, allowed }) => ({
              name,
              need: required ? ('needed' as const) : ('if-known' as const),
              group: null,
              what,
              allowed,
            })),
            ...set.families.flatMap((family) =>
              family.columns.map(({ name, what, allowed }) => ({
                name,
                need: family.required ? ('one-of-these' as const) : ('if-known' as const),
                group: family.stem,
                what,
                allowed,
              })),
            ),
          ],
        };
      }),
    });
  }

  async sample(
    tenant: OperationTenant,
    { params }: InputOf<typeof api.getImportSample>,
  ): Promise<AnswerOf<typeof api.getImportSample>> {
    const currency = asCurrency(tenant.operation.currency);
    const kind = this.#kind(params.kind);
    const rows = kind.sample(currency);
    const columns = allColumns(kind.columns(currency))
      .map((one) => one.name)
      .filter((name) => rows.some((row) => row[name] !== undefined));
    return Promise.resolve({
      kind: params.kind,
      columns,
      rows: rows.map((row) => columns.map((column) => row[column] ?? null)),
    });
  }

  async #read(
    asker: Asker,
    operationId: string,
    code: ImportKindCode,
    text: string,
  ): Promise<{ earlier: EarlierImport; file: CsvFile; work: Work }> {
    const kind = this.#kind(code);
    const fileSha256 = sha256Of(text);
    return this.database.readIn(asker, operationId, async (tenant) => {
      const currency = asCurrency(tenant.operation.currency);
      const file = await this.#file(tenant, text, kind.columns(currency));
      const work: Work = {
        kind: code,
        fileSha256,
        rowCount: file.rows.length,
        problems: file.problems,
        prepare: async (inside) => pendingOf(kind, file, await this.names.of(inside), currency),
      };
      return { earlier: await this.imports.earlier(tenant, work), file, work };
    });
  }

  /** A long file is taken apart in a worker thread. */
  async #file(tenant: OperationTenant, text: string, set: ColumnSet): Promise<CsvFile> {
    if (text.length <= SHORT_FILE) return readCsvFile(text, set);
    return (await this.heavyWork.run(tenant, { kind: 'csv-file', text, set })) as CsvFile;
  }

  /** Goes through the whole file and rolls everything back. */
  async #tried(
    asker: Asker,
    operationId: string,
    work: Work,
    earlier: EarlierImport,
    judge: JudgeOfMade | undefined,
  ): Promise<Tried> {
    try {
      return await this.database.writeIn(
        { ...asker, idempotency: undefined },
        operationId,
        async (tenant): Promise<Tried> => {
          const outcome = await this.#run(tenant, work, earlier, () => undefined);
          throw new NothingSaved({ ...outcome, told: await judge?.(tenant, outcome.made) });
        },
      );
    } catch (error) {
      if (error instanceof NothingSaved) return error.outcome;
      throw error;
    }
  }

  /** Writes what no earlier import of the same file left standing. */
  async #run(
    tenant: OperationTenant,
    work: Work,
    earlier: EarlierImport,
    tell: (rowsDone: number) => void,
  ): Promise<Outcome> {
    const outcome: Outcome = { problems: [...work.problems], asked: [], made: [] };
    const audits: AuditEntry[] = [];
    // The audit's lock comes last, after every lock on lots and herds, here as everywhere.
    const inside: OperationTenant = {
      ...tenant,
      audit: (entry) => Promise.resolve(void audits.push(...[entry].flat())),
    };
    const pending = notStanding(await work.prepare(inside), earlier);
    await this.store.holdLotsAndHerds(
      tenant,
      new Set(
        pending
          .flatMap((one) => one.rows)
          .flatMap((row) => ['lot', 'herd', 'to_herd'].flatMap((column) => row.cells.get(column) ?? [])),
      ),
    );
    let reported = 0;
    await new ImportRun(inside, outcome, audits, await this.store.savepoint(tenant)).write(pending, (rowsDone) => {
      if (rowsDone - reported < PROGRESS_EVERY_ROWS) return;
      reported = rowsDone;
      tell(rowsDone);
    });
    if (outcome.problems.length === 0) await tenant.audit(audits);
    return outcome;
  }

  /**
   * The import's entry: one that this request begins for its `own`, or that of the same file that is done and stands,
   * or from the same person still runs (a request sent again after its connection was cut); none for a request that was
   * answered before. Whichever request comes first does the work; the one that began the entry ends it. What runs is
   * asked before what is done, for it may finish between the two questions.
   */
  async #entered(
    tenant: OperationTenant,
    work: Work,
    once: Idempotency | undefined,
  ): Promise<{ entry: ImportRow | undefined; own: ImportRow | undefined }> {
    await this.store.holdBeginning(tenant, work);
    const running = await this.imports.running(tenant, work, this.#silentSince());
    if (running !== undefined) return { entry: running, own: undefined };
    if (await wasAnswered(tenant, once)) return { entry: undefined, own: undefined };
    const { whole, newest } = await this.imports.earlier(tenant, work);
    if (whole) return { entry: newest, own: undefined };
    const own = await this.store.begin(tenant, work, this.#now());
    return { entry: own, own };
  }

  /** An entry that another request began, locked so that nobody ends it meanwhile; a new one if it has ended. */
  async #joined(tenant: OperationTenant, work: Work, entry: ImportRow | undefined): Promise<ImportRow> {
    const running = entry === undefined ? undefined : await this.store.hold(tenant, entry.id);
    return running ?? this.store.begin(tenant, work, this.#now());
  }

  #silentSince(): string {
    return new Date(this.clock.now().getTime() - SILENT_FOR_MS).toISOString();
  }

  async #finish(tenant: OperationTenant, begun: ImportRow, outcome: Outcome): Promise<ImportRow> {
    const row = await this.store.finish(tenant, begun, outcome.made, this.#now());
    await tenant.audit({ action: 'import.done', subjectKind: 'import', subjectId: begun.id, after: row });
    return row;
  }

  async #end(asker: Asker, operationId: string, id: string, state: 'refused' | 'broken-off'): Promise<void> {
    await this.database.writeIn(asker, operationId, async (tenant) => {
      await this.store.end(tenant, id, state, this.#now());
      return {};
    });
  }

  #answer(tenant: OperationTenant, row: ImportRow): Answer {
    const silent = row.state === 'running' && new Date(row.moved_at) < new Date(this.#silentSince());
    return {
      id: row.id,
      kind: row.kind,
      fileSha256: mayKnowText(tenant, row.kind) ? row.file_sha256 : null,
      state: silent ? 'broken-off' : row.state,
      rowCount: row.row_count,
      rowsDone: row.rows_done,
      recordCount: row.record_count,
      startedAt: row.started_at,
      movedAt: row.moved_at,
      lotCautions: null,
      ...NO_ROW_CAUTIONS,
      recordedBy: row.recorded_by,
    };
  }

  #now(): string {
    return this.clock.now().toISOString();
  }

  #kind(code: ImportKindCode): ImportKind {
    const kind = this.#kinds.get(code);
    if (kind === undefined) throw new RangeError(`No import of kind ${code}`);
    return kind;
  }
}

export function sha256Of(text: string): string {
  return createHash('sha256').update(text, 'utf8').digest('hex');
}

/** The records of a file that no earlier import of it left standing: what was reversed is entered again. */
function notStanding<Rows extends Pick<Pending, 'rows'>>(
  pending: readonly Rows[],
  { standing }: EarlierImport,
): Rows[] {
  return pending.filter(({ rows }) => !standing.has(firstRow(rows)));
}

function pendingOf(kind: ImportKind, file: CsvFile, names: NameBook, currency: Currency): Pending[] {
  const set = kind.columns(currency);
  const writeAll = kind.recordAll?.bind(kind);
  const order = kind.order?.bind(kind);
  return kind.group(file.rows).map((rows) => ({
    rows,
    writeAll,
    order,
    ready: () => {
      const draft = new RecordDraft(rows, set);
      const body = kind.parse(draft, names, currency);
      if (body === undefined || draft.problems.length > 0) return { problems: draft.problems };
      return {
        body,
        write: (tenant) => kind.record(tenant, body, names),
        cellOf: (pointer) => draft.cellOf(pointer),
        blame: (problem) => {
          const found =
            problem.errors.length > 0
              ? problem.errors
              : [{ code: problem.code, allowed: 'what the message says', message: problem.detail ?? problem.message }];
          for (const one of found) draft.take(one);
          return draft.problems;
        },
      };
    },
  }));
}

/**
 * Reports progress, one write at a time; reports that come during a write are dropped. A failed write stops nothing.
 */
class Progress {
  #underWay: Promise<unknown> | undefined;

  constructor(private readonly write: (rowsDone: number) => Promise<unknown>) {}

  tell(rowsDone: number): void {
    if (this.#underWay !== undefined) return;
    this.#underWay = this.write(rowsDone)
      .catch(() => undefined)
      .finally(() => {
        this.#underWay = undefined;
      });
  }

  async settled(): Promise<void> {
    await this.#underWay;
  }
}

function inOrder<Placed extends { row: number }>(problems: readonly Placed[]): Placed[] {
  return [...problems].sort((a, b) => a.row - b.row);
}

const isQuestion = (error: unknown): boolean => error instanceof Problem && error.code === 'confirm';

/** All rows are asked about at once. @throws Problem confirm */
function refuseUnconfirmed({ doubts }: OperationTenant, asked: readonly RowDoubt[]): void {
  const codes = new Set(doubts.unconfirmed().map(({ code }) => code));
  const open = inOrder(asked.filter(({ code }) => codes.has(code)));
  if (open.length > 0)
    throw askFor(open, doubts.codes(), ({ row, column }) => ({
      parameter: column === null ? `row ${row}` : `row ${row}, column ${column}`,
    }));
}

function askedAnswer({ row, column, code, given, usual, source, message }: RowDoubt) {
  return { row, column, code, given, usual, source, message };
}

function refused(problems: readonly RowProblem[]): Problem {
  const listed = inOrder(problems).slice(0, PROBLEMS_LISTED_MAX);
  return new Problem(
    'import-refused',
    `${counted(problems.length, 'problem')} in the file; nothing was saved.`,
    listed.map(asFieldProblem),
  );
}
