import { z } from 'zod';

/**
 * Answers made from the schema of an endpoint alone, so that every writer can be tried without a ranch behind it. Each
 * free text is the one given; numbers and days are plausible and the same each time. `full` fills everything that may
 * be absent, `bare` leaves it out and lists empty; `lists` leaves it out and fills lists. A list has two items, one of
 * them full. `choice` says which word of an enumeration is taken, wrapping around.
 */
export interface SampleOptions {
  text: string;
  fill: 'full' | 'bare' | 'lists';
  choice?: number;
}

interface JsonSchema {
  $ref?: string;
  $defs?: Record<string, JsonSchema>;
  type?: string | string[];
  const?: unknown;
  enum?: unknown[];
  anyOf?: JsonSchema[];
  oneOf?: JsonSchema[];
  allOf?: JsonSchema[];
  properties?: Record<string, JsonSchema>;
  required?: string[];
  additionalProperties?: JsonSchema | boolean;
  items?: JsonSchema;
  prefixItems?: JsonSchema[];
  minItems?: number;
  minimum?: number;
  maximum?: number;
  exclusiveMinimum?: number;
  format?: string;
  pattern?: string;
}

const BY_FORMAT: Readonly<Record<string, string>> = {
  uuid: '01890a5d-ac96-774b-bcce-b302099a8057',
  date: '2027-01-11',
  'date-time': '2027-01-11T06:30:00.000Z',
};
/** Texts that a pattern may ask for; the first that fits is taken. */
const PATTERNED = ['12.50', '2027-01-11', '2027-01', '06:30', '12', 'USD', 'abc', '0123456789abcdef'.repeat(4)];

export function sampleOf(schema: z.ZodType, options: SampleOptions): unknown {
  const root = z.toJSONSchema(schema, { io: 'output', unrepresentable: 'any' }) as JsonSchema;
  return sample(root, root.$defs ?? {}, options);
}

function sample(schema: JsonSchema, known: Record<string, JsonSchema>, options: SampleOptions): unknown {
  const inner = (one: JsonSchema | undefined): unknown => sample(one ?? {}, known, options);
  if (schema.$ref !== undefined) return inner(known[schema.$ref.replace('#/$defs/', '')]);
  if (schema.const !== undefined) return schema.const;
  if (schema.enum !== undefined) return schema.enum[(options.choice ?? 0) % schema.enum.length];
  const choices = schema.anyOf ?? schema.oneOf;
  if (choices !== undefined) {
    const absent = choices.find((one) => one.type === 'null');
    const others = choices.filter((one) => one !== absent);
    return absent !== undefined && options.fill !== 'full'
      ? null
      : inner(others[(options.choice ?? 0) % others.length]);
  }
  // A number or nothing, in one.
  if (Array.isArray(schema.type)) {
    const [type] = schema.type.filter((one) => one !== 'null');
    return schema.type.includes('null') && options.fill !== 'full' ? null : inner({ ...schema, type: type ?? 'null' });
  }
  if (schema.allOf !== undefined) return Object.assign({}, ...schema.allOf.map(inner)) as object;
  switch (schema.type) {
    case 'object':
      return objectOf(schema, known, options);
    case 'array':
      return Array.from({ length: Math.max(schema.minItems ?? 0, options.fill === 'bare' ? 0 : 2) }, (_, index) =>
        sample(schema.prefixItems?.[index] ?? schema.items ?? {}, known, {
          ...options,
          fill: options.fill === 'bare' ? 'bare' : index === 0 ? 'full' : 'lists',
        }),
      );
    case 'number':
    case 'integer':
      return Math.min(schema.maximum ?? 1e9, Math.max(3, schema.minimum ?? 3, (schema.exclusiveMinimum ?? 2) + 1));
    case 'boolean':
      return options.fill === 'full';
    case 'null':
      return null;
    default:
      return textOf(schema, options);
  }
}

function objectOf(schema: JsonSchema, known: Record<string, JsonSchema>, options: SampleOptions): object {
  const own = Object.entries(schema.properties ?? {})
    .filter(([name]) => options.fill === 'full' || schema.required?.includes(name) === true)
    .map(([name, one]) => [name, sample(one, known, options)] as const);
  const others = schema.additionalProperties;
  return Object.fromEntries(
    typeof others === 'object' && options.fill === 'full'
      ? [...own, [options.text, sample(others, known, options)]]
      : own,
  );
}

function textOf({ format, pattern }: JsonSchema, { text }: SampleOptions): string {
  if (format !== undefined) return BY_FORMAT[format] ?? text;
  if (pattern === undefined) return text;
  const fits = new RegExp(pattern, 'u');
  const found = [text, ...PATTERNED].find((one) => fits.test(one));
  if (found === undefined) throw new RangeError(`No sample fits ${pattern}`);
  return found;
}
