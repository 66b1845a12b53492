type Json = Record<string, unknown>;
const HERE = '#/components/schemas/';

/**
 * For a schema that refines a named one, zod writes a reference and the whole schema beside it. What the component
 * already says is removed here; what remains beside the reference is what this use adds. A parameter that is described
 * as the component of its schema is, such as an id in a path, leaves that to the component.
 */
export function withoutRepetition<Document extends { components?: { schemas?: object } }>(
  document: Document,
): Document {
  const schemas = (document.components?.schemas ?? {}) as Record<string, Json | undefined>;
  const namedBy = (value: unknown): Json | undefined => {
    const reference = (value as Json | undefined)?.['$ref'];
    return typeof reference === 'string' && reference.startsWith(HERE)
      ? schemas[reference.slice(HERE.length)]
      : undefined;
  };
  const tidy = (value: unknown): unknown => {
    if (Array.isArray(value)) return value.map(tidy);
    if (typeof value !== 'object' || value === null) return value;
    const named = namedBy(value);
    const schema = isParameter(value) ? namedBy((value as Json)['schema']) : undefined;
    const entries = Object.entries(value).filter(
      ([key, inner]) =>
        (named === undefined || !isSaid(named, key, inner)) &&
        (schema === undefined || key !== 'description' || schema['description'] !== inner),
    );
    return Object.fromEntries(entries.map(([key, inner]) => [key, tidy(inner)]));
  };
  return tidy(document) as Document;
}

const isParameter = (value: object): boolean => 'in' in value && 'schema' in value;

// `outputId` is an instruction to the generator, not a JSON Schema keyword.
function isSaid(named: Json, key: string, value: unknown): boolean {
  return key === 'outputId' || (key in named && JSON.stringify(named[key]) === JSON.stringify(value));
}
