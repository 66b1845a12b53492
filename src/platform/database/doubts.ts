import { Problem } from '../http/problem.js';
import type { SubjectRef } from './types.js';

/** Why an entry is unlikely, though not impossible, told in the units of the operation. */
export interface Doubt {
  /** Code that stays the same between releases: what a person says yes to. */
  readonly code: string;
  /** The field that it is about, a JSON Pointer into the body. */
  readonly pointer: string;
  readonly given: string;
  /** What would not have been asked about. */
  readonly usual: string;
  readonly source: string;
  readonly message: string;
  /** Tells a price: kept from whoever may see none. */
  readonly aboutMoney?: boolean;
}

/** A doubt of a record that was written in this transaction. */
export interface RecordDoubt extends Doubt {
  readonly subject: SubjectRef;
  /** The day of the record. */
  readonly on: string;
}

/**
 * What is unlikely of the entries of one transaction. It commits only if each of the codes was confirmed by the request
 * (`confirm`); the database then keeps them (`confirmed_entry`). Otherwise nothing is saved and all of it is asked.
 */
export class Doubts {
  readonly #confirmed: Set<string>;
  #raised: Doubt[] = [];
  #ofRecords: RecordDoubt[] = [];
  /** The same by record: of a long file, each is asked about. */
  readonly #byRecord = new Map<string, RecordDoubt[]>();
  /** Where in the body the entry stands. */
  #within = '#';

  constructor(confirmed: readonly string[] = []) {
    this.#confirmed = new Set(confirmed);
  }

  /** The entry is a part of the body, and pointers are into it. */
  within(pointer: string): void {
    this.#within = pointer;
  }

  confirm(codes: readonly string[]): void {
    for (const code of codes) this.#confirmed.add(code);
  }

  /** Of an entry whose record is yet to be written: the next that is given to `of` takes it. */
  raise(...doubts: readonly Doubt[]): void {
    this.#raised.push(...doubts);
  }

  /** All that was raised since the last record, and `more`, is about this one. Returns what is unlikely of it. */
  of(subject: SubjectRef, on: string, more: readonly Doubt[] = []): readonly Doubt[] {
    const raised = [...this.#raised, ...more];
    this.#raised = [];
    const ofRecord = raised.map((doubt) => ({ ...doubt, subject, on }));
    this.#ofRecords.push(...ofRecord);
    if (ofRecord.length > 0) this.#byRecord.set(subject.id, [...this.about(subject.id), ...ofRecord]);
    return this.about(subject.id);
  }

  about(recordId: string): readonly RecordDoubt[] {
    return this.#byRecord.get(recordId) ?? [];
  }

  /** A record that is not written after all leaves no doubt. */
  mark(): number {
    return this.#ofRecords.length;
  }

  backTo(mark: number): void {
    for (const { subject } of this.#ofRecords.splice(mark)) this.#byRecord.delete(subject.id);
    this.#raised = [];
  }

  /** Of everything written, what was not confirmed. */
  unconfirmed(): readonly Doubt[] {
    return this.all().filter(({ code }) => !this.#confirmed.has(code));
  }

  all(): readonly (Doubt | RecordDoubt)[] {
    return [...this.#ofRecords, ...this.#raised];
  }

  /** What is to be kept. @throws Problem confirm where something was not confirmed */
  settled(): readonly RecordDoubt[] {
    const open = this.unconfirmed();
    if (open.length > 0)
      throw askFor(open, this.codes(), ({ pointer }) => ({ pointer: pointer.replace('#', this.#within) }));
    return this.#ofRecords;
  }

  /** Every code there is to say yes to. */
  codes(): string[] {
    return [...new Set(this.all().map(({ code }) => code))].sort();
  }
}

const ASKED_MOST = 50;

/** The question, with what to send for a yes. `place` names the field where it is not of a JSON body. */
export function askFor<Reason extends Doubt>(
  open: readonly Reason[],
  codes: readonly string[],
  place: (reason: Reason) => { pointer: string } | { parameter: string } = ({ pointer }) => ({ pointer }),
): Problem {
  const yes = `confirm=${codes.join(',')}`;
  return new Problem(
    'confirm',
    `${open[0]?.message ?? ''} If ${open.length === 1 ? 'it is' : 'all of it is'} right, send the same request with ` +
      `?${yes}. Nothing was saved.`,
    open.slice(0, ASKED_MOST).map((reason) => {
      const { code, given, usual, source, message } = reason;
      const allowed = `${usual}; or ?confirm=${code} with the same request`;
      return { ...place(reason), code, given, usual, source, allowed, message };
    }),
  );
}
