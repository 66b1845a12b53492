import { z } from 'zod';

/** A schema as JSON Schema (draft 2020-12), as far as a form asks it. */
interface Node {
  $ref?: string;
  type?: string;
  enum?: unknown[];
  minimum?: number;
  maximum?: number;
  maxLength?: number;
  properties?: Record<string, Node>;
  required?: string[];
  items?: Node;
  anyOf?: Node[];
  oneOf?: Node[];
  allOf?: Node[];
  $defs?: Record<string, Node>;
}

/** An address of the API that a form stands for. */
export interface ApiAddress {
  readonly params?: z.ZodType | undefined;
  readonly body?: z.ZodType | undefined;
}

/** What a field of a form takes, by the schema of the body that it goes into: there is no second list of bounds. */
export interface FieldSchema {
  required: boolean;
  type: string | null;
  /** The words that are allowed; null where it is no enumeration. */
  words: readonly string[] | null;
  least: number | null;
  most: number | null;
  longest: number | null;
}

const ROOTS = new WeakMap<ApiAddress, Node>();

function rootOf(endpoint: ApiAddress): Node {
  const known = ROOTS.get(endpoint);
  if (known !== undefined) return known;
  const made = z.toJSONSchema(endpoint.body ?? z.strictObject({}), { io: 'input', unrepresentable: 'any' }) as Node;
  ROOTS.set(endpoint, made);
  return made;
}

/** The schema of the field at this place in the body (`weight/value`); of a union, the first shape that has it. */
export function schemaOfField(endpoint: ApiAddress, name: string): FieldSchema | undefined {
  const root = rootOf(endpoint);
  let found = { node: root, required: true };
  for (const step of name.split('/')) {
    const inside = below(root, found.node, step);
    if (inside === undefined) return undefined;
    // What is needed inside of something that may be left out may be left out with it.
    found = { node: inside.node, required: found.required && inside.required };
  }
  const node = simplest(root, found.node);
  return {
    required: found.required,
    type: node.type ?? null,
    words: node.enum?.map(String) ?? null,
    least: node.minimum ?? null,
    most: node.maximum ?? null,
    longest: node.maxLength ?? null,
  };
}

function below(root: Node, node: Node, step: string): { node: Node; required: boolean } | undefined {
  const shape = dereferenced(root, node);
  if (/^\d+$/.test(step) && shape.items !== undefined) return { node: shape.items, required: true };
  const own = shape.properties?.[step];
  if (own !== undefined) return { node: own, required: shape.required?.includes(step) === true };
  for (const other of shapesOf(shape)) {
    const inside = below(root, other, step);
    if (inside !== undefined) return inside;
  }
  return undefined;
}

/** Of what may be text or a number, what says most: the enumeration, the whole number, the text with its length. */
function simplest(root: Node, node: Node): Node {
  const shape = dereferenced(root, node);
  const shapes = shapesOf(shape).map((one) => simplest(root, one));
  return shapes.find((one) => one.enum !== undefined) ?? shapes.find((one) => one.type !== 'null') ?? shape;
}

const shapesOf = ({ anyOf, oneOf, allOf }: Node): Node[] => [...(anyOf ?? []), ...(oneOf ?? []), ...(allOf ?? [])];

function dereferenced(root: Node, node: Node): Node {
  if (node.$ref === undefined) return node;
  return root.$defs?.[node.$ref.replace('#/$defs/', '')] ?? node;
}
