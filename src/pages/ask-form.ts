import type { UnitSystem } from '../platform/wire/quantity.schema.js';
import { html, type Html } from './html.js';

/** What a page was asked and can be asked anew: days, units, and what goes along unseen. */
export interface Ask {
  days?: readonly { name: string; label: string; day: string; type?: 'month' }[];
  /** Null on a page over several operations, each in units of its own; left out where there is only money. */
  units?: UnitSystem | null;
  choices?: readonly { name: string; label: string; chosen: string; of: Readonly<Record<string, string>> }[];
  /** All that was asked; what is no day and no unit is sent along as it was. */
  asked?: Readonly<Record<string, string>>;
}

const SYSTEMS: Readonly<Record<UnitSystem, string>> = {
  us: 'Pounds and short tons',
  metric: 'Kilograms and metric tons',
};

/** A form that asks for the same page of other days or in other units. It works without a script. */
export function askForm({ days = [], units, choices = [], asked = {} }: Ask): Html {
  // The next page of a list begins after an item of this day.
  const shown = new Set(['units', 'cursor', ...[...days, ...choices].map(({ name }) => name)]);
  const kept = Object.entries(asked).filter(([name]) => !shown.has(name));
  return html`<form class="ask" method="get">
${kept.map(([name, value]) => html`<input type="hidden" name="${name}" value="${value}">`)}
${days.map(
  ({ name, label, day, type = 'date' }) =>
    html`<label>${label} <input type="${type}" name="${name}" value="${day}" required></label>
`,
)}${choices.map(choiceField)}${units === undefined ? null : unitsField(units)}
<button type="submit">Show</button>
</form>
`;
}

type Choice = NonNullable<Ask['choices']>[number];

function choiceField({ name, label, chosen, of }: Choice): Html {
  const options = Object.entries(of).map(([value, words]) =>
    value === chosen
      ? html`<option value="${value}" selected>${words}</option>`
      : html`<option value="${value}">${words}</option>`,
  );
  return html`<label>${label} <select name="${name}">${options}</select></label>
`;
}

function unitsField(units: UnitSystem | null): Html {
  const own = units === null ? { '': 'Those of each operation' } : {};
  return choiceField({ name: 'units', label: 'Units', chosen: units ?? '', of: { ...own, ...SYSTEMS } });
}

/** The question as a link's query, in another form or with other values. */
export function askedAs(
  { days = [], units, choices = [], asked = {} }: Ask,
  more: Readonly<Record<string, string>>,
): string {
  const shown = {
    ...Object.fromEntries(days.map(({ name, day }) => [name, day])),
    ...Object.fromEntries(choices.map(({ name, chosen }) => [name, chosen])),
    ...(units === null || units === undefined ? {} : { units }),
  };
  return `?${new URLSearchParams({ ...asked, ...shown, ...more }).toString()}`;
}

/** What was asked, as an address gives it. */
export function asSent(query: object): Record<string, string> {
  return Object.fromEntries(
    Object.entries(query).flatMap(([name, value]) => (value === undefined ? [] : [[name, String(value)] as const])),
  );
}
