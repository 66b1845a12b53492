import { pointerOf, Problem } from './problem.js';

/** No body of this API nests deeper than a handful of levels; a deeper one is meant to exhaust the parser. */
const DEPTH_MOST = 32;
/** No object of this API has this many fields; one with more is meant to make the server refuse each of them. */
const FIELDS_MOST = 200;

/**
 * Checks the shape alone, before anything else looks at the body.
 * @returns the problem, which names the object or says how deep a body may nest; undefined if the shape is fine.
 */
export function absurdShape(body: unknown): Problem | undefined {
  return absurdWithin(body, []);
}

function absurdWithin(value: unknown, path: (string | number)[]): Problem | undefined {
  if (typeof value !== 'object' || value === null) return undefined;
  if (path.length > DEPTH_MOST)
    return new Problem('malformed-body', `The body nests deeper than ${DEPTH_MOST} levels.`);
  const at = (step: string | number, inner: unknown): Problem | undefined => {
    if (typeof inner !== 'object') return undefined;
    path.push(step);
    const absurd = absurdWithin(inner, path);
    path.pop();
    return absurd;
  };
  if (Array.isArray(value)) {
    for (let index = 0; index < value.length; index += 1) {
      const absurd = at(index, value[index]);
      if (absurd !== undefined) return absurd;
    }
    return undefined;
  }
  let fields = 0;
  for (const key in value) {
    fields += 1;
    if (fields > FIELDS_MOST) return tooManyFields(path);
    const absurd = at(key, (value as Record<string, unknown>)[key]);
    if (absurd !== undefined) return absurd;
  }
  return undefined;
}

function tooManyFields(path: readonly (string | number)[]): Problem {
  return new Problem('invalid-input', undefined, [
    {
      pointer: pointerOf(path),
      code: 'too-many-fields',
      allowed: `at most ${FIELDS_MOST} fields`,
      message: `This has more than ${FIELDS_MOST} fields.`,
    },
  ]);
}
