import { SHARED_SHAPES } from './shared-shapes.data.js';

type Json = Record<string, unknown>;
const HERE = '#/components/schemas/';
/** What a use may add of its own beside the reference. */
const OWN = new Set(['description', 'default', 'title']);

/**
 * Shapes that several bodies and answers spell out alike become components under the names that
 * `shared-shapes.data.ts` gives them, wherever they stand in the description: a generated client has one type for each,
 * with a name from the trade. What is alike but for its own description or default counts as the same shape.
 */
export function withSharedShapes<Document extends { components?: { schemas?: object }; paths?: object }>(
  document: Document,
): Document {
  const schemas = { ...document.components?.schemas } as Record<string, Json>;
  let shared: Json = { ...document, components: { ...document.components, schemas } };
  for (const { name, at, description } of SHARED_SHAPES) {
    const known = (shared['components'] as { schemas: Record<string, Json> }).schemas;
    const shape = shapeAt(known, at);
    if (shape === undefined) continue;
    const { default: _default, ...bare } = shape;
    shared = replacing(shared, likenessOf(shape), name) as Json;
    const components = shared['components'] as Json & { schemas: Json };
    shared = {
      ...shared,
      components: { ...components, schemas: { ...components.schemas, [name]: { ...bare, description } } },
    };
  }
  return sorted(shared) as Document;
}

/** Components stand in the order of their names, so that a name that is added moves no other. */
function sorted(document: Json): Json {
  const components = document['components'] as { schemas: Json };
  const schemas = Object.fromEntries(Object.entries(components.schemas).sort(([a], [b]) => (a < b ? -1 : 1)));
  return { ...document, components: { ...components, schemas } };
}

/** The same object where nothing in it is replaced, so that its likeness need not be worked out again. */
function replacing(value: unknown, likeness: string, name: string): unknown {
  if (typeof value !== 'object' || value === null) return value;
  if (Array.isArray(value)) {
    const made = value.map((inner) => replacing(inner, likeness, name));
    return made.every((inner, index) => inner === value[index]) ? value : made;
  }
  if (isShape(value) && likenessOf(value as Json) === likeness)
    return {
      $ref: HERE + name,
      ...Object.fromEntries(Object.entries(value).filter(([key]) => OWN.has(key))),
    };
  let made: Json | undefined;
  for (const [key, inner] of Object.entries(value)) {
    const replaced = replacing(inner, likeness, name);
    if (replaced !== inner) (made ??= { ...value })[key] = replaced;
  }
  return made ?? value;
}

const isShape = (value: object): boolean => 'properties' in value || 'enum' in value;

/** The shape as text, whatever the order in which its parts were written. */
function likenessOf(shape: Json): string {
  const known = LIKENESSES.get(shape);
  if (known !== undefined) return known;
  const made = JSON.stringify(
    Object.fromEntries(Object.entries(shape).filter(([key]) => !OWN.has(key))),
    (_key, value: unknown) =>
      typeof value === 'object' && value !== null && !Array.isArray(value)
        ? Object.fromEntries(Object.entries(value).sort(([a], [b]) => (a < b ? -1 : 1)))
        : value,
  );
  LIKENESSES.set(shape, made);
  return made;
}
const LIKENESSES = new WeakMap<Json, string>();

/**
 * The shape at a place such as `YardBudget.lots[].likelyBalance`: fields after points, `[]` for the items of a list,
 * `|1` for the second of several forms. Whether it may be null does not matter.
 */
function shapeAt(schemas: Record<string, Json>, at: string): Json | undefined {
  const [root = '', ...steps] = at.split(/\.|(?=\[\])|(?=\|)/);
  let here: Json | undefined = schemas[root];
  for (const step of steps) {
    here = withoutNull(here, schemas);
    if (step === '[]') here = here?.['items'] as Json | undefined;
    else if (step.startsWith('|')) here = formsIn(here)[Number(step.slice(1))];
    else here = (here?.['properties'] as Record<string, Json> | undefined)?.[step];
  }
  return withoutNull(here, schemas);
}

const formsIn = (shape: Json | undefined): Json[] => (shape?.['anyOf'] ?? shape?.['oneOf'] ?? []) as Json[];

function withoutNull(shape: Json | undefined, schemas: Record<string, Json>): Json | undefined {
  const forms = formsIn(shape);
  const others = forms.filter((one) => one['type'] !== 'null');
  const only = forms.length > 1 && others.length === 1 ? others[0] : shape;
  const reference = only?.['$ref'];
  return typeof reference === 'string' ? schemas[reference.slice(HERE.length)] : only;
}
