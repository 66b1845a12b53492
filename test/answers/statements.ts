import { type Entry, readRecording } from './recording.js';

/** The addresses that a ranch's day and an office's month ask most. */
const BUSIEST = [
  'GET /v1/operations',
  'GET /v1/operations/{operation}/herds',
  'GET /v1/operations/{operation}/hay-lots',
  'GET /v1/operations/{operation}/feedings',
  'GET /v1/operations/{operation}/places/{id}/feed-sheet',
  'GET /v1/operations/{operation}/herds/{id}/requirements',
  'GET /v1/operations/{operation}/reports/hay-position',
  'GET /yard/operations/{operation}',
  'POST /v1/operations/{operation}/feedings',
  'POST /v1/operations/{operation}/weigh-ins',
  'POST /v1/sign-in',
];

export interface StatementCount {
  address: string;
  answers: number;
  /** Of the answers that succeeded: fewest, middle, most. */
  least: number;
  middle: number;
  most: number;
}

/** How many SQL statements each address took, by the answers of a recording. */
export async function statementsOf(file: string): Promise<{ busiest: StatementCount[]; all: StatementCount[] }> {
  const counts = new Map<string, number[]>();
  for await (const entry of readRecording(file)) {
    if (entry.status >= 300) continue;
    const address = addressOf(entry);
    const known = counts.get(address) ?? [];
    known.push(entry.statements);
    counts.set(address, known);
  }
  const all = [...counts].map(([address, given]): StatementCount => {
    const sorted = given.toSorted((one, other) => one - other);
    const at = (share: number): number => sorted[Math.floor(share * (sorted.length - 1))] ?? 0;
    return { address, answers: sorted.length, least: at(0), middle: at(0.5), most: at(1) };
  });
  all.sort((one, other) => one.address.localeCompare(other.address));
  return { busiest: all.filter((one) => BUSIEST.includes(one.address)), all };
}

function addressOf({ method, path }: Entry): string {
  const [bare = ''] = path.split('?');
  const named = bare.replace(/operations\/<id \d+>/, 'operations/{operation}').replaceAll(/<[a-z]+ \d+>/g, '{id}');
  return `${method} ${named}`;
}
