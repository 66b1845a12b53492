import { counted } from '../../core/units/counted.js';
import { createHash } from 'node:crypto';
import { Inject, Injectable } from '@nestjs/common';
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
import { sentFile } from '../../platform/http/sent-file.js';
import { nameKey } from '../../core/units/name-key.js';
import type { NameBook } from './name-book.js';
import { z } from 'zod';
import { allColumns } from './columns.js';
import { type ReadFile, readCsvFile } from './csv-file.js';
import type { ImportKindCode } from './import-kind.js';
import { type EarlierImport, ImportRead, type ImportRow, mayKnowText } from './import.read.js';
import type * as api from './import.schema.js';
import { type HeldBack, likelyDuplicates, LikelyDuplicates, messageOf } from './duplicates/likely-duplicates.js';
import { notStanding, preparedFile, type Prepared } from './file-records.js';
import { ImportRun, type Outcome } from './import-run.js';
import { listed } from './listed.js';
import { ImportStore, type MadeRecord } from './import.store.js';
import { ImportKinds } from './import-kinds.js';
import { ImportMappingRead, type ImportMappingRow } from './mappings/import-mapping.read.js';
import { readingAnswer } from './mappings/import-mapping.schema.js';
import { noticesListed, understoodAnswer } from './check-answer.js';
import { COLUMN_SYNONYMS } from './reading/column-synonyms.data.js';
import type { Notice, ReadingRules } from './reading/understood-sheet.js';
import { NO_FILE_CAUTIONS } from '../kit/caution.schema.js';
import { NameBooks } from './name-book.read.js';
import { importReversalAnswer } from './taking-back/import-reversal.service.js';
import { ImportReversalRead, type ImportReversalRow } from './taking-back/import-reversal.read.js';
import { FILE_BOUNDS } from './reading/file-bounds.data.js';
import { tooManyRecords } from './reading/file-measure.js';
import { asFieldProblem, type RowDoubt, type RowProblem, shortProblem } from './row-problem.js';

type Answer = AnswerOf<typeof api.getImport>;
type FileInput = Pick<InputOf<typeof api.importFeedings>, 'params' | 'query' | 'body'>;

export interface Work {
  readonly kind: Words['ImportKind'];
  readonly fileSha256: string;
  readonly rowCount: number;
  /** Problems with which no row can be read, so that nothing is tried. */
  readonly fileProblems: readonly RowProblem[];
  /** Problems of rows that were found in reading them. */
  readonly problems: readonly RowProblem[];
  /** What was left out in reading it; null where it is no file. */
  readonly notices: readonly Notice[] | null;
  /** Id of the saved reading by which it was read. */
  readonly readBy?: string | undefined;
  /** What to do with records that likely are there already; undefined: ask. */
  readonly duplicates?: Duplicates | undefined;
  prepare(tenant: OperationTenant, earlier: EarlierImport): Promise<Prepared>;
}
type Duplicates = 'enter' | 'skip';

type FileCautions = Partial<Pick<Answer, 'rowCautions' | 'judgedRecordCount' | 'lotCautions'>>;
/** What a judge says of records that were written, while they are there to be read, and what of it has to be asked. */
type JudgeOfMade = (
  tenant: OperationTenant,
  made: readonly MadeRecord[],
) => Promise<{ readonly told: FileCautions; readonly asked?: readonly RowDoubt[] }>;

interface Ran extends Outcome {
  readonly held: readonly HeldBack[];
  /** How many records there were to be written. */
  readonly count: number;
}
interface Tried extends Ran {
  readonly told?: FileCautions | undefined;
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
const READ_AS_WINDOWS: Notice = {
  row: null,
  column: null,
  code: 'read-as-windows-1252',
  message: 'The file is no UTF-8 and is read as Windows-1252: look at names with accents.',
};

/**
 * Files of records, imported in whole or not at all, by the API's own services in one transaction. Each record is
 * written behind a savepoint, so that a refused one does not hide the problems of the next; a single problem rolls
 * everything back.
 */
@Injectable()
export class ImportService {
  readonly #checks = new FairShare(CHECKS);

  constructor(
    private readonly database: Database,
    private readonly imports: ImportRead,
    private readonly store: ImportStore,
    private readonly takenBack: ImportReversalRead,
    private readonly duplicates: LikelyDuplicates,
    private readonly names: NameBooks,
    private readonly heavyWork: HeavyWork,
    @Inject(CLOCK) private readonly clock: Clock,
    private readonly kinds: ImportKinds,
    private readonly mappings: ImportMappingRead,
  ) {}

  async check(
    asker: Asker,
    { params, query, body }: FileInput,
    code: ImportKindCode,
    judge?: JudgeOfMade,
  ): Promise<AnswerOf<typeof api.checkFeedings>> {
    const { earlier, file, names, reading, work } = await this.#read(asker, params.operationId, code, body, query);
    const outcome: Tried & { readonly ifEntered: readonly RowProblem[] } =
      work.fileProblems.length > 0 || file.rows.length === 0
        ? {
            problems: [...work.fileProblems, ...work.problems],
            asked: [],
            made: [],
            held: [],
            count: notStanding(this.kinds.of(code).group(file.rows), earlier).length,
            ifEntered: [],
          }
        : await this.#checks.of(params.operationId, () =>
            this.#bothTried(asker, params.operationId, work, earlier, judge),
          );
    return {
      kind: code,
      fileSha256: work.fileSha256,
      ...understoodAnswer(file, names),
      reading: readingAnswer(reading),
      rowCount: file.rows.length,
      recordCount: outcome.count,
      alreadyImported: earlier.whole ? (earlier.newest?.id ?? null) : null,
      problemCount: outcome.problems.length,
      problems: listed(inOrder(outcome.problems).map(shortProblem)),
      duplicateCount: outcome.held.length,
      duplicates: listed(outcome.held.map(duplicateAnswer)),
      problemsIfEntered: listed(inOrder(outcome.ifEntered).map(shortProblem)),
      asked: listed(inOrder(outcome.asked).map(askedAnswer)),
      ...NO_FILE_CAUTIONS,
      ...outcome.told,
    };
  }

  /** @param judge is asked about what was written before it is kept; its answer comes with that of a new import. */
  async take(
    asker: Asker,
    { params, query, body }: FileInput,
    code: ImportKindCode,
    judge?: JudgeOfMade,
  ): Promise<Answer> {
    const { earlier, work } = await this.#read(asker, params.operationId, code, body, query);
    if (work.fileProblems.length > 0 || work.rowCount === 0) throw refused([...work.fileProblems, ...work.problems]);
    return (
      (await this.#nothingNew(asker, params.operationId, work, earlier)) ??
      this.takeWork(asker, params.operationId, work, judge)
    );
  }

  /** Imports the file: throws if anything is wrong, else keeps what was written. */
  async takeWork(asker: Asker, operationId: string, work: Work, judge?: JudgeOfMade): Promise<Answer> {
    const beside: Asker = { ...asker, idempotency: undefined };
    const { entry, own, answered } = await this.database.writeIn(beside, operationId, async (tenant) => {
      const found = await this.#entered(tenant, work, asker.idempotency);
      return {
        ...found,
        answered: found.entry?.state === 'done' ? await this.#answer(tenant, found.entry, work.notices) : undefined,
      };
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
          return this.#answer(tenant, earlier.newest, work.notices);
        }
        const held = own ?? (await this.#joined(tenant, work, entry));
        const outcome = await this.#run(tenant, work, earlier, {
          ask: true,
          tell: (rowsDone) => {
            if (own) progress.tell(rowsDone);
          },
        });
        if (outcome.problems.length > 0) throw new NothingSaved(outcome);
        const judged = await judge?.(tenant, outcome.made);
        refuseUnconfirmed(tenant, [...outcome.asked, ...(judged?.asked ?? [])]);
        const answer = await this.#answer(tenant, await this.#finish(tenant, held, outcome, work), work.notices);
        return { ...answer, ...judged?.told };
      });
      // A thread that has answered sleeps, and nothing of it may stay open meanwhile.
      await progress.settled();
      // Another request with this key has answered meanwhile.
      if (own && !reached) await this.#end(beside, operationId, own.id, 'broken-off');
      return answer;
    } catch (error) {
      await progress.settled();
      if (own) await this.#end(beside, operationId, own.id, endedAs(error));
      throw error instanceof NothingSaved ? refused(error.outcome.problems) : error;
    }
  }

  async list(
    tenant: OperationTenant,
    { query }: InputOf<typeof api.listImports>,
  ): Promise<AnswerOf<typeof api.listImports>> {
    const rows = await this.imports.page(tenant, query, this.#silentSince());
    const takenBack = await this.takenBack.of(
      tenant,
      rows.map(({ id }) => id),
    );
    const readings = await this.mappings.some(
      tenant,
      rows.map((row) => row.import_mapping_id),
    );
    return pageOf(
      rows,
      query.limit,
      (row) =>
        this.#answerOf(
          tenant,
          row,
          { takenBack: takenBack.get(row.id), reading: readings.get(row.import_mapping_id) },
          null,
        ),
      (row) => [row.id],
    );
  }

  async get(tenant: OperationTenant, { params }: InputOf<typeof api.getImport>): Promise<Answer> {
    return this.#answer(tenant, await this.imports.one(tenant, params.importId), null);
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
      kinds: this.kinds.all().map((kind) => {
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
    const kind = this.kinds.of(params.kind);
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
    body: string,
    { duplicates, dates, decimals }: FileInput['query'],
  ): Promise<{
    earlier: EarlierImport;
    file: ReadFile;
    names: NameBook;
    reading: ImportMappingRow | undefined;
    work: Work;
  }> {
    const kind = this.kinds.of(code);
    const { form, text } = sentFile(body);
    const fileSha256 = form === 'xlsx' ? sha256Of(Buffer.from(text, 'base64')) : sha256Of(text);
    return this.database.readIn(asker, operationId, async (tenant) => {
      const currency = asCurrency(tenant.operation.currency);
      const set = kind.columns(currency);
      const saved = await this.mappings.inForce(tenant, code);
      const read = await this.#file(tenant, { form, text }, this.#rules(tenant, code, saved, { dates, decimals }));
      if (read.beyond !== null) throw tooLarge(read.beyond);
      const oneByOne = kind.recordAll === undefined ? kind.group(read.rows).length : 0;
      if (oneByOne > FILE_BOUNDS.recordsOneByOne) throw tooLarge(tooManyRecords(oneByOne));
      const file = form === 'windows-1252' ? { ...read, notices: [READ_AS_WINDOWS, ...read.notices] } : read;
      const reading = saved.get(file.shape ?? '');
      const work: Work = {
        kind: code,
        readBy: reading?.id,
        fileSha256,
        rowCount: file.rows.length,
        fileProblems: file.fileProblems,
        problems: file.rowProblems,
        notices: file.notices,
        duplicates,
        prepare: async (inside, earlier) => {
          const names = await this.names.of(inside);
          return preparedFile({ kind, set, currency, names, rows: file.rows }, earlier, this.duplicates);
        },
      };
      const earlier = await this.imports.earlier(tenant, work);
      return { earlier, file, names: await this.names.of(tenant), reading, work };
    });
  }

  #rules(
    tenant: OperationTenant,
    code: ImportKindCode,
    saved: ReadonlyMap<string, ImportMappingRow>,
    asked: Pick<FileInput['query'], 'dates' | 'decimals'>,
  ): ReadingRules {
    const currency = asCurrency(tenant.operation.currency);
    return {
      set: this.kinds.of(code).columns(currency),
      synonyms: COLUMN_SYNONYMS[code],
      currency,
      saved: Object.fromEntries(
        [...saved].map(([shape, { columns, dates, decimals }]) => [
          shape,
          {
            dates,
            decimals,
            columns: Object.fromEntries(
              (columns as { header: string; column: string | null }[]).map(({ header, column }) => [
                nameKey(header),
                column,
              ]),
            ),
          },
        ]),
      ),
      ...asked,
    };
  }

  /** A long file is taken apart in a worker thread, and so is every workbook. */
  async #file(
    tenant: OperationTenant,
    { form, text }: ReturnType<typeof sentFile>,
    rules: ReadingRules,
  ): Promise<ReadFile> {
    if (form === 'xlsx') return (await this.heavyWork.run(tenant, { kind: 'workbook-file', text, rules })) as ReadFile;
    if (text.length <= SHORT_FILE) return readCsvFile(text, rules);
    return (await this.heavyWork.run(tenant, { kind: 'csv-file', text, rules })) as ReadFile;
  }

  /** Where nobody said what to do with likely duplicates, also what would be wrong if they were entered. */
  async #bothTried(
    asker: Asker,
    operationId: string,
    work: Work,
    earlier: EarlierImport,
    judge: JudgeOfMade | undefined,
  ): Promise<Tried & { readonly ifEntered: readonly RowProblem[] }> {
    const outcome = await this.#tried(asker, operationId, work, earlier, judge);
    if (outcome.held.length === 0 || work.duplicates !== undefined) return { ...outcome, ifEntered: [] };
    const entered = await this.#tried(asker, operationId, { ...work, duplicates: 'enter' }, earlier, undefined);
    const known = new Set(outcome.problems.map(placeKey));
    return { ...outcome, ifEntered: entered.problems.filter((one) => !known.has(placeKey(one))) };
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
          const outcome = await this.#run(tenant, work, earlier, { ask: false, tell: () => undefined });
          const judged = await judge?.(tenant, outcome.made);
          const asked = [...outcome.asked, ...(judged?.asked ?? [])];
          throw new NothingSaved({ ...outcome, asked, told: judged?.told });
        },
      );
    } catch (error) {
      if (error instanceof NothingSaved) return error.outcome;
      throw error;
    }
  }

  /**
   * The earlier import of this file where nothing of it is left to enter but what was skipped then and still is there.
   * @throws Problem likely-duplicates before anything is begun
   */
  async #nothingNew(
    asker: Asker,
    operationId: string,
    work: Work,
    earlier: EarlierImport,
  ): Promise<Answer | undefined> {
    return this.database.readIn(asker, operationId, async (tenant) => {
      const prepared = await work.prepare(tenant, earlier);
      const held = await prepared.heldBack(tenant);
      if (held.length === 0 || work.duplicates === 'enter' || work.problems.length > 0) return undefined;
      // The same file may have come in meanwhile; then this request gets its import.
      const now = await this.imports.earlier(tenant, work);
      if (now.newest?.id !== earlier.newest?.id) return undefined;
      if (askedOf(work, earlier) === undefined) throw likelyDuplicates(held);
      if (earlier.newest === undefined || prepared.without(held).length > 0) return undefined;
      return this.#answer(tenant, earlier.newest, work.notices);
    });
  }

  /**
   * Writes what no earlier import of the same file left standing; where it should `ask`, nothing if some of it likely
   * is there already, else the rest.
   * @throws Problem likely-duplicates
   */
  async #run(
    tenant: OperationTenant,
    work: Work,
    earlier: EarlierImport,
    { ask, tell }: { ask: boolean; tell: (rowsDone: number) => void },
  ): Promise<Ran> {
    const outcome: Outcome = { problems: [...work.problems], asked: [], made: [] };
    const audits: AuditEntry[] = [];
    // The audit's lock comes last, after every lock on lots and herds, here as everywhere.
    const inside: OperationTenant = {
      ...tenant,
      audit: (entry) => Promise.resolve(void audits.push(...[entry].flat())),
    };
    const prepared = await work.prepare(inside, earlier);
    await this.store.holdLotsAndHerds(
      tenant,
      new Set(
        prepared.pending
          .flatMap((one) => one.rows)
          .flatMap((row) => ['lot', 'to_lot', 'herd', 'to_herd'].flatMap((column) => row.cells.get(column) ?? [])),
      ),
    );
    const held = work.duplicates === 'enter' ? [] : await prepared.heldBack(inside);
    if (ask && held.length > 0 && work.problems.length === 0 && askedOf(work, earlier) === undefined)
      throw likelyDuplicates(held);
    const pending = held.length === 0 ? prepared.pending : prepared.without(held);
    let reported = 0;
    await new ImportRun(inside, outcome, audits, await this.store.savepoint(tenant)).write(pending, (rowsDone) => {
      if (rowsDone - reported < PROGRESS_EVERY_ROWS) return;
      reported = rowsDone;
      tell(rowsDone);
    });
    if (outcome.problems.length === 0) await tenant.audit(audits);
    return { ...outcome, problems: oncePerCell(outcome.problems), held, count: pending.length };
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

  async #finish(tenant: OperationTenant, begun: ImportRow, { made, held }: Ran, { readBy }: Work): Promise<ImportRow> {
    const skipped = held.reduce((sum, { rows }) => sum + rows.length, 0);
    const row = await this.store.finish(tenant, begun, { made, skipped, readBy }, this.#now());
    await tenant.audit({ action: 'import.done', subjectKind: 'import', subjectId: begun.id, after: row });
    return row;
  }

  async #end(asker: Asker, operationId: string, id: string, state: 'refused' | 'broken-off'): Promise<void> {
    await this.database.writeIn(asker, operationId, async (tenant) => {
      await this.store.end(tenant, id, state, this.#now());
      return {};
    });
  }

  async #answer(tenant: OperationTenant, row: ImportRow, notices: readonly Notice[] | null): Promise<Answer> {
    const takenBack = (await this.takenBack.of(tenant, [row.id])).get(row.id);
    const reading = (await this.mappings.some(tenant, [row.import_mapping_id])).get(row.import_mapping_id);
    return this.#answerOf(tenant, row, { takenBack, reading }, notices);
  }

  #answerOf(
    tenant: OperationTenant,
    row: ImportRow,
    { takenBack, reading }: { takenBack: ImportReversalRow | undefined; reading: ImportMappingRow | undefined },
    notices: readonly Notice[] | null,
  ): Answer {
    const silent = row.state === 'running' && new Date(row.moved_at) < new Date(this.#silentSince());
    return {
      id: row.id,
      kind: row.kind,
      fileSha256: mayKnowText(tenant, row.kind) ? row.file_sha256 : null,
      state: silent ? 'broken-off' : row.state,
      rowCount: row.row_count,
      rowsDone: row.rows_done,
      recordCount: row.record_count,
      skippedCount: row.skipped_count,
      startedAt: row.started_at,
      movedAt: row.moved_at,
      ...NO_FILE_CAUTIONS,
      notices: notices === null ? null : noticesListed(notices),
      reading: readingAnswer(reading),
      reversal: importReversalAnswer(takenBack),
      recordedBy: row.recorded_by,
    };
  }

  #now(): string {
    return this.clock.now().toISOString();
  }
}

export function sha256Of(content: string | Uint8Array): string {
  return createHash('sha256').update(content).digest('hex');
}

/** What was asked about likely duplicates; those that an earlier import of the file skipped are skipped again. */
function askedOf({ duplicates }: Work, { newest }: EarlierImport): Duplicates | undefined {
  return duplicates ?? (newest !== undefined && newest.skipped_count > 0 ? 'skip' : undefined);
}

function duplicateAnswer(held: HeldBack): AnswerOf<typeof api.checkFeedings>['duplicates'][number] {
  const { like } = held;
  return {
    rows: [...held.rows],
    likeRow: 'row' in like ? like.row : null,
    recordKind: 'record' in like ? like.record.kind : null,
    recordId: 'record' in like ? like.record.id : null,
    message: messageOf(held),
  };
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

function endedAs(error: unknown): 'refused' | 'broken-off' {
  const refusedIt =
    error instanceof NothingSaved ||
    isQuestion(error) ||
    (error instanceof Problem && error.code === 'likely-duplicates');
  return refusedIt ? 'refused' : 'broken-off';
}

/** What could not be read in a cell is refused by the rules of the API too: the reading says more. */
function oncePerCell(problems: readonly RowProblem[]): RowProblem[] {
  const seen = new Set<string>();
  return problems.filter(({ row, column, pointer, code }) => {
    const cell = `${row} ${column ?? code} ${pointer ?? ''}`;
    const again = column !== null && seen.has(cell) && pointer === undefined;
    seen.add(cell);
    return !again;
  });
}

function placeKey({ row, column, code }: RowProblem): string {
  return `${row} ${column ?? ''} ${code}`;
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

/** Nothing was made of it. */
function tooLarge(beyond: RowProblem): Problem {
  return new Problem('file-too-large', beyond.message, [asFieldProblem(beyond)]);
}

function refused(problems: readonly RowProblem[]): Problem {
  return new Problem(
    'import-refused',
    `${counted(problems.length, 'problem')} in the file; nothing was saved.`,
    listed(inOrder(problems).map(asFieldProblem)),
  );
}
