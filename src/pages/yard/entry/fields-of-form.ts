import { shownUnit, systemOf, type Unit, unitRow, type UnitSystem } from '../../../core/units/unit.js';
import { spelled } from '../words.js';
import type { Typed } from './body-of-fields.js';
import type { Choices, EntryKind, FieldOfForm } from './entry-kinds.js';
import type { FieldShown } from './form.schema.js';
import { schemaOfField } from './schema-of-field.js';

type Option = FieldShown['options'][number];

/** What the fields of a form are filled from. */
export interface FormFacts {
  units: UnitSystem;
  currency: string;
  today: string;
  lists: Readonly<Record<Choices, readonly Option[]>>;
  vendors: readonly string[];
}

/** The fields as a page shows them, with what was typed before or else what they begin with. */
export function fieldsOfForm(kind: EntryKind, facts: FormFacts, typed: Typed): FieldShown[] {
  return kind.fields.map((field) => fieldOfForm(kind, field, facts, typed));
}

function fieldOfForm(kind: EntryKind, field: FieldOfForm, facts: FormFacts, typed: Typed): FieldShown {
  const { name, label, from, initially } = field;
  const schema = schemaOfField(kind.endpoint, name);
  const begins = initially === 'today' ? facts.today : (initially ?? '');
  const options = from === undefined ? optionsOf(field, schema?.words ?? null, facts) : [...facts.lists[from]];
  const [only] = options;
  const hasOne = from !== undefined && options.length === 1 && only !== undefined;
  const required = field.required === true || schema?.required === true;
  return {
    name,
    label,
    hint: hintOf(field, facts),
    // The one ranch there is needs no question.
    shows: hasOne && required && from === 'ranches' ? 'hidden' : showsOf(field, schema),
    value: typed[name] ?? (hasOne && required ? only.value : begins),
    options,
    unit: unitOfForm(kind, field, facts, typed),
    required,
    least: schema?.least ?? null,
    most: schema?.most ?? null,
    longest: schema?.longest ?? null,
    problem: null,
  };
}

function showsOf(
  { from, words, initially, unit, lines, box, name }: FieldOfForm,
  schema: ReturnType<typeof schemaOfField>,
): FieldShown['shows'] {
  if (box === true) return 'box';
  if (from !== undefined || words !== undefined || (schema?.words ?? null) !== null) return 'choice';
  if (initially === 'today') return 'day';
  if (schema?.type === 'integer') return 'whole';
  if (unit !== undefined || name.endsWith('bales') || name === 'freight') return 'figure';
  return lines === true ? 'lines' : 'text';
}

function optionsOf({ words, offers }: FieldOfForm, codes: readonly string[] | null, { vendors }: FormFacts): Option[] {
  if (offers !== undefined) return vendors.map((value) => ({ value, words: value }));
  if (words === undefined) return (codes ?? []).map((value) => ({ value, words: spelled(value) }));
  return Object.entries(words)
    .filter(([value]) => codes === null || codes.includes(value))
    .map(([value, said]) => ({ value, words: said }));
}

function hintOf({ name, hint }: FieldOfForm, { currency }: FormFacts): string | null {
  const money = name === 'price/amount' || name === 'freight' ? currency : null;
  const parts = [money, hint].filter((part) => part !== null && part !== undefined);
  return parts.length === 0 ? null : parts.join(', ');
}

function unitOfForm(
  { endpoint }: EntryKind,
  { unit }: FieldOfForm,
  { units }: FormFacts,
  typed: Typed,
): FieldShown['unit'] {
  if (unit === undefined) return null;
  const isPrice = unit.name === 'price/as';
  const codes = (schemaOfField(endpoint, isPrice ? 'price/per' : unit.name)?.words ?? []) as Unit[];
  const own = shownUnit(unit.of, units, unit.size);
  const near = (code: Unit): number => (code === own ? 0 : systemOf(code) === units ? 1 : 2);
  const sorted = [...codes].sort((one, other) => near(one) - near(other));
  const named = sorted.map((value) => ({
    value,
    words: isPrice ? `per ${unitRow(value).name}` : unitRow(value).plural,
  }));
  const others = [
    { value: 'per-bale', words: 'per bale' },
    { value: 'lump-sum', words: 'for all of it' },
  ];
  return { name: unit.name, value: typed[unit.name] ?? own, options: isPrice ? [...named, ...others] : named };
}
