import { z } from 'zod';
import { type AnyEndpoint, endpoint } from '../../platform/http/endpoint.js';
import { Problem, ruleBroken } from '../../platform/http/problem.js';
import { inUnitsAsked } from './units-asked.js';

/** Where a figure comes from: the formula in a line, who published it, when, and where in the publication. */
export interface Source {
  readonly formula: string;
  readonly author: string;
  readonly year: number | null;
  readonly where: string;
}

export const sourceOut = z
  .object({
    formula: z.string().describe('The formula or rule in a line'),
    author: z.string().describe('Author or institution'),
    year: z.number().int().describe('Year of publication; null where it is not known').nullable(),
    where: z.string().describe('Equation, table, page or publication'),
  })
  .meta({ id: 'CalculationSource', description: 'Where a calculation comes from' });

export const FAMILIES = ['forage', 'stock and money', 'budget', 'gain', 'requirements', 'ration', 'trial'] as const;
export type Family = (typeof FAMILIES)[number];

/**
 * A calculation as the server offers it: the endpoint, and the function behind it. It stores nothing and reads no
 * records.
 */
export interface Calculation {
  readonly name: string;
  readonly family: Family;
  readonly summary: string;
  readonly source: readonly Source[];
  readonly endpoint: AnyEndpoint;
  /** Done in a worker thread, because a large body can take a second or more. */
  readonly heavy: boolean;
  /** The answer to a body that its schema has parsed. */
  readonly run: (body: unknown) => Promise<unknown>;
}

interface CalculationOptions<Body extends z.ZodType, Answer extends z.ZodRawShape> {
  name: string;
  family: Family;
  summary: string;
  description?: string;
  source: readonly Source[];
  /** Left out where there is no input: the calculation is then read with GET. */
  body?: Body;
  answer: Answer;
  /** See `Calculation`. */
  heavy?: true;
  run: (body: z.output<Body>) => Working<Answer> | Promise<Working<Answer>>;
}
/** The answer; a `source` in it replaces the calculation's own, where the chosen method has another one. */
type Working<Answer extends z.ZodRawShape> = z.input<z.ZodObject<Answer>> & { source?: readonly Source[] };

/**
 * Declares a calculation: one object says what it takes, what it returns, its source and how it is computed. Input that
 * the equations cannot handle is refused with the rule-broken problem, never answered with NaN or infinity.
 */
export function calculation<Body extends z.ZodType = z.ZodUndefined, Answer extends z.ZodRawShape = z.ZodRawShape>(
  options: CalculationOptions<Body, Answer>,
): Calculation {
  const { name, family, summary, source, description, body, answer, run } = options;
  return {
    name,
    family,
    summary,
    source,
    heavy: options.heavy === true,
    endpoint: endpoint({
      method: body === undefined ? 'GET' : 'POST',
      // Nothing is read from the books.
      transaction: 'own',
      path: `/v1/calculations/${name}`,
      operationId: `calculate${spelled(name)}`,
      tag: 'Calculations',
      access: 'signed-in',
      status: 200,
      summary,
      description: [description, `Source: ${source.map(said).join('; ')}.`, 'Nothing is saved.']
        .filter((text) => text !== undefined)
        .join(' '),
      ...(body === undefined ? {} : { body }),
      answer: z.object({ ...answer, source: z.array(sourceOut).describe('Where the figures come from') }),
    }) as unknown as AnyEndpoint,
    run: async (given) => {
      refuseSecondCurrency(given);
      return { source, ...finite(await within(given, () => run(given as z.output<Body>))) };
    },
  };
}

function spelled(name: string): string {
  return name
    .split('-')
    .map((word) => word.charAt(0).toUpperCase() + word.slice(1))
    .join('');
}

function said({ formula, author, year, where }: Source): string {
  return `${formula} (${author}${year === null ? '' : ` ${year}`}, ${where})`;
}

/**
 * The core throws a RangeError where an equation has no answer. Everything an equation gets here comes from the body,
 * so the body is at fault.
 */
async function within<Answer>(body: unknown, work: () => Answer | Promise<Answer>): Promise<Answer> {
  try {
    return await work();
  } catch (error) {
    if (error instanceof RangeError)
      throw ruleBroken('#', 'outside-the-equation', null, 'values for which the equation has an answer', error.message);
    if (error instanceof Problem) throw inUnitsAsked(error, body);
    throw error;
  }
}

/** An answer that overflows a double is refused. */
function finite<Answer>(answer: Answer): Answer {
  const path = (value: unknown, here: string): string | undefined => {
    if (typeof value === 'number') return Number.isFinite(value) ? undefined : here;
    if (typeof value === 'string') return /^-?(NaN|Infinity)$/.test(value) ? here : undefined;
    if (typeof value !== 'object' || value === null) return undefined;
    return Object.entries(value)
      .map(([key, inner]) => path(inner, `${here}/${key}`))
      .find((found) => found !== undefined);
  };
  const found = path(answer, '');
  if (found !== undefined)
    throw ruleBroken(
      '#',
      'outside-the-equation',
      null,
      'values for which the equation has an answer',
      `The equations give no finite figure for ${found}.`,
    );
  return answer;
}

/** There is no exchange rate in these books: a request uses one currency. */
function refuseSecondCurrency(given: unknown): void {
  let first: string | undefined;
  const look = (value: unknown, here: string): void => {
    if (typeof value !== 'object' || value === null) return;
    for (const [key, inner] of Object.entries(value)) {
      if (key === 'currency' && typeof inner === 'string') {
        first ??= inner;
        if (inner !== first)
          throw ruleBroken(
            `${here}/currency`,
            'second-currency',
            inner,
            first,
            `A request must use one currency: ${first} came first.`,
          );
      } else look(inner, `${here}/${key}`);
    }
  };
  look(given, '#');
}
