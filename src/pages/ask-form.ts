import type { UnitSystem } from '../platform/wire/quantity.schema.js';
import { html, type Html } from './html.js';

/** What a page was asked and can be asked anew: days, units, and what goes along unseen. */
export interface Ask {
  days?: readonly { name: string; label: string; day: string }[];
  /** Null on a page over several operations, each in units of its own. */
  units: UnitSystem | null;
  /** All that was asked; what is no day and no unit is sent along as it was. */
  asked?: Readonly<Record<string, string>>;
}

const SYSTEMS: Readonly<Record<UnitSystem, string>> = {
  us: 'Pounds and short tons',
  metric: 'Kilograms and metric tons',
};

/** A form that asks for the same page of other days or in other units. It works without a script. */
export function askForm({ days = [], units, asked = {} }: Ask): Html {
  // The next page of a list begins after an item of this day.
  const shown = new Set(['units', 'cursor', ...days.map(({ name }) => name)]);
  const kept = Object.entries(asked).filter(([name]) => !shown.has(name));
  return html`<form class="ask" method="get">
${kept.map(([name, value]) => html`<input type="hidden" name="${name}" value="${value}">`)}
${days.map(
  ({ name, label, day }) =>
    html`<label>${label} <input type="date" name="${name}" value="${day}" required></label>
`,
)}<label>Units <select name="units">${unitOptions(units)}</select></label>
<button type="submit">Show</button>
</form>
`;
}

function unitOptions(chosen: UnitSystem | null): Html[] {
  const own = html`<option value="" selected>Those of each operation</option>`;
  const systems = Object.entries(SYSTEMS).map(([units, words]) =>
    units === chosen
      ? html`<option value="${units}" selected>${words}</option>`
      : html`<option value="${units}">${words}</option>`,
  );
  return chosen === null ? [own, ...systems] : systems;
}

/** The question as a link's query, in another form or with other values. */
export function askedAs({ days = [], units, asked = {} }: Ask, more: Readonly<Record<string, string>>): string {
  const shown = {
    ...Object.fromEntries(days.map(({ name, day }) => [name, day])),
    ...(units === null ? {} : { units }),
  };
  return `?${new URLSearchParams({ ...asked, ...shown, ...more }).toString()}`;
}

/** What was asked, as an address gives it. */
export function asSent(query: object): Record<string, string> {
  return Object.fromEntries(
    Object.entries(query).flatMap(([name, value]) => (value === undefined ? [] : [[name, String(value)] as const])),
  );
}
