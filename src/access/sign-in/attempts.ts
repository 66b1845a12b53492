import { Injectable } from '@nestjs/common';
import { Problem } from '../../platform/http/problem.js';
import { SignInStore } from './sign-in.store.js';

const WINDOW_MINUTES = 15;
/**
 * Per pair of email and address, so that a stranger elsewhere cannot lock a person out; per address, so that one cannot
 * try many emails.
 */
const PAIR_ATTEMPTS = 8;
const ADDRESS_ATTEMPTS = 60;
/** Per person, and counted only for a caller who has shown the passphrase or a session: nobody else can use it up. */
const PERSON_ATTEMPTS = 8;

/** How often somebody may try what could be guessed. */
@Injectable()
export class Attempts {
  constructor(private readonly store: SignInStore) {}

  /** Before the caller is known: counts for the pair of name given and network address, and for the address. */
  async ofStranger(kind: string, named: string, address: string, moment: Date): Promise<void> {
    await this.#count(
      [
        [pairOf(kind, named, address), PAIR_ATTEMPTS],
        [`address:${address}`, ADDRESS_ATTEMPTS],
      ],
      moment,
    );
  }

  /** As `ofStranger`, of a request that has been counted for its address. */
  async ofPair(kind: string, named: string, address: string, moment: Date): Promise<void> {
    await this.#count([[pairOf(kind, named, address), PAIR_ATTEMPTS]], moment);
  }

  /** For a person who is already known: a one-time code, the present passphrase. */
  async ofPerson(personId: string, moment: Date): Promise<void> {
    await this.#count([[`person:${personId}`, PERSON_ATTEMPTS]], moment);
  }

  async forgetStranger(kind: string, named: string, address: string): Promise<void> {
    await this.store.forgetAttempts(pairOf(kind, named, address));
  }

  async forgetPerson(personId: string): Promise<void> {
    await this.store.forgetAttempts(`person:${personId}`);
  }

  async #count(limits: readonly (readonly [subject: string, most: number])[], moment: Date): Promise<void> {
    const counts = await this.store.countAttempt(
      limits.map(([subject]) => subject),
      moment,
      new Date(moment.getTime() - WINDOW_MINUTES * 60_000),
    );
    if (limits.some(([, most], index) => (counts[index] ?? 0) > most)) {
      throw new Problem('too-many-attempts', undefined, [], { 'Retry-After': String(WINDOW_MINUTES * 60) });
    }
  }
}

function pairOf(kind: string, named: string, address: string): string {
  // The key words for sign-in never change, so that a limit survives a new release.
  return kind === 'sign-in' ? `pair:${named}:${address}` : `${kind}:${named}:${address}`;
}
