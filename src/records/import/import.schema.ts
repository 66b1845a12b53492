import { z } from 'zod';
import { pageAnswer, pageQuery } from '../../platform/http/cursor.js';
import { figure, text } from '../../platform/http/columns.js';
import { endpoint, type Table } from '../../platform/http/endpoint.js';
import { lotCautionsOut, rowCautionsOut } from '../kit/caution.schema.js';
import type { Words } from '../../platform/database/column-words.js';
import type { Act } from '../../platform/http/act.js';
import { id, instantOut, operationParams } from '../../platform/wire/common.schema.js';
import type { ImportKindCode } from './import-kind.js';
import { datesWritten, decimalsWritten, readingUsed, shapeOut } from './mappings/import-mapping.schema.js';
import { FILE_BOUNDS, LISTED } from './reading/file-bounds.data.js';
import { importReversalOut } from './taking-back/import-reversal.schema.js';
import { confirmedReason, confirmQuery } from '../../platform/wire/confirm.schema.js';
import { IMPORT_KINDS, IMPORT_STATES } from '../../platform/wire/words.data.js';

const tag = 'Import';
const OF_TEXT = "SHA-256 of the file's text in UTF-8, without a byte order mark";
const sha256 = z
  .string()
  .regex(/^[0-9a-f]{64}$/)
  .describe(OF_TEXT);
const kinds = z.enum(['icar-weights', ...IMPORT_KINDS]).describe('What the file holds');
const words = (count: number): string => count.toLocaleString('en-US');
const { problems: problemsListed, notices: noticesListed } = LISTED;
const AS_MANY = `and ${words(LISTED.listLetters)} characters`;
const file = z
  .string()
  .describe(
    'A CSV file: comma, semicolon or tab, any line end, fields in double quotes where needed, in UTF-8, UTF-16 with ' +
      `a byte order mark or Windows-1252. At most ${words(FILE_BOUNDS.rows)} rows and ${FILE_BOUNDS.columns} ` +
      `columns, with names of at most ${FILE_BOUNDS.headerLetters} characters, and cells of at most ` +
      `${words(FILE_BOUNDS.cellLetters)}.`,
  );

const notice = z
  .object({
    row: z.number().int().describe('Row as a spreadsheet counts; null where no single one is meant').nullable(),
    column: z.string().describe('Text of the header; null where no single column is meant').nullable(),
    code: z.string().describe('What it is about, by its code'),
    message: z.string().describe('What was left out, or how something was read, in a sentence'),
  })
  .meta({ id: 'ImportNotice', description: 'What was left out of a file, or how it was read' });

export const importOut = z
  .object({
    id,
    kind: kinds,
    fileSha256: sha256.describe(`${OF_TEXT}; null for a file with prices where you see none`).nullable(),
    state: z.enum(IMPORT_STATES).describe('State of the import; only one that is done has saved anything'),
    rowCount: z.number().int().describe('Rows of the file'),
    rowsDone: z.number().int().describe('Rows gone through so far'),
    recordCount: z
      .number()
      .int()
      .describe('Records made; none for a row whose record from an earlier import of the file still stands'),
    skippedCount: z
      .number()
      .int()
      .describe('Rows that were left out with duplicates=skip, as they look like what is there already'),
    startedAt: instantOut,
    movedAt: instantOut.describe('When it last reported progress'),
    lotCautions: lotCautionsOut.describe(
      'Cautions now in force for the lots of a file of lab tests, looks or tickets, each as if fed alone; null in a ' +
        'list and for other files',
    ),
    ...rowCautionsOut,
    notices: z
      .array(notice)
      .describe('What was left out of the file, and how it was read; null when the import is read later')
      .nullable(),
    reading: readingUsed
      .describe('The saved reading by which the file was read; null if there was none for its headers')
      .nullable(),
    reversal: importReversalOut.describe('That it was taken back as a whole; null if it was not').nullable(),
    recordedBy: id,
  })
  .meta({ id: 'DataImport', description: 'A file of records that was taken in whole, or is being taken in' });

const problem = z.object({
  row: z.number().int().describe('Row as a spreadsheet counts; 1 is the header'),
  column: z.string().describe('Name of the column; null where the whole row is meant').nullable(),
  code: z.string().describe('What is wrong, by its code'),
  given: z.string().describe('What is there; null where nothing is').nullable(),
  allowed: z.string().describe('What is allowed there'),
  message: z.string().describe('What is to be known, in a sentence'),
});

const understoodColumn = z.object({
  header: z.string().describe('Text of the header'),
  column: z
    .string()
    .describe('Column that it means, or a group of columns whose unit each cell carries; null if none')
    .nullable(),
  knownBy: z
    .enum(['name', 'words', 'saved', 'nothing'])
    .describe('By its name; by other words for it; as it was saved for files of this shape; not at all'),
  ignored: z.boolean().describe('Whether its cells are left out'),
});
const understoodRow = z.object({
  row: z.number().int().describe('Row as a spreadsheet counts'),
  cells: z
    .array(
      z.object({
        column: z.string().describe('Name of the column'),
        header: z.string().describe('Text of the header that the cell stands under'),
        typed: z.string().describe('The cell as it was typed'),
        understood: z.string().describe('What it would be booked as'),
        unit: z.string().describe('Unit of the figure; null for other cells').nullable(),
        id: id
          .describe('Id of the herd, lot, ranch or place that is named; null for other cells, and new names')
          .nullable(),
      }),
    )
    .describe('Its filled cells'),
});

const duplicate = z.object({
  rows: z.array(z.number().int()).describe('Rows of the file that make the record'),
  likeRow: z.number().int().describe('Earlier row of the file that it looks like; null if a record').nullable(),
  recordKind: z.string().describe('Kind of the record that it looks like; null if a row of the file').nullable(),
  recordId: id.describe('Id of the record that it looks like; null if a row of the file').nullable(),
  message: z.string().describe('What it looks like, in a sentence'),
});

const fileQuery = z.strictObject({
  duplicates: z
    .enum(['enter', 'skip'])
    .optional()
    .describe(
      'What to do with records that look like one that is there already, or like an earlier row of the file: of the ' +
        'same day, herd or lot, and weight. enter: they are entered too; skip: only the others. Left out, nothing ' +
        'is saved where there are any',
    ),
  dates: datesWritten.optional(),
  decimals: decimalsWritten.optional(),
});
const takeQuery = fileQuery.extend(confirmQuery);

const asked = confirmedReason.omit({ pointer: true }).extend({
  row: z.number().int().describe('Row as a spreadsheet counts; 1 is the header'),
  column: z.string().describe('Name of the column; null where the whole row is meant').nullable(),
});

const checkOut = z
  .object({
    kind: kinds,
    fileSha256: sha256,
    separator: z
      .enum(['comma', 'semicolon', 'tab'])
      .describe('What separates the cells; null for a workbook')
      .nullable(),
    shape: shapeOut.nullable(),
    reading: readingUsed
      .describe('The saved reading by which the file is read; null if there is none for its headers')
      .nullable(),
    columns: z.array(understoodColumn).describe('What the headers are taken for, from left to right'),
    rows: z
      .array(understoodRow)
      .describe(
        `The first ${LISTED.rows} rows (at most ${words(LISTED.listLetters)} characters), as typed and as ` +
          `understood; texts are cut after ${LISTED.textLetters} characters`,
      ),
    notices: z
      .array(notice)
      .describe(`What is left out, and how days and figures are read; at most ${words(noticesListed)} of them`),
    rowCount: z.number().int().describe('Rows of the file'),
    recordCount: z
      .number()
      .int()
      .describe('Records that would be made; none for a row whose record from an earlier import of the file stands'),
    alreadyImported: id
      .describe(
        'Id of the import of this same file; null if there was none, or some of its records were reversed. Where the ' +
          'file has prices and you see none, only your own imports count',
      )
      .nullable(),
    problemCount: z.number().int().describe('How many problems the file has in all; the list may be cut'),
    duplicateCount: z
      .number()
      .int()
      .describe('Records that look like one that is there already; they are tried only with duplicates=enter'),
    duplicates: z.array(duplicate).describe(`Which they are, at most ${words(problemsListed)} ${AS_MANY} of them`),
    problemsIfEntered: z
      .array(problem)
      .describe(
        'Where the request does not say what to do with them: what more would be refused with duplicates=enter, ' +
          `by row and column, at most ${words(problemsListed)} ${AS_MANY} of them`,
      ),
    problems: z
      .array(problem)
      .describe(`Every problem by row and column, at most ${words(problemsListed)} ${AS_MANY} of them`),
    asked: z
      .array(asked)
      .describe(
        `What is unlikely, by row and column, at most ${words(problemsListed)} ${AS_MANY}: the import takes it with ` +
          'the codes in `confirm`, once for all rows',
      ),
    lotCautions: lotCautionsOut.describe(
      'What the lots of a file of lab tests, looks or tickets would be under with it, each as if fed alone; null for ' +
        'other files',
    ),
    ...rowCautionsOut,
  })
  .meta({ id: 'ImportCheck', description: 'What would come of a file; nothing is saved' });

function problemTable(answer: z.output<typeof checkOut>): Table {
  return {
    columns: [
      figure('row'),
      text('column'),
      text('code'),
      text('given'),
      text('allowed'),
      text('message'),
      text('severity'),
    ],
    rows: [
      ...answer.problems.map((one) => [
        ...[String(one.row), one.column, one.code, one.given, one.allowed, one.message],
        'problem',
      ]),
      ...answer.problemsIfEntered.map((one) => [
        ...[String(one.row), one.column, one.code, one.given, one.allowed, one.message],
        'problem-if-entered',
      ]),
      ...answer.duplicates.map((one) => [
        ...[String(one.rows[0] ?? ''), null, 'likely-duplicate', one.recordId ?? `row ${one.likeRow ?? ''}`],
        ...['duplicates=skip or duplicates=enter', one.message, 'question'],
      ]),
      ...answer.asked.map((one) => [
        ...[String(one.row), one.column, one.code, one.given, one.usual, one.message],
        'asked',
      ]),
      ...(answer.lotCautions ?? []).map((one) => [null, null, one.code, null, one.advice, one.message, one.severity]),
      ...(answer.rowCautions ?? []).flatMap(({ row, cautions }) =>
        cautions.map((one) => [String(row), null, one.code, null, one.advice, one.message, one.severity]),
      ),
    ],
  };
}

/** What a file of each kind asks of whoever imports it or takes it back: as its records do one by one. */
export const IMPORT_ACCESS = {
  'icar-weights': 'daily',
  'hay-tickets': 'records',
  'lab-tests': 'records',
  feedings: 'daily',
  'animal-weights': 'daily',
  'group-weights': 'daily',
  'head-changes': 'records',
  'herd-events': 'daily',
  'hay-observations': 'daily',
  harvests: 'records',
  'hay-sales': 'records',
  'hay-transfers': 'records',
  'stock-counts': 'records',
  'late-costs': 'records',
  'yardage-rates': 'records',
} as const satisfies Record<Words['ImportKind'], Act>;
const WORDS: Readonly<Record<ImportKindCode, string>> = {
  'hay-tickets': 'hay tickets',
  'lab-tests': 'lab tests',
  feedings: 'feedings',
  'animal-weights': 'weights animal by animal',
  'group-weights': 'weights of groups',
  'head-changes': 'head moves',
  'herd-events': 'herd events',
  'hay-observations': 'looks at the hay',
  harvests: 'own hay',
  'hay-sales': 'hay sold',
  'hay-transfers': 'hay moved',
  'stock-counts': 'counts of hay',
  'late-costs': 'late bills',
  'yardage-rates': 'yardage rates',
};
const NAMES: Readonly<Record<ImportKindCode, string>> = {
  'hay-tickets': 'HayTickets',
  'lab-tests': 'LabTests',
  feedings: 'Feedings',
  'animal-weights': 'AnimalWeights',
  'group-weights': 'GroupWeights',
  'head-changes': 'HeadChanges',
  'herd-events': 'HerdEvents',
  'hay-observations': 'HayObservations',
  harvests: 'Harvests',
  'hay-sales': 'HaySales',
  'hay-transfers': 'HayTransfers',
  'stock-counts': 'StockCounts',
  'late-costs': 'LateCosts',
  'yardage-rates': 'YardageRates',
};

const checkOf = (kind: ImportKindCode) =>
  endpoint({
    method: 'POST',
    transaction: 'own',
    path: `/v1/operations/:operationId/imports/${kind}/check`,
    operationId: `checkImportOf${NAMES[kind]}`,
    tag,
    access: IMPORT_ACCESS[kind],
    summary: `Try a file of ${WORDS[kind]}`,
    description:
      'Goes through the whole file as an import would, by the very rules of the API and against what is ' +
      'recorded, and lists every problem by row and column' +
      (kind === 'feedings' ? ', and the cautions that each feeding would be answered with' : '') +
      '. Nothing is saved. The columns are listed at /import-columns.',
    params: operationParams,
    query: fileQuery,
    body: file,
    bodyType: 'text/csv',
    inThread: 'long-file',
    workbookToo: true,
    answer: checkOut,
    table: problemTable,
    problems: ['file-too-large'],
  });
const takeOf = (kind: ImportKindCode) =>
  endpoint({
    method: 'POST',
    transaction: 'own',
    path: `/v1/operations/:operationId/imports/${kind}`,
    operationId: `import${NAMES[kind]}`,
    tag,
    access: IMPORT_ACCESS[kind],
    summary: `Take in a file of ${WORDS[kind]}`,
    description:
      'All of it or nothing: with one problem anywhere nothing is saved, and `errors` names every one by row ' +
      'and column. The same file again is answered with the import of it; rows whose records were reversed since ' +
      'are entered again, and only they. (Of a file with prices, whoever sees none is answered about their own ' +
      'imports only.) Where records look like what is there already, nothing is saved until the request says what to ' +
      'do with `duplicates`. How far a running import is can ' +
      'be read at /imports.',
    params: operationParams,
    query: takeQuery,
    body: file,
    bodyType: 'text/csv',
    inThread: 'long-file',
    workbookToo: true,
    answer: importOut,
    creates: (made, { operationId }) => `/v1/operations/${operationId}/imports/${made.id}`,
    problems: ['file-too-large', 'import-refused', 'likely-duplicates'],
  });

export const checkHayTickets = checkOf('hay-tickets');
export const importHayTickets = takeOf('hay-tickets');
export const checkLabTests = checkOf('lab-tests');
export const importLabTests = takeOf('lab-tests');
export const checkFeedings = checkOf('feedings');
export const importFeedings = takeOf('feedings');
export const checkAnimalWeights = checkOf('animal-weights');
export const importAnimalWeights = takeOf('animal-weights');
export const checkGroupWeights = checkOf('group-weights');
export const importGroupWeights = takeOf('group-weights');
export const checkHeadChanges = checkOf('head-changes');
export const importHeadChanges = takeOf('head-changes');
export const checkHerdEvents = checkOf('herd-events');
export const importHerdEvents = takeOf('herd-events');
export const checkHayObservations = checkOf('hay-observations');
export const importHayObservations = takeOf('hay-observations');
export const checkHarvests = checkOf('harvests');
export const importHarvests = takeOf('harvests');
export const checkHaySales = checkOf('hay-sales');
export const importHaySales = takeOf('hay-sales');
export const checkHayTransfers = checkOf('hay-transfers');
export const importHayTransfers = takeOf('hay-transfers');
export const checkStockCounts = checkOf('stock-counts');
export const importStockCounts = takeOf('stock-counts');
export const checkLateCosts = checkOf('late-costs');
export const importLateCosts = takeOf('late-costs');
export const checkYardageRates = checkOf('yardage-rates');
export const importYardageRates = takeOf('yardage-rates');

export const listImports = endpoint({
  method: 'GET',
  path: '/v1/operations/:operationId/imports',
  operationId: 'listImports',
  tag,
  access: 'read',
  summary: 'Imports, newest first, with how far the running ones are',
  params: operationParams,
  query: z.strictObject({ ...pageQuery, state: importOut.shape.state.optional().describe('Only those in this state') }),
  answer: pageAnswer(importOut),
  paged: true,
});
const params = operationParams.extend({ importId: id });
export const getImport = endpoint({
  method: 'GET',
  path: '/v1/operations/:operationId/imports/:importId',
  operationId: 'getImport',
  tag,
  access: 'read',
  summary: 'One import',
  params,
  answer: importOut,
});

const made = z
  .object({
    row: z.number().int().describe('First row of the record in the file'),
    recordKind: z
      .string()
      .describe('What the rows became, such as hay-purchase, lab-test, feeding, weigh-in or head-change'),
    recordId: id,
  })
  .meta({ id: 'ImportedRecord', description: 'A record and the row it came from' });
export const listImportedRecords = endpoint({
  method: 'GET',
  path: '/v1/operations/:operationId/imports/:importId/records',
  operationId: 'listImportedRecords',
  tag,
  access: 'read',
  summary: 'What an import wrote, row by row',
  params,
  query: z.strictObject(pageQuery),
  answer: pageAnswer(made),
  paged: true,
});

const column = z.object({
  name: z.string().describe('Name of the column, exactly as in the header'),
  need: z
    .enum(['needed', 'one-of-these', 'if-known'])
    .describe('needed: must be there; one-of-these: one of the columns of its group must be there'),
  group: z.string().describe('Group of columns that give one thing in several units; null if it is in none').nullable(),
  what: z.string().describe('What the column holds'),
  allowed: z.string().describe('What is allowed in the column'),
});
const columnsOut = z
  .object({
    kinds: z.array(
      z.object({
        kind: z.enum(IMPORT_KINDS).describe('Last part of the address to send the file to'),
        title: z.string().describe('Title, the same for every one of this kind'),
        description: z.string().describe('How rows make records'),
        columns: z.array(column),
        sample: z.string().describe('Address of a sample file'),
      }),
    ),
  })
  .meta({ id: 'ImportColumns', description: 'The columns of each kind of file' });
export const getImportColumns = endpoint({
  method: 'GET',
  path: '/v1/operations/:operationId/import-columns',
  operationId: 'getImportColumns',
  tag,
  access: 'read',
  summary: 'The columns of each kind of file',
  description: "Names carry the unit; prices carry the operation's currency. As a table with ?format=csv.",
  params: operationParams,
  answer: columnsOut,
  table: (answer) => ({
    columns: [text('kind'), text('column'), text('need'), text('what'), text('allowed')],
    rows: answer.kinds.flatMap((one) =>
      one.columns.map((each) => [one.kind, each.name, each.need, each.what, each.allowed]),
    ),
  }),
});
const sampleOut = z
  .object({
    kind: z.enum(IMPORT_KINDS).describe('Kind of file: which records its rows hold'),
    columns: z.array(z.string()).describe('The header of the file, column by column'),
    rows: z
      .array(z.array(z.string().nullable()))
      .describe('The rows under the header, cell by cell; null where a cell is empty'),
  })
  .meta({ id: 'ImportSample', description: 'A small file of one kind' });
export const getImportSample = endpoint({
  method: 'GET',
  path: '/v1/operations/:operationId/import-columns/:kind/sample',
  operationId: 'getImportSample',
  tag,
  access: 'read',
  summary: 'A sample file',
  description: 'With ?format=csv the file itself, ready to be filled.',
  params: operationParams.extend({ kind: z.enum(IMPORT_KINDS).describe('What the file holds') }),
  answer: sampleOut,
  table: ({ columns, rows }) => ({ columns: columns.map(text), rows }),
});
