/*
 * Rules about the API description as a whole (OpenAPI 3.1, JSON Schema 2020-12), and the committed copy of it: what
 * changes for a client is read in a review as a difference of test/snapshots/openapi.json (written anew with
 * UPDATE_SNAPSHOTS=1).
 */
import Ajv2020 from 'ajv/dist/2020.js';
import addFormats from 'ajv-formats';
import { EXAMPLES_OF_BODIES } from '../../src/platform/http/examples-of-bodies.data.js';
import { EXAMPLES_OF_SHAPES } from '../../src/platform/http/examples.data.js';
import { API_VERSION } from '../../src/application.js';
import { ENDPOINTS } from '../../src/platform/http/endpoint.js';
import { buildOpenApi } from '../../src/platform/http/openapi.js';
import { PROBLEM_CODES, PROBLEMS } from '../../src/platform/http/problem-catalogue.js';
import { type OpenApiDocument, type OperationObject, responseOf } from '../support/conformance.js';
import { snapshot } from '../support/snapshot.js';

type Schema = Record<string, unknown>;
/**
 * Answers 201 without an address: what was made is the sign-in or secret in the answer itself, by a token that works
 * once.
 */
const MAKES_NO_ADDRESS = ['acceptInvitation', 'joinByInvitation', 'issueRecoveryToken'];
/** Ends something whatever version it has: ending twice is ending. */
const ENDS = ['endSession', 'cancelDeletion', 'endImportMapping'];
/** Asked by POST for the length of the question; saves nothing, so that it may be asked as often as one likes. */
const SAVES_NOTHING = ['evaluateUnsavedRation', 'judgeWhatIf', 'solveLeastCostRation', 'tryHayBudget'];
/** Done once by their nature: what they end is not there a second time. */
const DONE_ONCE_BY_NATURE = ['confirmDeletion'];
/** What is entered and has no example of a whole body: made by a browser, of a file, or of parts of its own. */
const NO_EXAMPLE = ['createImportMapping', 'createPasskey', 'createTrial'];
/** A description of so few letters leaves the reader to guess: 977 of 10,519 were no longer. */
const SHORT = 12;
/** Keep what somebody else wrote, in the units it was written in: a laboratory's report, a plan as it was tried. */
const TOLD_AS_WRITTEN = /^(create|get|list)(LabTest|HayBudgetPlan)s?$/;
const document = JSON.parse(JSON.stringify(buildOpenApi(ENDPOINTS, API_VERSION))) as OpenApiDocument;
const operations: [string, OperationObject][] = Object.entries(document.paths).flatMap(([path, methods]) =>
  Object.entries(methods).map(([method, operation]): [string, OperationObject] => [
    `${method.toUpperCase()} ${path}`,
    operation,
  ]),
);

/** Every schema there is, with where it stands. */
function* schemas(at: string, value: unknown): Generator<[string, Schema]> {
  if (typeof value !== 'object' || value === null) return;
  if (Array.isArray(value)) {
    for (const [index, one] of value.entries()) yield* schemas(`${at}/${index}`, one);
    return;
  }
  const object = value as Schema;
  if (
    'type' in object ||
    '$ref' in object ||
    'anyOf' in object ||
    'oneOf' in object ||
    'allOf' in object ||
    'enum' in object ||
    'const' in object
  )
    yield [at, object];
  for (const [key, inner] of Object.entries(object)) yield* schemas(`${at}/${key}`, inner);
}
const resolve = (schema: Schema): Schema => {
  if (typeof schema['$ref'] !== 'string') return schema;
  const name = schema['$ref'].replace('#/components/schemas/', '');
  return (document.components.schemas[name] as Schema | undefined) ?? {};
};
/** A description of its own, or of what it refers to, or of what it is beside null. */
function isDescribed(schema: Schema): boolean {
  // One fixed value says itself what it is.
  if ('const' in schema) return true;
  const own = schema['description'] ?? resolve(schema)['description'];
  if (typeof own === 'string' && own.trim() !== '') return true;
  const parts = (schema['anyOf'] ?? schema['oneOf'] ?? schema['allOf']) as Schema[] | undefined;
  const real = parts?.filter((part) => part['type'] !== 'null');
  if (real !== undefined && real.length > 0) return real.every(isDescribed);
  if (schema['type'] === 'array') return isDescribed((schema['items'] ?? {}) as Schema);
  // An object in place is described by its parts.
  const properties = Object.values((schema['properties'] ?? {}) as Record<string, Schema>);
  return properties.length > 0 && properties.every(isDescribed);
}

describe('the description', () => {
  it('is made of the endpoints that the server serves, each once', () => {
    expect(document.openapi).toMatch(/^3\.1\./);
    expect(operations.length).toBe(ENDPOINTS.length);
    expect(operations.length).toBeGreaterThan(40);
    expect(new Set(operations.map(([, operation]) => operation.operationId)).size).toBe(operations.length);
  });

  it('is the committed one', () => {
    const sorted = (_key: string, value: unknown): unknown =>
      typeof value === 'object' && value !== null && !Array.isArray(value)
        ? Object.fromEntries(Object.entries(value).sort(([a], [b]) => (a < b ? -1 : 1)))
        : value;
    snapshot('openapi.json', `${JSON.stringify(document, sorted, 1)}\n`);
  });

  it('puts every address of data under a version', () => {
    for (const path of Object.keys(document.paths)) expect(path).toMatch(/^\/(v1\/|health\/)/);
  });

  it('holds only references that lead somewhere, and schemas that are valid JSON Schema 2020-12', () => {
    const text = JSON.stringify(document);
    const named = new Set([...text.matchAll(/"#\/components\/schemas\/([^"]+)"/g)].map(([, name]) => name ?? ''));
    for (const name of named) expect(document.components.schemas).toHaveProperty([name]);
    // Each schema is compiled once and never run: polishing its code would only take time.
    const ajv = new Ajv2020({ strict: false, inlineRefs: false, code: { optimize: false } });
    addFormats(ajv);
    ajv.addSchema(document, 'https://description.invalid/openapi.json');
    for (const name of Object.keys(document.components.schemas)) {
      const { valid, errors } = {
        valid: ajv.validateSchema(document.components.schemas[name] as Schema),
        errors: ajv.errors,
      };
      expect({ name, valid, errors: valid === true ? null : errors }).toEqual({ name, valid: true, errors: null });
      expect(() =>
        ajv.compile({ $ref: `https://description.invalid/openapi.json#/components/schemas/${name}` }),
      ).not.toThrow();
    }
  });

  it('says null as a type, never as an array or the old keyword', () => {
    for (const [at, schema] of schemas('#', document)) {
      if ('nullable' in schema && typeof schema['nullable'] === 'boolean')
        throw new Error(`${at} uses nullable, which OpenAPI 3.1 does not know`);
      if (schema['type'] === 'array' && !('items' in schema || 'prefixItems' in schema))
        throw new Error(`${at} is an array of nothing in particular`);
      if (Array.isArray(schema['type']))
        expect({ at, arrays: (schema['type'] as string[]).includes('array') }).toEqual({ at, arrays: false });
    }
  });

  it('describes every schema that has a name', () => {
    expect(
      Object.entries(document.components.schemas)
        .filter(([, schema]) => !isDescribed(schema as Schema))
        .map(([name]) => name),
    ).toEqual([]);
  });

  it('describes every property of every schema', () => {
    const silent = [...schemas('#', document)].flatMap(([at, schema]) =>
      Object.entries((schema['properties'] ?? {}) as Record<string, Schema>)
        .filter(([, property]) => !isDescribed(property))
        .map(([name]) => `${at}/${name}`),
    );
    expect(silent).toEqual([]);
  });

  it('says in every description what a reader needs, which a word or two cannot', () => {
    const idle: string[] = [];
    const look = (value: unknown, at: string[]): void => {
      if (typeof value !== 'object' || value === null) return;
      const said = (value as Schema)['description'];
      // Problems are described by their titles, which are fixed words.
      if (typeof said === 'string' && !at.includes('responses')) {
        const own = (value as Schema)['name'];
        const name = typeof own === 'string' ? own : (at.at(-1) ?? '');
        const plain = (text: string): string => text.toLowerCase().replaceAll(/[^a-z0-9]/g, '');
        if (said.length <= SHORT || plain(said) === plain(name)) idle.push(`${at.join('/')}: ${said}`);
      }
      for (const [key, inner] of Object.entries(value)) look(inner, [...at, key]);
    };
    look(document, []);
    expect(idle).toEqual([]);
  });

  it('shows bodies that somebody on a ranch would send, each of which its address takes', () => {
    const bodies = new Map(ENDPOINTS.map((one) => [one.operationId, one.body]));
    const shown = operations.flatMap(([, { operationId = '', requestBody }]) => {
      const { content } = (requestBody ?? {}) as { content?: Record<string, { example?: unknown }> };
      const example = content?.['application/json']?.example;
      return example === undefined ? [] : [[operationId, example] as const];
    });
    for (const [operationId, example] of shown) {
      const read = bodies.get(operationId)?.safeParse(example);
      expect([operationId, read?.error?.issues ?? []]).toEqual([operationId, []]);
      // Days of the one winter that the examples are of.
      for (const [day] of JSON.stringify(example).matchAll(/\b\d{4}-\d\d-\d\d\b/g))
        expect([operationId, day, day > '2026-06-01' && day < '2028']).toEqual([operationId, day, true]);
    }
    const named = new Set(shown.map(([operationId]) => operationId));
    expect(Object.keys(EXAMPLES_OF_BODIES).filter((operationId) => !named.has(operationId))).toEqual([]);
    // Every record that is entered: what begins with create, but what the examples cannot know.
    const entered = operations.flatMap(([, { operationId = '', requestBody }]) =>
      /^(create|reverse)/.test(operationId) && requestBody !== undefined ? [operationId] : [],
    );
    expect(entered.filter((operationId) => !named.has(operationId)).toSorted()).toEqual(NO_EXAMPLE);
    // What a body has none for is made of the examples of its shapes.
    for (const [name, example] of Object.entries(EXAMPLES_OF_SHAPES))
      expect(document.components.schemas).toHaveProperty(name, expect.objectContaining({ examples: [example] }));
  });

  it('describes every tag', () => {
    const tags = (document as unknown as { tags: { name: string; description: string }[] }).tags;
    expect(tags.length).toBeGreaterThan(20);
    expect(tags.filter((one) => one.description.length <= SHORT)).toEqual([]);
    const used = operations.flatMap(([, operation]) => (operation as unknown as { tags: string[] }).tags);
    expect(tags.map((one) => one.name)).toEqual([...new Set(used)].sort());
  });

  it('names the unit of every number that is one of a quantity', () => {
    // A bare number beside no unit is a share, a count or a figure whose description says what it is in; a name with
    // "percent" in it says its unit.
    const unclear = [...schemas('#/components/schemas', document.components.schemas)].flatMap(([at, schema]) =>
      Object.entries((schema['properties'] ?? {}) as Record<string, Schema>)
        .filter(
          ([name, property]) =>
            property['type'] === 'number' && /^(?!.*percent).*(weight|mass|price|cost|amount)$/i.test(name),
        )
        .map(([name]) => `${at}/${name}`),
    );
    expect(unclear).toEqual([]);
  });
});

/** All components that are reached from here, as `schemas/Day`. */
function reached(value: unknown, into = new Set<string>()): Set<string> {
  if (typeof value !== 'object' || value === null) return into;
  const reference = (value as Schema)['$ref'];
  if (typeof reference === 'string') {
    const [kind = '', name = ''] = reference.split('/').slice(2);
    if (into.has(`${kind}/${name}`)) return into;
    into.add(`${kind}/${name}`);
    return reached((document.components as unknown as Record<string, Record<string, unknown>>)[kind]?.[name], into);
  }
  for (const inner of Object.values(value)) reached(inner, into);
  return into;
}

describe('every operation', () => {
  it.each(operations)('%s says what it is, who may call it and what can go wrong', (_address, operation) => {
    expect(operation.operationId).toMatch(/^[a-z][A-Za-z0-9]+$/);
    expect(operation.summary ?? '').not.toBe('');
    expect(operation.description ?? '').not.toBe('');
    expect((operation as unknown as { tags?: string[] }).tags).toHaveLength(1);
    expect(Array.isArray(operation.security)).toBe(true);
    for (const parameter of operation.parameters ?? [])
      expect({
        parameter: parameter.name,
        described: isDescribed(parameter as unknown as Schema) || isDescribed((parameter.schema ?? {}) as Schema),
      }).toEqual({ parameter: parameter.name, described: true });
    const statuses = Object.keys(operation.responses);
    expect(statuses.filter((status) => status.startsWith('2'))).toHaveLength(1);
    expect(statuses).toEqual(expect.arrayContaining(['400', '406', '500']));
    if (operation.security?.length !== 0) expect(statuses).toEqual(expect.arrayContaining(['401', '403']));
    if (operation.requestBody !== undefined) expect(statuses).toEqual(expect.arrayContaining(['413', '415', '422']));
    for (const status of statuses) {
      const { response } = responseOf(document, operation, '', '', status);
      expect(response?.description ?? '').not.toBe('');
      if (Number(status) >= 400)
        expect(response?.content).toEqual({
          'application/problem+json': { schema: { $ref: '#/components/schemas/Problem' } },
        });
    }
    const header = (name: string): boolean =>
      operation.parameters?.some((one) => one.in === 'header' && one.name === name && one.required === true) ?? false;
    if (statuses.includes('201') && !MAKES_NO_ADDRESS.includes(operation.operationId ?? ''))
      expect({
        key: header('Idempotency-Key'),
        location: responseOf(document, operation, '', '', '201').response?.headers?.['Location'] !== undefined,
      }).toEqual({ key: true, location: true });
    if (statuses.includes('412'))
      expect({ ifMatch: header('If-Match'), missing: statuses.includes('428') }).toEqual({
        ifMatch: true,
        missing: true,
      });
  });

  it('that changes something says which version it changes, and one that creates is done once', () => {
    const careless = ENDPOINTS.filter(
      (one) =>
        (one.method === 'PATCH' || one.method === 'PUT' || one.method === 'DELETE') &&
        one.changes !== true &&
        !ENDS.includes(one.operationId),
    ).map((one) => one.operationId);
    expect(careless).toEqual([]);
    // A change by If-Match cannot be done twice; what is only checked is not saved.
    const posts = ENDPOINTS.filter(
      (one) =>
        one.method === 'POST' &&
        one.path.includes('/operations') &&
        one.creates === undefined &&
        one.onlyOnce !== true &&
        one.changes !== true &&
        !one.operationId.startsWith('check') &&
        !SAVES_NOTHING.includes(one.operationId) &&
        !DONE_ONCE_BY_NATURE.includes(one.operationId),
    ).map((one) => one.operationId);
    expect(posts).toEqual([]);
  });

  it('on the books that tells a quantity tells it in the units asked for', () => {
    const ofOneSystem = operations
      .filter(([, { parameters }]) => parameters?.every((one) => one.name !== 'units') ?? true)
      .filter(([address]) => address.includes('/operations'))
      .filter(([, { responses }]) =>
        Object.entries(responses).some(
          ([status, response]) =>
            status.startsWith('2') &&
            [...reached(response)].some((name) => /^schemas\/(?!Concentration).*Unit$/.test(name)),
        ),
      )
      .map(([, { operationId }]) => operationId ?? '');
    expect(ofOneSystem.filter((one) => !TOLD_AS_WRITTEN.test(one))).toEqual([]);
  });

  it('that is open to anybody is one of these', () => {
    expect(
      ENDPOINTS.filter((one) => one.access === 'public')
        .map((one) => one.operationId)
        .sort(),
    ).toEqual([
      'acceptInvitation',
      'beginPasskeySignIn',
      'healthLive',
      'healthReady',
      'recoverByCode',
      'recoverByToken',
      'refreshTokens',
      'signIn',
      'signInByPasskey',
    ]);
  });

  it('that lists does so in pages', () => {
    const whole = ENDPOINTS.filter(
      (one) => one.method === 'GET' && one.operationId.startsWith('list') && one.paged !== true,
    ).map((one) => one.operationId);
    // Both are fixed lists of the program, not records that grow.
    expect(whole.sort()).toEqual(['listCalculations', 'listLayerTemplates']);
  });
});

describe('every problem', () => {
  it('has words of its own, a status that is an error, and a code fit for an address', () => {
    expect(new Set(PROBLEM_CODES.map((code) => PROBLEMS[code].title)).size).toBe(PROBLEM_CODES.length);
    for (const code of PROBLEM_CODES) {
      expect(code).toMatch(/^[a-z]+(-[a-z]+)*$/);
      expect(PROBLEMS[code].status).toBeGreaterThanOrEqual(400);
      expect(PROBLEMS[code].meaning).toMatch(/\.$/);
      expect(PROBLEMS[code].whatToDo).toMatch(/\.$/);
    }
  });

  it('is declared by some operation, but for those that come before any', () => {
    const text = JSON.stringify([document.paths, document.components.responses]);
    const undeclared = PROBLEM_CODES.filter(
      (code) => !text.includes(JSON.stringify(PROBLEMS[code].title).slice(1, -1)),
    );
    expect(undeclared).toEqual(['method-not-allowed']);
  });
});
