import { z } from 'zod';
import type { InputOf } from '../../platform/http/endpoint.js';
import { type FieldProblem, pointerOf } from '../../platform/http/problem.js';
import { name } from '../../platform/wire/common.schema.js';
import { type createRation, type rationOut, unsavedContent } from '../../desk/rations/ration.schema.js';

/** A ration is laid with at most so many lots on this page, one a row, bottom first. */
const ROWS = [1, 2, 3, 4, 5, 6] as const;
export const RATION_ROWS: readonly number[] = ROWS;
export const SAME_LAYER = 'same';

const text = z.string().max(120).optional();
const ROW_FIELDS = ['role', 'lot', 'share', 'weight', 'unit', 'free'] as const;
const TOP_FIELDS = ['name', 'basis', 'amount', 'amountBasis', 'unit', 'wasted'] as const;

/** What the form sends, as typed. */
export const rationFields = Object.fromEntries(
  [...TOP_FIELDS, ...ROWS.flatMap((row) => ROW_FIELDS.map((field) => `${field}${row}`))].map((field) => [field, text]),
);
export type RationTyped = Readonly<Record<string, string>>;

/** What is wrong, at the field of the form where it was typed; `''` where it is about the whole. */
export interface FieldTold {
  readonly field: string;
  readonly message: string;
}

type Content = Pick<
  InputOf<typeof createRation>['body'],
  'name' | 'basis' | 'amount' | 'layers' | 'templateKey' | 'wastedPercent'
>;
export type LaidForm =
  | { readonly ok: true; readonly content: Content; readonly fieldOf: (pointer: string) => string }
  | { readonly ok: false; readonly problems: readonly FieldTold[] };

const contentSchema = z.strictObject({ name, ...unsavedContent });

/** The ration that a form says, in the words of the API, which alone knows what is right of it. */
export function laidByForm(typed: RationTyped): LaidForm {
  const of = (field: string): string => (typed[field] ?? '').trim();
  const unit = of('unit') === '' ? 'lb' : of('unit');
  const layers: { role: string; parts: object[]; rows: number[] }[] = [];
  for (const row of ROWS) {
    if (of(`lot${row}`) === '') continue;
    const [share, weight] = [of(`share${row}`), of(`weight${row}`)];
    const part = {
      hayLotId: of(`lot${row}`),
      ...(share === '' ? {} : { sharePercent: share }),
      ...(weight === '' ? {} : { weight: { value: weight, unit: of(`unit${row}`) } }),
      ...(of(`free${row}`) === '' ? {} : { freeChoice: true }),
    };
    const below = layers.at(-1);
    if (of(`role${row}`) === SAME_LAYER && below !== undefined) {
      below.parts.push(part);
      below.rows.push(row);
    } else layers.push({ role: of(`role${row}`), parts: [part], rows: [row] });
  }
  const amount = of('amount');
  const parsed = contentSchema.safeParse({
    name: of('name'),
    basis: of('basis'),
    ...(amount === '' ? {} : { amount: { weight: { value: amount, unit }, basis: of('amountBasis') } }),
    layers: layers.map(({ role, parts }) => ({ role, parts })),
    ...(of('wasted') === '' ? {} : { wastedPercent: of('wasted') }),
  });
  const fieldOf = (pointer: string): string =>
    fieldAt(
      pointer,
      layers.map(({ rows }) => rows),
    );
  if (parsed.success) return { ok: true, content: parsed.data, fieldOf };
  const problems = parsed.error.issues.map((issue) => ({
    field: fieldOf(pointerOf(issue.path)),
    message: issue.path[0] === 'layers' && issue.path.length === 1 ? 'Lay at least one lot.' : issue.message,
  }));
  return { ok: false, problems };
}

/** The field of the form that a place in the body came from. */
function fieldAt(pointer: string, rows: readonly (readonly number[])[]): string {
  const [top = '', layer, inLayer, part, field = ''] = pointer.replace(/^#\/?/, '').split('/');
  if (top !== 'layers') {
    if (top === 'wastedPercent') return 'wasted';
    if (top === 'amount') return pointer.endsWith('/basis') ? 'amountBasis' : 'amount';
    return (TOP_FIELDS as readonly string[]).includes(top) ? top : '';
  }
  const ofLayer = rows[Number(layer)];
  if (ofLayer === undefined) return '';
  const row = ofLayer[inLayer === 'parts' ? Number(part ?? 0) : 0] ?? ofLayer[0] ?? 1;
  if (inLayer === 'role') return `role${row}`;
  return `${field.startsWith('weight') ? 'weight' : field.startsWith('hayLotId') ? 'lot' : 'share'}${row}`;
}

/** What of a problem that a service told belongs where. */
export function toldAt(
  errors: readonly FieldProblem[],
  detail: string | undefined,
  fieldOf: (pointer: string) => string,
): FieldTold[] {
  const told = errors.map(({ pointer, message, allowed }) => ({
    field: pointer === undefined ? '' : fieldOf(pointer),
    message: `${message} Allowed: ${allowed}.`,
  }));
  return told.length > 0 ? told : [{ field: '', message: detail ?? 'This cannot be laid.' }];
}

/** A ration on record as the form would have it typed; what has more lots than the form has rows is cut. */
export function typedOf(ration: z.output<typeof rationOut>, units: 'us' | 'metric'): RationTyped {
  const unit = units === 'us' ? 'lb' : 'kg';
  const rows = ration.layers.flatMap(({ role, parts }) =>
    parts.map((part, index) => ({ role: index === 0 ? role : SAME_LAYER, part })),
  );
  return {
    name: `${ration.name}, changed`,
    basis: ration.basis,
    amountBasis: ration.amount.basis,
    amount: ration.amount.weight.typed.value,
    unit: ration.amount.weight.typed.unit,
    wasted: ration.wastedPercent ?? '',
    ...Object.fromEntries(
      rows.slice(0, ROWS.length).flatMap(({ role, part }, index) => {
        const row = String(index + 1);
        return [
          [`role${row}`, role],
          [`lot${row}`, part.hayLotId],
          [`share${row}`, part.sharePercent ?? ''],
          [`weight${row}`, part.weight?.typed.value ?? ''],
          [`unit${row}`, part.weight?.typed.unit ?? unit],
          [`free${row}`, part.freeChoice ? 'yes' : ''],
        ];
      }),
    ),
  };
}
