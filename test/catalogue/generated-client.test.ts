/*
 * A client is generated from the API description by general tools (openapi-typescript, openapi-fetch), and a small
 * program written against it is type-checked: what a user of the API does on the first day.
 */
import { execFileSync } from 'node:child_process';
import { readFileSync } from 'node:fs';
import path from 'node:path';
import ts from 'typescript';
import { API_VERSION } from '../../src/application.js';
import { ENDPOINTS, formsOf, statusOf } from '../../src/platform/http/endpoint.js';
import { buildOpenApi } from '../../src/platform/http/openapi.js';
import { SHARED_SHAPES } from '../../src/platform/http/shared-shapes.data.js';
import { type OpenApiDocument, responseOf } from '../support/conformance.js';

const HERE = __dirname;
const TYPES = path.join(HERE, 'generated-client.generated.d.ts');
const PROGRAM = path.join(HERE, 'generated-client.program.ts');
const PROGRAM_TEXT = readFileSync(path.join(HERE, 'generated-client.program.txt'), 'utf8');
/** Before bodies, answers and problems were components it had 55,569 lines. */
const LINES_MAX = 40_000;

const document = JSON.parse(JSON.stringify(buildOpenApi(ENDPOINTS, API_VERSION))) as OpenApiDocument;
let types = '';
beforeAll(() => {
  // The generator is an ES module, which jest cannot load here; it runs as its own program, as it does for a user.
  const generator = path.join(path.dirname(require.resolve('openapi-typescript/package.json')), 'bin', 'cli.js');
  const settings = { input: JSON.stringify(document), encoding: 'utf8', maxBuffer: 1e9 } as const;
  // What has a default may be left out of a request; the generator would ask for it.
  types = execFileSync(process.execPath, [generator, '--default-non-nullable=false'], settings);
});

/** Parsed once for all programs of this file: the generated types and the standard library are the most of each. */
const parsed = new Map<string, ts.SourceFile>();

/** What the compiler says about these files, the generated types being one of them though never written to disk. */
function complaints(files: Record<string, string>): string[] {
  const options: ts.CompilerOptions = {
    strict: true,
    noEmit: true,
    skipDefaultLibCheck: true,
    exactOptionalPropertyTypes: true,
    noUncheckedIndexedAccess: true,
    module: ts.ModuleKind.Node16,
    moduleResolution: ts.ModuleResolutionKind.Node16,
    target: ts.ScriptTarget.ES2022,
    lib: ['lib.es2022.d.ts', 'lib.dom.d.ts', 'lib.dom.iterable.d.ts'],
    types: [],
  };
  const host = ts.createCompilerHost(options);
  const disk = ts.createCompilerHost(options);
  host.readFile = (name) => files[name] ?? disk.readFile(name);
  host.fileExists = (name) => name in files || disk.fileExists(name);
  host.getSourceFile = (name, target, ...rest) => {
    const text = files[name];
    const before = parsed.get(name);
    if (before !== undefined && (text === undefined || before.text === text)) return before;
    const source =
      text === undefined ? disk.getSourceFile(name, target, ...rest) : ts.createSourceFile(name, text, target, true);
    if (source !== undefined) parsed.set(name, source);
    return source;
  };
  const program = ts.createProgram(Object.keys(files), options, host);
  return ts.getPreEmitDiagnostics(program).map((one) => {
    const at = one.file?.getLineAndCharacterOfPosition(one.start ?? 0);
    const where = `${path.basename(one.file?.fileName ?? '')}:${(at?.line ?? 0) + 1}`;
    return `${where} ${ts.flattenDiagnosticMessageText(one.messageText, ' ')}`;
  });
}

/** A call of each address whose answer comes in several forms, which reads a field of the JSON one. */
function readingEveryReport(): string {
  const calls = ENDPOINTS.filter((one) => one.answer !== undefined && formsOf(one).length > 1).map((one, index) => {
    const at = one.path.replaceAll(/:([A-Za-z]+)/g, '{$1}');
    const responses = `paths['${at}']['${one.method.toLowerCase()}']['responses']`;
    return [
      // What the client hands out is the JSON answer, and not that or a string.
      `declare const got${index}: SuccessResponse<${responses}>;`,
      `export const json${index}: ${responses}[${statusOf(one)}]['content']['application/json'] = got${index};`,
    ].join('\n');
  });
  return [
    "import type { SuccessResponse } from 'openapi-typescript-helpers';",
    `import type { paths } from './${path.basename(TYPES).replace('.d.ts', '.js')}';`,
    ...calls,
  ].join('\n');
}

describe('a client generated from the description', () => {
  it('is small', () => {
    const lines = types.split('\n').length;
    process.stdout.write(`generated client: ${lines} lines\n`);
    expect(lines).toBeLessThan(LINES_MAX);
  });

  it('compiles, and so does a program that reads reports through it', () => {
    expect(complaints({ [TYPES]: types, [PROGRAM]: PROGRAM_TEXT })).toEqual([]);
  });

  it('has one type for an answer that comes in several forms', () => {
    const everyReport = path.join(HERE, 'generated-client.reports.ts');
    const source = readingEveryReport();
    expect(source.match(/^export const json/gm)?.length).toBeGreaterThan(20);
    expect(complaints({ [TYPES]: types, [everyReport]: source })).toEqual([]);
  });

  it('is refused by the compiler where the program reads what is not there', () => {
    const wrong = PROGRAM_TEXT.replace('lot.value.amount', 'lot.value.dollars');
    expect(complaints({ [TYPES]: types, [PROGRAM]: wrong })).toEqual([
      expect.stringMatching(/^generated-client\.program\.ts:\d+ Property 'dollars' does not exist/),
    ]);
  });
});

describe('the components of the description', () => {
  const names = Object.keys(document.components.schemas);

  it('are called differently, whatever the case of their letters', () => {
    expect(new Set(names.map((name) => name.toLowerCase())).size).toBe(names.length);
  });

  it('have names made of words, and none that a generator made up', () => {
    expect(names.filter((name) => !/^([A-Z][a-z0-9]*)+$/.test(name) || /Output$|^Schema\d/.test(name))).toEqual([]);
  });

  it('that have a name because several places share them are shared', () => {
    const text = JSON.stringify(document);
    const uses = (name: string): number => text.split(`"#/components/schemas/${name}"`).length - 1;
    expect(SHARED_SHAPES.filter(({ name }) => !(name in document.components.schemas) || uses(name) < 2)).toEqual([]);
  });

  it('are every body and every answer of JSON', () => {
    const inline = Object.entries(document.paths).flatMap(([at, methods]) =>
      Object.entries(methods).flatMap(([method, operation]) => {
        const answers = Object.keys(operation.responses).map(
          (status) => responseOf(document, operation, '', '', status).response?.content,
        );
        return [operation.requestBody?.content, ...answers]
          .map((content) => content?.['application/json']?.schema)
          .filter((schema) => schema !== undefined && !('$ref' in schema))
          .map(() => `${method} ${at}`);
      }),
    );
    expect(inline).toEqual([]);
  });
});
