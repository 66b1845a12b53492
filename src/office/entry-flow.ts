import { isDeepStrictEqual } from 'node:util';

/** No entry is of an earlier day. */
export const BEFORE_ALL_BOOKS = '1990-01-01';

/** Where a page ended. */
export interface Place {
  on: string;
  entryId: string;
}

/** Entries in their order, taken page by page: each is worked out when it is about to be shown, and once. */
export class EntryFlow<Entry extends Place> {
  /** Worked out and not yet shown: at most the one that tells that there is another page. */
  #ahead: Entry[] = [];

  /** @param at where the page before ended; undefined at the beginning */
  constructor(
    private readonly entries: AsyncGenerator<Entry>,
    private at: Place | undefined,
    private readonly asked: object,
  ) {}

  /** Whether the next entry is the one after that place of the same list. */
  goesOn(place: Place | undefined, asked: object): boolean {
    return isDeepStrictEqual([this.at, this.asked], [place, asked]);
  }

  /** The next page, with one entry more, unless there are no more. */
  async next(limit: number): Promise<Entry[]> {
    const found = this.#ahead;
    while (found.length <= limit) {
      const one = await this.entries.next();
      if (one.done === true) break;
      found.push(one.value);
    }
    const last = found.slice(0, limit).at(-1);
    this.at = last === undefined ? this.at : { on: last.on, entryId: last.entryId };
    this.#ahead = found.slice(limit);
    return found;
  }
}
