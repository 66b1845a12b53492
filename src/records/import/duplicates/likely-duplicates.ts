import { Injectable } from '@nestjs/common';
import { isCalendarDay } from '../../../core/time/calendar-day.js';
import { counted } from '../../../core/units/counted.js';
import type { OperationTenant, SubjectRef } from '../../../platform/database/types.js';
import { Problem } from '../../../platform/http/problem.js';
import type { ColumnSet } from '../columns.js';
import type { FileRow } from '../csv-file.js';
import type { ImportKind } from '../import-kind.js';
import type { NameBook } from '../name-book.js';
import { RecordDraft } from '../record-draft.js';
import { PROBLEMS_LISTED_MAX } from '../row-problem.js';
import type { Likeness } from './likeness.js';
import { ROW_LIKENESS } from './row-likeness.js';
import { StandingLikenessRead } from './standing-likeness.read.js';

/** Rows that look like what is entered already, or like earlier rows of the file. */
export interface HeldBack {
  readonly rows: readonly number[];
  readonly on: string;
  readonly like: { readonly record: SubjectRef } | { readonly row: number };
}

interface FileOfKind {
  readonly kind: ImportKind;
  readonly set: ColumnSet;
  readonly names: NameBook;
}

/** Finds the rows of a file that likely are there already: of the same kind, day, herd or lot, and weight. */
@Injectable()
export class LikelyDuplicates {
  constructor(private readonly standing: StandingLikenessRead) {}

  /** @param groups the rows of the records that a file would make, in its order */
  async among(
    tenant: OperationTenant,
    { kind, set, names }: FileOfKind,
    groups: readonly (readonly FileRow[])[],
  ): Promise<HeldBack[]> {
    // Animals are compared one by one: a weigh-in exported again may have one more.
    const units = kind.code === 'animal-weights' ? groups.flat().map((row) => [row]) : groups;
    const looks = units.flatMap((rows) => {
      const likeness = ROW_LIKENESS[kind.code](new RecordDraft(rows, set), names);
      return likeness === undefined ? [] : [{ rows, ...likeness }];
    });
    const days = [...new Set(looks.map(({ on }) => on))].filter(isCalendarDay);
    const known = new Known();
    for (const { record, ...look } of await this.standing.of(tenant, kind.code, days)) known.add(look, { record });
    return looks.flatMap(({ rows, ...look }) => {
      const like = known.like(look);
      if (like === undefined) known.add(look, { row: rows[0]?.number ?? 0 });
      return like === undefined ? [] : [{ rows: rows.map(({ number }) => number), on: look.on, like }];
    });
  }
}

/** What is there already, and rows before. */
class Known {
  readonly #alike = new Map<string, { number: string; like: HeldBack['like'] }[]>();

  add({ on, key, number }: Likeness, like: HeldBack['like']): void {
    const alike = this.#alike.get(`${on} ${key}`);
    if (alike === undefined) this.#alike.set(`${on} ${key}`, [{ number, like }]);
    else alike.push({ number, like });
  }

  /** The first that looks the same and has no other number. */
  like({ on, key, number }: Likeness): HeldBack['like'] | undefined {
    const alike = this.#alike.get(`${on} ${key}`) ?? [];
    return alike.find((one) => one.number === '' || number === '' || one.number === number)?.like;
  }
}

/** The rows of a file without those that are held back; a record of which none is left is left out. */
export function withoutHeld(
  groups: readonly (readonly FileRow[])[],
  held: readonly HeldBack[],
): (readonly FileRow[])[] {
  const rows = new Set(held.flatMap((one) => one.rows));
  return groups.map((group) => group.filter(({ number }) => !rows.has(number))).filter(({ length }) => length > 0);
}

const DUPLICATES_ALLOWED = 'duplicates=skip to enter the other rows alone, or duplicates=enter to enter these too';

export function likelyDuplicates(held: readonly HeldBack[]): Problem {
  return new Problem(
    'likely-duplicates',
    `${counted(held.length, 'record')} of the file ${held.length === 1 ? 'looks' : 'look'} like one that is there ` +
      'already; nothing was saved.',
    held.slice(0, PROBLEMS_LISTED_MAX).map((one) => ({
      parameter: one.rows.map((row) => `row ${row}`).join(', '),
      code: 'likely-duplicate',
      given: 'record' in one.like ? one.like.record.id : `row ${one.like.row}`,
      allowed: DUPLICATES_ALLOWED,
      message: messageOf(one),
    })),
  );
}

export function messageOf({ on, like }: HeldBack): string {
  return 'record' in like
    ? `It looks like the ${like.record.kind.replaceAll('-', ' ')} of ${on} that is entered already.`
    : `It looks like row ${like.row} of this file.`;
}
