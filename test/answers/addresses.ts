import { formsOf, PAGES } from '../../src/platform/http/endpoint.js';
import type { OpenApiDocument } from '../support/conformance.js';

/** One address that can be read, with what it takes. */
export interface Address {
  /** With its parameters in braces, as the description writes them. */
  template: string;
  page: boolean;
  query: QueryParameter[];
  /** Words that a path parameter can be, where it is no id. */
  choices: Readonly<Record<string, readonly string[]>>;
  mediaTypes: string[];
}

export interface QueryParameter {
  name: string;
  required: boolean;
  choices: readonly string[];
}

interface Parameter {
  name: string;
  in: string;
  required?: boolean;
  schema?: { $ref?: string; enum?: unknown[]; anyOf?: { enum?: unknown[] }[] };
}

/** Every address that the description says can be read, and every page for a browser. */
export function readable(document: OpenApiDocument): Address[] {
  const described = Object.entries(document.paths).flatMap(([template, methods]): Address[] => {
    const operation = methods['get'];
    if (operation === undefined) return [];
    const parameters = (operation.parameters ?? []).map((one) => resolved<Parameter>(document, one));
    const choicesOf = ({ schema }: Parameter): string[] =>
      (resolved<NonNullable<Parameter['schema']>>(document, schema ?? {}).enum ?? []).map(String);
    return [
      {
        template,
        page: false,
        query: parameters
          .filter((one) => one.in === 'query')
          .map((one) => ({ name: one.name, required: one.required === true, choices: choicesOf(one) })),
        choices: Object.fromEntries(
          parameters
            .filter((one) => one.in === 'path' && choicesOf(one).length > 0)
            .map((one) => [one.name, choicesOf(one)]),
        ),
        mediaTypes: Object.entries(operation.responses)
          .filter(([status]) => status.startsWith('2'))
          .flatMap(([, one]) => Object.keys(resolved<{ content?: object }>(document, one).content ?? {})),
      },
    ];
  });
  return [...described, ...pages()];
}

export interface Writable {
  method: string;
  template: string;
  mediaType: string | undefined;
}

/** Every address that changes something, or calculates. */
export function writable(document: OpenApiDocument): Writable[] {
  return Object.entries(document.paths).flatMap(([template, methods]) =>
    Object.entries(methods)
      .filter(([method]) => method !== 'get')
      .map(([method, operation]) => ({
        method: method.toUpperCase(),
        template,
        mediaType: Object.keys(operation.requestBody?.content ?? {})[0],
      })),
  );
}

const UNITS = { name: 'units', required: false, choices: ['us', 'metric'] };
const free = (name: string): QueryParameter => ({ name, required: false, choices: [] });

/** The pages are not in the description; what they take stands in their schemas, by the names that are asked here. */
function pages(): Address[] {
  return PAGES.filter((one) => one.method === 'GET').map((one) => {
    const template = one.path.replaceAll(/:([A-Za-z]+)/g, '{$1}');
    const forms = formsOf(one).filter((form) => form !== 'json');
    const takes = /feed-sheet|hay-position/.test(template)
      ? [UNITS, free('on')]
      : /hay-budget/.test(template)
        ? [UNITS, free('from'), free('until')]
        : /trials.*(plan|judgements)/.test(template)
          ? [UNITS]
          : /portfolio/.test(template)
            ? [free('on')]
            : [];
    return {
      template,
      page: true,
      query: [...takes, { name: 'format', required: false, choices: [...forms, 'json'] }],
      choices: { picture: ['growth', 'difference', 'visible'] },
      mediaTypes: [],
    };
  });
}

function resolved<T>(document: OpenApiDocument, given: object): T {
  const reference = (given as { $ref?: string }).$ref;
  if (reference === undefined) return given as T;
  const found = reference
    .split('/')
    .slice(1)
    .reduce<unknown>(
      (at, step) => (at as Record<string, unknown>)[step.replaceAll('~1', '/').replaceAll('~0', '~')],
      document,
    );
  return resolved<T>(document, found as object);
}
