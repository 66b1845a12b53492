import type { Address } from './addresses.js';

export type Query = Readonly<Record<string, string>>;

/** Ids that a list can be narrowed by, and the places in the demo where each is found. */
export type Narrowing = Readonly<Record<string, string | undefined>>;

const WINTER = { from: '2025-11-01', until: '2026-03-31', on: '2026-03-31' };
const GAIN = { from: '2025-11-14', until: '2026-03-31' };
const COMING = { from: '2026-11-25', until: '2027-04-30' };

/** What an address needs to answer at all. */
export function least({ template, query }: Address): Query {
  const days: Readonly<Record<string, string>> = /cost-of-gain|feed-conversion/.test(template)
    ? { ...WINTER, ...GAIN }
    : WINTER;
  return Object.fromEntries(
    query.filter((one) => one.required).map((one) => [one.name, one.choices[0] ?? days[one.name] ?? '']),
  );
}

const GIVEN: Readonly<Record<string, readonly string[]>> = {
  on: ['2026-02-15'],
  knownAt: ['2026-01-31T12:00:00.000Z'],
  at: ['2026-02-15T12:00:00.000Z'],
  windowDays: ['3'],
  intakePercent: ['2.2'],
  wastePercent: ['10'],
  hayMustLastDays: ['60'],
  action: ['access.denied'],
  after: ['3'],
};

/** Every question worth asking of an address: each choice of each parameter by itself, each form in both units. */
export function questions(address: Address, ids: Narrowing): Query[] {
  const { template, query } = address;
  const base = least(address);
  const found: Query[] = [base];
  const names = query.map((one) => one.name);
  const forms = query.find((one) => one.name === 'format')?.choices.filter((one) => one !== 'json') ?? [];
  for (const { name, choices } of query) {
    if (name === 'format') found.push(...choices.map((value) => ({ ...base, format: value })));
    else if (choices.length > 0) found.push(...choices.map((value) => ({ ...base, [name]: value })));
    else if (ids[name] !== undefined) found.push({ ...base, [name]: ids[name] });
    else found.push(...(GIVEN[name] ?? []).map((value) => ({ ...base, [name]: value })));
    if (name === 'by' || name === 'view')
      found.push(
        ...choices.filter(() => forms.includes('csv')).map((value) => ({ ...base, [name]: value, format: 'csv' })),
      );
  }
  if (names.includes('from') && names.includes('until')) {
    found.push({ ...base, from: '2026-01-01', until: '2026-01-31' });
    if (template.includes('budget')) found.push({ ...base, ...COMING }, { ...base, ...COMING, units: 'metric' });
  }
  if (names.includes('units'))
    found.push(...forms.filter((form) => form !== 'xlsx').map((format) => ({ ...base, units: 'metric', format })));
  if (names.includes('limit')) found.push({ ...base, limit: '2' });
  const seen = new Set<string>();
  return found.filter((one) => {
    const text = JSON.stringify(Object.entries(one).sort());
    if (seen.has(text)) return false;
    seen.add(text);
    return true;
  });
}

/** For a second and third record of a kind: as it comes, and in the other units. */
export function fewQuestions(address: Address): Query[] {
  const base = least(address);
  return address.query.some((one) => one.name === 'units')
    ? [base, { ...base, units: 'us' }, { ...base, units: 'metric' }]
    : [base];
}

/** As it comes, and in each form that is offered. */
export function formQuestions(address: Address): Query[] {
  const base = least(address);
  const forms = address.query.find((one) => one.name === 'format')?.choices ?? [];
  return [base, ...forms.filter((one) => one !== 'json').map((format) => ({ ...base, format }))];
}
