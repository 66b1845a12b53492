import { type ApiAddress, schemaOfField } from './schema-of-field.js';

/** What somebody typed: each field by its place in the body of the API (`weight/value`). */
export type Typed = Readonly<Record<string, string>>;
type Tree = { [step: string]: unknown };

/** No name of a field reaches what every object has. */
const STEP = /^(?!__proto__$|constructor$|prototype$)[A-Za-z0-9]{1,40}$/;

/**
 * The body that a form stands for. What was left empty is left out, with a unit that stands beside it; digits become
 * numbers only where the schema asks for a whole number, so that anything else typed there is refused in its words.
 */
export function bodyOfFields(endpoint: ApiAddress, typed: Typed): Record<string, unknown> {
  const tree: Tree = {};
  for (const [name, value] of Object.entries(typed)) {
    const steps = name.split('/');
    if (value.trim() === '' || !steps.every((step) => STEP.test(step))) continue;
    put(tree, steps, valueOf(endpoint, name, value));
  }
  return (settled(tree) ?? {}) as Record<string, unknown>;
}

function valueOf(endpoint: ApiAddress, name: string, value: string): unknown {
  const type = schemaOfField(endpoint, name)?.type;
  if (type === 'integer' && /^-?\d{1,15}$/.test(value.trim())) return Number(value);
  if (type === 'boolean' && (value === 'true' || value === 'false')) return value === 'true';
  return value;
}

function put(tree: Tree, [step = '', ...rest]: readonly string[], value: unknown): void {
  if (rest.length === 0) {
    tree[step] = value;
    return;
  }
  const inside = tree[step];
  const next: Tree = typeof inside === 'object' && inside !== null ? (inside as Tree) : {};
  tree[step] = next;
  put(next, rest, value);
}

/** Steps that are numbers make a list; a unit, step or lot without its figure is nothing. */
function settled(tree: Tree): unknown {
  const entries = Object.entries(tree).flatMap(([step, value]): [string, unknown][] => {
    const inside = typeof value === 'object' && value !== null ? settled(value as Tree) : value;
    return inside === undefined ? [] : [[step, inside]];
  });
  if (entries.every(([step]) => step === 'unit')) return undefined;
  if (entries.every(([step]) => /^\d+$/.test(step)))
    return entries.sort(([one], [other]) => Number(one) - Number(other)).map(([, value]) => value);
  return Object.fromEntries(entries);
}
