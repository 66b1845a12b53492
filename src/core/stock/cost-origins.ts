import type { Decimal } from '../units/decimal.js';

interface Row {
  readonly source: string;
  readonly raw: Decimal;
  /** The version that first has this row, and the first that no longer has it. */
  readonly from: number;
  until: number;
}

/** The origins of a balance as they were at one moment; taking it costs nothing. */
export interface OriginsThen {
  readonly origins: Origins;
  readonly version: number;
}

/**
 * Raw shares by source of cost, with every earlier version kept. A change adds a row or ends one and copies nothing, so
 * a pool may see any number of receipts, and a draw can still tell what it saw.
 */
export class Origins {
  readonly #rows: Row[] = [];
  readonly #ended: Row[] = [];
  readonly #now = new Map<string, Row>();
  #version = 0;

  get(source: string): Decimal | undefined {
    return this.#now.get(source)?.raw;
  }

  set(source: string, raw: Decimal): void {
    this.delete(source);
    const row = { source, raw, from: (this.#version += 1), until: Infinity };
    this.#rows.push(row);
    this.#now.set(source, row);
  }

  delete(source: string): void {
    const row = this.#now.get(source);
    if (row === undefined) return;
    row.until = this.#version += 1;
    this.#ended.push(row);
    this.#now.delete(source);
  }

  then(): OriginsThen {
    return { origins: this, version: this.#version };
  }

  /** Every source and its raw share at a version; at the present one, if none is named. */
  *at(version: number = this.#version): Generator<readonly [string, Decimal]> {
    for (const row of this.#rows) {
      if (row.from > version) return;
      if (row.until > version) yield [row.source, row.raw];
    }
  }

  /** The sources whose raw share was changed after a version, with what it was then. */
  changedSince(version: number): ReadonlyMap<string, Decimal | undefined> {
    const changed = new Map<string, Decimal | undefined>();
    for (let index = this.#rows.length - 1; index >= 0; index -= 1) {
      const row = this.#rows[index];
      if (row === undefined || row.from <= version) break;
      changed.set(row.source, undefined);
    }
    for (let index = this.#ended.length - 1; index >= 0; index -= 1) {
      const row = this.#ended[index];
      if (row === undefined || row.until <= version) break;
      if (row.from <= version) changed.set(row.source, row.raw);
    }
    return changed;
  }
}
