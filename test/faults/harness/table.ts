import { Seeded } from './seeded.js';
import type { FaultKind, Outcome, Skipped } from './worlds.js';

/** One kind of fault as it was tried, for the table. */
export interface Tried {
  readonly name: string;
  readonly cells: readonly string[];
  /** Nothing was lost, doubled, half or wrong; or the kind could not be made here. */
  readonly faultless: boolean;
  readonly words: readonly string[];
}

const WORDS_MOST = 20;
const HEAD = ['fault', 'faults', 'acknowledged', 'lost', 'doubled', 'half', 'wrong', 'longest absence'];

interface Wanted {
  readonly seed: number;
  readonly count: number;
  readonly phones: number;
  readonly built: boolean;
  readonly tell: (words: string) => void;
}

/** Each kind begins with the seed of the run, so that one kind alone repeats what it did in a whole run. */
export async function tried(kind: FaultKind, { seed, ...wanted }: Wanted): Promise<Tried> {
  wanted.tell(`${wanted.count} times`);
  try {
    return lineOf(kind.name, await kind.run({ ...wanted, random: new Seeded(seed) }));
  } catch (error) {
    const words = error instanceof Error ? (error.stack ?? error.message) : String(error);
    return { name: kind.name, cells: [kind.name, 'broken off'], faultless: false, words: [words] };
  }
}

function lineOf(name: string, outcome: Outcome | Skipped): Tried {
  if ('skipped' in outcome)
    return { name, cells: [name, `not made: ${outcome.skipped}`], faultless: true, words: [outcome.skipped] };
  const { faults, acknowledged, lost, doubled, half, wrong, absenceMs } = outcome;
  const lists = { lost, doubled, half, wrong };
  return {
    name,
    cells: [
      name,
      ...[faults, acknowledged, lost.length, doubled.length, half.length, wrong.length].map(String),
      `${(absenceMs / 1000).toFixed(1)} s`,
    ],
    faultless: Object.values(lists).every((list) => list.length === 0) && acknowledged > 0,
    words: Object.entries(lists).flatMap(([what, list]) => list.slice(0, WORDS_MOST).map((one) => `${what}: ${one}`)),
  };
}

export function tableOf(lines: readonly Tried[]): string {
  const rows = [HEAD, ...lines.map(({ cells }) => cells)];
  const widths = HEAD.map((_, column) =>
    Math.max(...rows.filter((row) => row.length === HEAD.length).map((row) => row[column]?.length ?? 0)),
  );
  widths[0] = Math.max(...rows.map((row) => row[0]?.length ?? 0));
  return rows
    .map((row) =>
      row
        .map((cell, column) => (column === 0 ? cell.padEnd(widths[0] ?? 0) : cell.padStart(widths[column] ?? 0)))
        .join('  ')
        .trimEnd(),
    )
    .join('\n');
}
