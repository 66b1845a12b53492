import { z } from 'zod';
import { pageAnswer, pageQuery } from '../../platform/http/cursor.js';
import { endpoint, type Table } from '../../platform/http/endpoint.js';
import { lotCautionsOut, rowCautionsOut } from '../kit/caution.schema.js';
import type { Act } from '../../platform/http/act.js';
import { id, instantOut, operationParams } from '../../platform/wire/common.schema.js';
import type { ImportKindCode } from './import-kind.js';
import { confirmedReason, confirmQuery } from '../../platform/wire/confirm.schema.js';
import { IMPORT_KINDS, IMPORT_STATES } from '../../platform/wire/words.data.js';

const tag = 'Import';
const OF_TEXT = "SHA-256 of the file's text in UTF-8, without a byte order mark";
const sha256 = z
  .string()
  .regex(/^[0-9a-f]{64}$/)
  .describe(OF_TEXT);
const kinds = z.enum(['icar-weights', ...IMPORT_KINDS]).describe('What the file holds');
const file = z
  .string()
  .describe(
    'A CSV file in UTF-8: comma, semicolon or tab, any line end, fields in double quotes where needed. At most ' +
      '20,000 rows.',
  );

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
    startedAt: instantOut,
    movedAt: instantOut.describe('When it last reported progress'),
    lotCautions: lotCautionsOut.describe(
      'Cautions now in force for the lots of a file of lab tests, looks or tickets, each as if fed alone; null in a ' +
        'list and for other files',
    ),
    ...rowCautionsOut,
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

const asked = confirmedReason.omit({ pointer: true }).extend({
  row: z.number().int().describe('Row as a spreadsheet counts; 1 is the header'),
  column: z.string().describe('Name of the column; null where the whole row is meant').nullable(),
});

const checkOut = z
  .object({
    kind: kinds,
    fileSha256: sha256,
    separator: z.enum(['comma', 'semicolon', 'tab']).describe('What separates the cells'),
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
    problems: z.array(problem).describe('Every problem by row and column, at most 10,000 of them'),
    asked: z
      .array(asked)
      .describe(
        'What is unlikely, by row and column, at most 10,000: the import takes it with the codes in `confirm`, once ' +
          'for all rows',
      ),
    ...rowCautionsOut,
  })
  .meta({ id: 'ImportCheck', description: 'What would come of a file; nothing is saved' });

function problemTable(answer: z.output<typeof checkOut>): Table {
  return {
    columns: ['row', 'column', 'code', 'given', 'allowed', 'message', 'severity'],
    rows: [
      ...answer.problems.map((one) => [
        ...[String(one.row), one.column, one.code, one.given, one.allowed, one.message],
        'problem',
      ]),
      ...answer.asked.map((one) => [
        ...[String(one.row), one.column, one.code, one.given, one.usual, one.message],
        'asked',
      ]),
      ...(answer.rowCautions ?? []).flatMap(({ row, cautions }) =>
        cautions.map((one) => [String(row), null, one.code, null, one.advice, one.message, one.severity]),
      ),
    ],
  };
}

const ACCESS = {
  'hay-tickets': 'records',
  'lab-tests': 'records',
  feedings: 'daily',
  'animal-weights': 'daily',
  'group-weights': 'daily',
  'head-changes': 'records',
  'herd-events': 'daily',
  'hay-observations': 'daily',
} as const satisfies Record<ImportKindCode, Act>;
const WORDS: Readonly<Record<ImportKindCode, string>> = {
  'hay-tickets': 'hay tickets',
  'lab-tests': 'lab tests',
  feedings: 'feedings',
  'animal-weights': 'weights animal by animal',
  'group-weights': 'weights of groups',
  'head-changes': 'head moves',
  'herd-events': 'herd events',
  'hay-observations': 'looks at the hay',
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
};

const checkOf = (kind: ImportKindCode) =>
  endpoint({
    method: 'POST',
    transaction: 'own',
    path: `/v1/operations/:operationId/imports/${kind}/check`,
    operationId: `checkImportOf${NAMES[kind]}`,
    tag,
    access: ACCESS[kind],
    summary: `Try a file of ${WORDS[kind]}`,
    description:
      'Goes through the whole file as an import would, by the very rules of the API and against what is ' +
      'recorded, and lists every problem by row and column' +
      (kind === 'feedings' ? ', and the cautions that each feeding would be answered with' : '') +
      '. Nothing is saved. The columns are listed at /import-columns.',
    params: operationParams,
    body: file,
    bodyType: 'text/csv',
    answer: checkOut,
    table: problemTable,
  });
const takeOf = (kind: ImportKindCode) =>
  endpoint({
    method: 'POST',
    transaction: 'own',
    path: `/v1/operations/:operationId/imports/${kind}`,
    operationId: `import${NAMES[kind]}`,
    tag,
    access: ACCESS[kind],
    summary: `Take in a file of ${WORDS[kind]}`,
    query: z.strictObject(confirmQuery),
    description:
      'All of it or nothing: with one problem anywhere nothing is saved, and `errors` names every one by row ' +
      'and column. The same file again is answered with the import of it; rows whose records were reversed since ' +
      'are entered again, and only they. (Of a file with prices, whoever sees none is answered about their own ' +
      'imports only.) How far a running import is can ' +
      'be read at /imports.',
    params: operationParams,
    body: file,
    bodyType: 'text/csv',
    answer: importOut,
    creates: (made, { operationId }) => `/v1/operations/${operationId}/imports/${made.id}`,
    problems: ['import-refused'],
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
    recordKind: z.string().describe('What the rows became: hay-purchase, lab-test, feeding, weigh-in or head-change'),
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
    columns: ['kind', 'column', 'need', 'what', 'allowed'],
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
  table: ({ columns, rows }) => ({ columns, rows }),
});
