type Json = Record<string, unknown>;
const HERE = '#/components/schemas/';

/**
 * For a schema that refines a named one, zod writes a reference and the whole schema beside it. What the component
 * already says is removed here; what remains beside the reference is what this use adds.
 */
export function withoutRepetition<Document extends { components?: { schemas?: object } }>(
  document: Document,
): Document {
  const schemas = (document.components?.schemas ?? {}) as Record<string, Json | undefined>;
  const tidy = (value: unknown): unknown => {
    if (Array.isArray(value)) return value.map(tidy);
    if (typeof value !== 'object' || value === null) return value;
    const reference = (value as Json)['$ref'];
    const named =
      typeof reference === 'string' && reference.startsWith(HERE) ? schemas[reference.slice(HERE.length)] : undefined;
    const entries = Object.entries(value).filter(([key, inner]) => named === undefined || !isSaid(named, key, inner));
    return Object.fromEntries(entries.map(([key, inner]) => [key, tidy(inner)]));
  };
  return tidy(document) as Document;
}

// `outputId` is an instruction to the generator, not a JSON Schema keyword.
function isSaid(named: Json, key: string, value: unknown): boolean {
  return key === 'outputId' || (key in named && JSON.stringify(named[key]) === JSON.stringify(value));
}
