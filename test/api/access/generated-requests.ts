import { newId } from '../../../src/platform/identifiers.js';
import type { ApiClient, Answer } from '../../support/client.js';
import type { OpenApiDocument, OperationObject } from '../../support/conformance.js';

/**
 * Requests made up from the API description alone: some as it asks for, some broken on purpose, with ids of the own
 * operation, of another and of nobody. The same seed makes the same requests.
 */
export type Random = () => number;

/** Mulberry32: small, seeded, good enough to choose. */
export function seeded(seed: number): Random {
  let state = seed >>> 0;
  return () => {
    state = (state + 0x6d2b79f5) >>> 0;
    let mixed = Math.imul(state ^ (state >>> 15), 1 | state);
    mixed = (mixed + Math.imul(mixed ^ (mixed >>> 7), 61 | mixed)) ^ mixed;
    return ((mixed ^ (mixed >>> 14)) >>> 0) / 4_294_967_296;
  };
}

interface Schema {
  $ref?: string;
  type?: string | string[];
  enum?: unknown[];
  const?: unknown;
  anyOf?: Schema[];
  oneOf?: Schema[];
  allOf?: Schema[];
  format?: string;
  pattern?: string;
  minimum?: number;
  maximum?: number;
  exclusiveMinimum?: number;
  minLength?: number;
  maxLength?: number;
  minItems?: number;
  maxItems?: number;
  items?: Schema;
  properties?: Record<string, Schema>;
  required?: string[];
  additionalProperties?: boolean | Schema;
}

/** Ids by the name of the field that would hold them (herdId, hayLotId …): one's own, and those of somebody else. */
export interface Ids {
  own: ReadonlyMap<string, readonly string[]>;
  foreign: readonly string[];
  operationId: string;
  foreignOperationId: string;
}

export interface MadeRequest {
  method: 'GET' | 'POST' | 'PATCH' | 'PUT' | 'DELETE';
  path: string;
  operationId: string;
  body: string | undefined;
  headers: Record<string, string>;
}

const TEXTS = [
  'x',
  'North stack',
  '24',
  '24.5',
  '0.5',
  '1',
  '100',
  '1150',
  'America/Denver',
  'USD',
  'herd.create',
  'herd',
  '123456',
  '2027-01-10',
  '840003123456789',
  'every record is deleted for good',
  'Straw, barley',
];
const HOSTILE: readonly unknown[] = [
  '',
  ' ',
  '\u0000',
  'x'.repeat(3000),
  '=1+1',
  "' OR 1=1 --",
  '\u202e',
  '9'.repeat(25),
  '1e309',
  '-1',
  null,
  true,
  -1,
  1e21,
  [],
  {},
  [null],
  '0001-01-01',
  '9999-12-31',
  '2027-02-30',
  '../../etc/passwd',
  '<b>',
  '%00',
  '{{7*7}}',
];
/** What would take the ground from under the run: its people signed out, its places ended. */
const LEFT_ALONE = new Set(['signOut', 'endMembership', 'changeMembership', 'endSession']);

export class RequestMaker {
  readonly #operations: { method: MadeRequest['method']; template: string; operation: OperationObject }[];

  constructor(
    private readonly document: OpenApiDocument,
    private readonly ids: Ids,
    private readonly random: Random,
  ) {
    this.#operations = Object.entries(document.paths).flatMap(([template, methods]) =>
      Object.entries(methods)
        .filter(([, operation]) => !LEFT_ALONE.has(operation.operationId ?? ''))
        .map(([method, operation]) => ({ method: method.toUpperCase() as MadeRequest['method'], template, operation })),
    );
  }

  get operationCount(): number {
    return this.#operations.length;
  }

  make(index: number): MadeRequest {
    // Each operation in its turn, so that none is left out; what is asked of it is chance.
    const { method, template, operation } =
      this.#operations[index % this.#operations.length] ?? this.#pick(this.#operations);
    const parameters = operation.parameters ?? [];
    const path = template.replaceAll(/\{([^}]+)\}/g, (_whole, name: string) =>
      encodeURIComponent(String(this.#idOrText(name))),
    );
    const query = new URLSearchParams();
    for (const parameter of parameters.filter((one) => one.in === 'query')) {
      if (parameter.required !== true && this.#chance(0.6)) continue;
      const value = this.#chance(0.12) ? this.#pick(HOSTILE) : this.value(parameter.schema ?? {}, parameter.name, 0);
      query.append(parameter.name, typeof value === 'string' ? value : (JSON.stringify(value) ?? ''));
    }
    if (this.#chance(0.03)) query.append('surprise', 'x');
    const headers: Record<string, string> = {};
    for (const parameter of parameters.filter((one) => one.in === 'header')) {
      if (this.#chance(0.08)) continue;
      headers[parameter.name] =
        parameter.name === 'If-Match'
          ? `"${1 + Math.floor(this.random() * 2)}-AAAAAAAAAAAAAAAA"`
          : `"${this.#chance(0.05) ? 'again' : newId()}"`;
    }
    const content = Object.entries(operation.requestBody?.content ?? {})[0];
    let body: string | undefined;
    if (content !== undefined) {
      const [type, { schema }] = content;
      headers['Content-Type'] = type;
      body =
        type === 'application/json'
          ? this.#body(schema ?? {})
          : this.#pick(['a,b\r\n1,2\r\n', '', 'lot,date\n"x', 'Vendor,Hay\r\nA neighbor,meadow\r\n', '\u0000']);
    }
    const text = query.toString();
    return {
      method,
      path: text === '' ? path : `${path}?${text}`,
      operationId: operation.operationId ?? template,
      body,
      headers,
    };
  }

  #body(schema: Schema): string {
    if (this.#chance(0.03))
      return this.#pick(['', '{', 'null', '[]', '"x"', '{"a":1}', `${'['.repeat(500)}${']'.repeat(500)}`]);
    const value = this.value(schema, '', 0);
    return JSON.stringify(this.#chance(0.25) ? this.#spoilt(value) : value) ?? 'null';
  }

  /** One place somewhere in the value is made wrong. */
  #spoilt(value: unknown): unknown {
    if (Array.isArray(value) && value.length > 0 && this.#chance(0.7)) {
      const at = Math.floor(this.random() * value.length);
      return value.map((one: unknown, index) => (index === at ? this.#spoilt(one) : one));
    }
    if (typeof value === 'object' && value !== null && !Array.isArray(value)) {
      const keys = Object.keys(value);
      const record = { ...(value as Record<string, unknown>) };
      if (keys.length === 0 || this.#chance(0.15)) return { ...record, surprise: 1 };
      const key = this.#pick(keys);
      if (this.#chance(0.25)) delete record[key];
      else record[key] = this.#spoilt(record[key]);
      return record;
    }
    return this.#pick(HOSTILE);
  }

  value(given: Schema, name: string, depth: number): unknown {
    const schema = this.#resolved(given);
    if (schema.const !== undefined) return schema.const;
    if (schema.enum !== undefined) return this.#pick(schema.enum);
    const branches = schema.anyOf ?? schema.oneOf;
    if (branches !== undefined) return this.value(this.#pick(branches), name, depth);
    if (schema.allOf !== undefined)
      return Object.assign({}, ...schema.allOf.map((one) => this.value(one, name, depth))) as unknown;
    const type = Array.isArray(schema.type) ? this.#pick(schema.type) : schema.type;
    switch (type) {
      case 'object':
        return this.#object(schema, depth);
      case 'array':
        return Array.from(
          { length: this.#between(schema.minItems ?? 0, Math.min(schema.maxItems ?? 3, (schema.minItems ?? 0) + 2)) },
          () => this.value(schema.items ?? {}, name, depth + 1),
        );
      case 'integer':
        return this.#between(
          Math.max(schema.minimum ?? 0, -1e6),
          Math.min(schema.maximum ?? 200, (schema.minimum ?? 0) + 200),
        );
      case 'number':
        return Math.round((schema.minimum ?? schema.exclusiveMinimum ?? 0) * 100 + this.random() * 5000) / 100;
      case 'boolean':
        return this.#chance(0.5);
      case 'null':
        return null;
      case 'string':
        return this.#text(schema, name);
      default:
        return this.#pick(TEXTS);
    }
  }

  #object(schema: Schema, depth: number): Record<string, unknown> {
    const required = new Set(schema.required ?? []);
    const made: Record<string, unknown> = {};
    for (const [key, inner] of Object.entries(schema.properties ?? {})) {
      if (required.has(key) || this.#chance(depth > 3 ? 0.1 : 0.45)) made[key] = this.value(inner, key, depth + 1);
    }
    return made;
  }

  #text(schema: Schema, name: string): string {
    if (schema.format === 'uuid') return this.#idOrText(name);
    if (schema.format === 'date')
      return this.#pick(['2026-11-01', '2026-12-15', '2027-01-10', '2027-01-14', '2027-01-15', '2026-10-01']);
    if (schema.format === 'date-time')
      return this.#pick([
        '2026-12-15T08:00:00-07:00',
        '2027-01-10T15:00:00Z',
        '2027-06-01T00:00:00Z',
        '2027-01-15T15:00:00.000Z',
      ]);
    if (schema.format === 'email') return this.#pick(['someone@example.test', 'other@example.test']);
    if (/timeZone/i.test(name)) return this.#pick(['America/Denver', 'UTC', 'Mars/Olympus']);
    const { pattern } = schema;
    const fitting = TEXTS.filter(
      (text) =>
        text.length >= (schema.minLength ?? 0) &&
        text.length <= (schema.maxLength ?? 1e6) &&
        (pattern === undefined || new RegExp(pattern, 'u').test(text)),
    );
    return fitting.length === 0
      ? 'a sentence that is long enough'.padEnd(schema.minLength ?? 0, 'x')
      : this.#pick(fitting);
  }

  #idOrText(name: string): string {
    if (name === 'operationId')
      return this.#chance(0.93) ? this.ids.operationId : this.#chance(0.7) ? this.ids.foreignOperationId : newId();
    const own = this.ids.own.get(name) ?? [...this.ids.own.values()].flat();
    const dice = this.random();
    if (dice < 0.84 && own.length > 0) return this.#pick(own);
    if (dice < 0.92 && this.ids.foreign.length > 0) return this.#pick(this.ids.foreign);
    return dice < 0.98
      ? newId()
      : String(this.#pick(HOSTILE.filter((one) => typeof one === 'string' && one.trim() !== '')));
  }

  #resolved(schema: Schema): Schema {
    let at = schema;
    while (at.$ref !== undefined) at = this.document.components.schemas[at.$ref.split('/').at(-1) ?? ''] ?? {};
    return at;
  }

  #pick<T>(from: readonly T[]): T {
    const chosen = from[Math.floor(this.random() * from.length)];
    if (chosen === undefined && from.length === 0) throw new RangeError('Nothing to choose from');
    return chosen as T;
  }

  #between(least: number, most: number): number {
    return Math.floor(least + this.random() * (Math.max(least, most) - least + 1));
  }

  #chance(share: number): boolean {
    return this.random() < share;
  }
}

export interface RunResult {
  requests: number;
  byStatus: Record<string, number>;
  /** How often each role got past validation: an answer below 400. */
  served: Record<string, number>;
  faults: string[];
}

/**
 * Sends what the maker makes, each as the next of the askers; every answer is held against the description by the
 * client.
 */
export async function runGenerated(
  maker: RequestMaker,
  askers: readonly (readonly [name: string, client: ApiClient])[],
  requests: number,
  ids: Pick<Ids, 'foreign' | 'foreignOperationId'>,
  random: Random,
): Promise<RunResult> {
  const result: RunResult = { requests: 0, byStatus: {}, served: {}, faults: [] };
  const strangers = [...ids.foreign, ids.foreignOperationId];
  for (let index = 0; index < requests; index += 1) {
    const made = maker.make(index);
    const [name, client] =
      askers[Math.floor(random() * askers.length)] ??
      askers[0] ??
      (() => {
        throw new RangeError('Nobody asks');
      })();
    const told = `${name}: ${made.method} ${made.path} ${(made.body ?? '').slice(0, 500)}`;
    let answer: Answer;
    try {
      answer = await client.send(made.method, made.path, made.body, { headers: made.headers });
    } catch (error) {
      result.faults.push(`${told}\n    ${(error as Error).message.slice(0, 600)}`);
      continue;
    } finally {
      result.requests += 1;
    }
    result.byStatus[answer.status] = (result.byStatus[answer.status] ?? 0) + 1;
    if (answer.status < 400) result.served[name] = (result.served[name] ?? 0) + 1;
    if (answer.status >= 500) result.faults.push(`${told}\n    answered ${answer.status} ${answer.text.slice(0, 300)}`);
    const sent = `${made.path} ${made.body ?? ''}`;
    const leaked = strangers.find((id) => answer.text.includes(id) && !sent.includes(id));
    if (leaked !== undefined) result.faults.push(`${told}\n    shows ${leaked}, which is another operation's`);
  }
  return result;
}
