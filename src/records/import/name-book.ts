import { withArticle } from '../../core/units/counted.js';
import { id as idSchema } from '../../platform/wire/common.schema.js';
import { nameKey } from '../../core/units/name-key.js';
import type { RecordDraft } from './record-draft.js';
import type { FileRow } from './csv-file.js';

export const NAMED_KINDS = ['ranch', 'place', 'herd', 'lot'] as const;
export type NamedKind = (typeof NAMED_KINDS)[number];

/**
 * Names as people write them in a file, and the ids behind them. Lots that the file itself creates are added as they
 * are created.
 */
export class NameBook {
  readonly #ids: Readonly<Record<NamedKind, Map<string, Set<string>>>> = {
    ranch: new Map(),
    place: new Map(),
    herd: new Map(),
    lot: new Map(),
  };

  /** As names are taken for each other: how they are written, and the ids behind them. */
  readonly #alike: Readonly<Record<NamedKind, Map<string, Set<string>>>> = {
    ranch: new Map(),
    place: new Map(),
    herd: new Map(),
    lot: new Map(),
  };
  readonly #about = new Map<string, string>();

  add(kind: NamedKind, name: string, id: string): void {
    for (const [names, key] of [
      [this.#ids[kind], name],
      [this.#alike[kind], nameKey(name)],
    ] as const)
      names.set(key, (names.get(key) ?? new Set()).add(id));
  }

  /** Words by which one of several of a name is told from the others. */
  describe(id: string, words: string): void {
    this.#about.set(id, words);
  }

  /** Ids that share a name with another of their kind. */
  ambiguous(kind: NamedKind): string[] {
    return [...this.#alike[kind].values()].filter((ids) => ids.size > 1).flatMap((ids) => [...ids]);
  }

  /** Those that are called so to the letter, else those whose name is taken for it. */
  idsOf(kind: NamedKind, text: string): string[] {
    if (idSchema.safeParse(text).success) return [text.toLowerCase()];
    return [...(this.#ids[kind].get(text) ?? this.#alike[kind].get(nameKey(text)) ?? [])];
  }

  /** Puts the id that a cell means into the draft, or reports what is wrong with the name. */
  resolve(draft: RecordDraft, pointer: string, row: FileRow, column: string, kind: NamedKind): string | undefined {
    const given = row.cells.get(column);
    const place = { row: row.number, column };
    const ids = given === undefined ? [] : this.idsOf(kind, given);
    draft.put(pointer, ids.length === 1 ? ids[0] : undefined, place);
    if (given !== undefined && ids.length !== 1) {
      const what = { ranch: 'ranch', place: 'place', herd: 'herd', lot: 'hay lot' }[kind];
      if (ids.length === 0)
        draft.complain(
          row.number,
          column,
          'no-such-name',
          given,
          this.#namesIn(kind, what),
          `There is no ${what} called "${given}" in this operation.`,
        );
      else
        draft.complain(
          row.number,
          column,
          'name-not-unique',
          given,
          `the id of one of them: ${ids.map((id) => this.#about.get(id) ?? id).join(', ')}`,
          `Several ${what}s are called "${given}".`,
        );
    }
    return ids.length === 1 ? ids[0] : undefined;
  }

  #namesIn(kind: NamedKind, what: string): string {
    const names = [...this.#ids[kind].keys()];
    return names.length === 0
      ? `the name or id of ${withArticle(what)}; there is none yet`
      : `the name or id of ${withArticle(what)}: ${names.slice(0, 20).join(', ')}${names.length > 20 ? ', …' : ''}`;
  }
}
