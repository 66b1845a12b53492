import { EXAMPLES_OF_BODIES } from './examples-of-bodies.data.js';
import { EXAMPLES_OF_FIELDS, EXAMPLES_OF_SHAPES } from './examples.data.js';

/** A JSON Schema as it stands in the description. */
interface Shape {
  readonly $ref?: string;
  readonly const?: unknown;
  readonly enum?: readonly unknown[];
  readonly anyOf?: readonly Shape[];
  readonly oneOf?: readonly Shape[];
  readonly type?: string;
  readonly properties?: Readonly<Record<string, Shape>>;
  readonly required?: readonly string[];
  readonly items?: Shape;
  readonly minItems?: number;
}
type Known = Readonly<Record<string, Shape>>;

const nameOf = (ref: string): string => ref.split('/').at(-1) ?? '';

/** A field whose name says nothing of what stands in it: an example would be made up. */
class NothingKnown extends Error {}

/**
 * A body with what it must have, as somebody on a ranch would write it: values by the names of shapes and fields
 * (`examples.data.ts`), the first word of an enumeration, the least of a list.
 * @throws NothingKnown where a value would have to be made up.
 */
function exampleOf(shape: Shape, known: Known, field = ''): unknown {
  const ofField = Object.hasOwn(EXAMPLES_OF_FIELDS, field);
  if (shape.$ref !== undefined) {
    const name = nameOf(shape.$ref);
    if (Object.hasOwn(EXAMPLES_OF_SHAPES, name) && !ofField) return EXAMPLES_OF_SHAPES[name];
    return exampleOf(known[name] ?? {}, known, field);
  }
  if (shape.const !== undefined) return shape.const;
  if (shape.type !== 'object' && shape.type !== 'array' && ofField) return asTyped(EXAMPLES_OF_FIELDS[field], shape);
  if (shape.enum !== undefined) return shape.enum[0];
  const choices = shape.anyOf ?? shape.oneOf;
  if (choices !== undefined) return exampleOf(choices.find((one) => one.type !== 'null') ?? {}, known, field);
  switch (shape.type) {
    case 'object':
      return Object.fromEntries(
        fieldsOf(shape).map((name) => [name, exampleOf(shape.properties?.[name] ?? {}, known, name)]),
      );
    case 'array':
      return Array.from({ length: Math.max(1, shape.minItems ?? 1) }, () => exampleOf(shape.items ?? {}, known, field));
    case 'boolean':
      return true;
    default:
      throw new NothingKnown(field);
  }
}

/** A figure that is taken as a number alone. */
function asTyped(value: unknown, { type }: Shape): unknown {
  return (type === 'number' || type === 'integer') && typeof value === 'string' ? Number(value) : value;
}

/** What has to be there; where nothing has to, the first field, since an empty body says nothing. */
function fieldsOf({ required = [], properties = {} }: Shape): readonly string[] {
  return required.length > 0 ? required : Object.keys(properties).slice(0, 1);
}

type Takes = (operationId: string, body: unknown) => boolean;

interface Operation {
  readonly operationId?: string;
  readonly requestBody?: { readonly content?: Readonly<Record<string, { schema?: Shape; example?: unknown }>> };
}
interface Described {
  readonly paths?: object;
  readonly components?: { readonly schemas?: object };
}

/**
 * Gives each named shape its example, and each body one, where its own schema takes it.
 * @param takes Whether the address with this operationId takes this body.
 */
export function withExamples<Document extends Described>(document: Document, takes: Takes): Document {
  const known = (document.components?.schemas ?? {}) as Known;
  const schemas = Object.fromEntries(
    Object.entries(known).map(([name, shape]) => [
      name,
      Object.hasOwn(EXAMPLES_OF_SHAPES, name) ? { ...shape, examples: [EXAMPLES_OF_SHAPES[name]] } : shape,
    ]),
  );
  const paths = Object.fromEntries(
    Object.entries((document.paths ?? {}) as Record<string, Record<string, Operation>>).map(([path, methods]) => [
      path,
      Object.fromEntries(Object.entries(methods).map(([method, one]) => [method, withBody(one, known, takes)])),
    ]),
  );
  return { ...document, paths, components: { ...document.components, schemas } };
}

const JSON_TYPE = 'application/json';

function withBody(one: Operation, known: Known, takes: Takes): Operation {
  const content = one.requestBody?.content;
  const schema = content?.[JSON_TYPE]?.schema;
  if (schema === undefined || one.operationId === undefined) return one;
  const example = EXAMPLES_OF_BODIES[one.operationId] ?? knownExampleOf(one.operationId, schema, known);
  // Rules between fields stand nowhere in a JSON Schema, so whether a body is taken is for its own schema to say.
  if (example === undefined || !takes(one.operationId, example)) return one;
  return { ...one, requestBody: { ...one.requestBody, content: { ...content, [JSON_TYPE]: { schema, example } } } };
}

/** Figures of a calculation hang together, so one by one they make no question. */
const CALCULATION = /^calculate/;

function knownExampleOf(operationId: string, schema: Shape, known: Known): unknown {
  if (CALCULATION.test(operationId)) return undefined;
  try {
    return exampleOf(schema, known);
  } catch (error) {
    if (error instanceof NothingKnown) return undefined;
    throw error;
  }
}
