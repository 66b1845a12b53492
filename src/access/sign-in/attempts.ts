import { Injectable } from '@nestjs/common';
import { Problem } from '../../platform/http/problem.js';
import { KnownDevices } from './known-devices.js';
import { networkOf } from './network.js';
import { type AttemptRow, SignInStore } from './sign-in.store.js';

const WINDOW_MINUTES = 15;
/**
 * Per pair of email and address, so that a stranger elsewhere cannot lock a person out; per address, so that one cannot
 * try many emails.
 */
const PAIR_ATTEMPTS = 8;
const ADDRESS_ATTEMPTS = 60;
/**
 * Per account, from wherever: after so many failures within the window, one try in every so many seconds. Whoever comes
 * from where they signed in lately, or with the mark of a device of theirs, is not slowed.
 */
const ACCOUNT_ATTEMPTS = 20;
const ACCOUNT_PAUSE_SECONDS = 30;
const KNOWN_FOR_DAYS = 30;
/**
 * Enrollments in one address that each operation (or person, who takes another address) has for itself within so many
 * hours, whatever others have used up: an invitation is spent by a guess, so its operation answers for it.
 */
const OWN_ENROLLMENTS = 3;
const OWN_ENROLLMENT_HOURS = 6;
/** Per person, and counted only for a caller who has shown the passphrase or a session: nobody else can use it up. */
const PERSON_ATTEMPTS = 8;
/**
 * Mail that may be asked for within the window: by one person, from one network, and by the people whom one operation
 * vouched for. How much one address gets, the sender sees to (`access/mail/mail-outbox.store.ts`): a refusal here would
 * tell that others name it.
 */
const MAIL_OF_PERSON = 3;
const MAIL_OF_NETWORK = 30;
const MAIL_OF_OPERATION = 30;

/** An attempt that was counted, to be taken back if it turns out to be no guess. */
export interface CountedAttempt {
  readonly rows: readonly AttemptRow[];
  /** Of email and address; none where only the device of the person was counted. */
  readonly pair?: string;
}

/** The accounts that name an email: none, one, or several while nobody has proven it. */
interface NamedAccounts {
  email: string;
  personIds: readonly string[];
}

/** Who answers for an enrollment, and where it comes from. */
interface Enrollment {
  answersFor: string;
  address: string;
}

/** With the accounts that were signed in to from this address lately, or on this device. */
interface AccountAttempt extends CountedAttempt {
  readonly knownTo: readonly string[];
}

/** How often somebody may try what could be guessed. Counted in the database, for all servers together. */
@Injectable()
export class Attempts {
  constructor(
    private readonly store: SignInStore,
    private readonly devices: KnownDevices,
  ) {}

  /** Before the caller is known: counts for the pair of name given and network address, and for the address. */
  async ofStranger(kind: string, named: string, address: string, moment: Date): Promise<CountedAttempt> {
    const pair = pairOf(kind, named, address);
    const rows = await this.#count(
      [
        [pair, PAIR_ATTEMPTS],
        [`address:${networkOf(address)}`, ADDRESS_ATTEMPTS],
      ],
      moment,
    );
    return { rows, pair };
  }

  /**
   * The same for signing in to an account, which is slowed while many addresses guess at it. An email without an
   * account is treated alike, so that the answers tell nothing. Attempts with the mark of the person's own device count
   * for that device alone: behind one address others may guess. Not where several accounts name the email, or a mark of
   * one of them would be for guesses at the others.
   */
  async ofAccount(
    named: NamedAccounts,
    { address, device }: { address: string; device: string | undefined },
    moment: Date,
  ): Promise<AccountAttempt> {
    const owner = await this.#ownerOf(device, moment);
    const own = owner !== undefined && named.personIds.length === 1 && named.personIds[0] === owner;
    const counted = own ? { rows: [] } : await this.ofStranger('sign-in', named.email, address, moment);
    return this.#slowed(named, { address, owner }, counted, moment);
  }

  /**
   * Whose device shows its mark; nobody's once it has been used for as many attempts as one address may make, right
   * ones too: a mark may be stolen.
   */
  async #ownerOf(device: string | undefined, moment: Date): Promise<string | undefined> {
    const owner = device === undefined ? undefined : this.devices.personOf(device, moment);
    if (device === undefined || owner === undefined) return undefined;
    const [counted] = await this.store.countAttempt([`device:${device}`], moment, windowBefore(moment));
    return (counted?.attempts ?? 0) > PAIR_ATTEMPTS ? undefined : owner;
  }

  /**
   * As `ofAccount`, for an enrollment, which comes from no address that is known. It counts as a guess even where it
   * succeeds, since that tells that the passphrase opens no other account of the email; and apart from those at
   * sign-in, where the guess at which one is refused would tell who enrolled lately. The first few of each operation
   * or person are counted and let pass, or others could keep the true owner of the address out.
   * @param answersFor the operation that invited, or the person who takes the address
   */
  async ofEnrollment(email: string, { answersFor, address }: Enrollment, moment: Date): Promise<void> {
    const pair = pairOf('enrollment', email, address);
    const [own] = await this.store.countAttempt(
      [`enrollment-by:${answersFor}:${email}`],
      moment,
      new Date(moment.getTime() - OWN_ENROLLMENT_HOURS * 3_600_000),
    );
    try {
      const counted = { rows: await this.#count([[pair, PAIR_ATTEMPTS]], moment), pair };
      await this.#spaced(`enrollment:${email}`, counted, moment);
    } catch (error) {
      if (!(error instanceof Problem) || (own?.attempts ?? 0) > OWN_ENROLLMENTS) throw error;
    }
  }

  /** By whoever holds a code that is right. A wrong one is a stranger's guess, and counted as that. */
  async ofCode(kind: string, proof: string, moment: Date): Promise<void> {
    await this.#count([[`${kind}:${proof}`, PAIR_ATTEMPTS]], moment);
  }

  /**
   * Once it is known which of the accounts of an email was opened, if any: an address that is known to another of them
   * only is none that the person signed in from, and is slowed like any other.
   */
  async unlessKnown(
    attempt: AccountAttempt,
    { email, personIds, opened }: NamedAccounts & { opened: string | undefined },
    moment: Date,
  ): Promise<CountedAttempt> {
    const { knownTo } = attempt;
    const known = opened === undefined ? personIds.every((id) => knownTo.includes(id)) : knownTo.includes(opened);
    return knownTo.length === 0 || known ? attempt : this.#spaced(`account:${email}`, attempt, moment);
  }

  async #slowed(
    { email, personIds }: NamedAccounts,
    { address, owner }: { address: string; owner: string | undefined },
    counted: CountedAttempt,
    moment: Date,
  ): Promise<AccountAttempt> {
    const since = new Date(moment.getTime() - KNOWN_FOR_DAYS * 86_400_000);
    const knownTo: string[] = [];
    for (const id of personIds.length === 0 ? [NOBODY] : personIds)
      if ((await this.store.addressesSince(id, since)).map(networkOf).includes(networkOf(address)) || id === owner)
        knownTo.push(id);
    return { ...(knownTo.length > 0 ? counted : await this.#spaced(`account:${email}`, counted, moment)), knownTo };
  }

  async #spaced(subject: string, counted: CountedAttempt, moment: Date): Promise<CountedAttempt> {
    const row = await this.store.countSpaced(
      { subject, free: ACCOUNT_ATTEMPTS, pauseSeconds: ACCOUNT_PAUSE_SECONDS },
      moment,
      windowBefore(moment),
    );
    if (row === undefined)
      throw new Problem(
        'too-many-attempts',
        'Somebody has been guessing at this account from many addresses, so it is slowed. ' +
          'From an address or with a device that you signed in from lately it is not.',
        [],
        { 'Retry-After': String(ACCOUNT_PAUSE_SECONDS) },
      );
    return { ...counted, rows: [...counted.rows, row] };
  }

  /** Mail is asked for, which counts whatever comes of it. */
  async ofMail(
    { personId, operationId }: { personId: string; operationId: string | null },
    address: string,
    moment: Date,
  ): Promise<void> {
    await this.#count(
      [
        [`mail:person:${personId}`, MAIL_OF_PERSON],
        [`mail:network:${networkOf(address)}`, MAIL_OF_NETWORK],
        ...(operationId === null ? [] : [[`mail:operation:${operationId}`, MAIL_OF_OPERATION] as const]),
      ],
      moment,
      'So much mail was asked for lately that no more is sent for a while.',
    );
  }

  /** For a person who is already known: a one-time code, the present passphrase. */
  async ofPerson(personId: string, moment: Date): Promise<void> {
    await this.#count([[`person:${personId}`, PERSON_ATTEMPTS]], moment);
  }

  /** It was no guess: it counts for nobody. */
  async takeBack({ rows }: CountedAttempt): Promise<void> {
    if (rows.length > 0) await this.store.takeBack(rows);
  }

  /** It was right: nor do the slips before it count for this person at this address. */
  async succeeded(attempt: CountedAttempt): Promise<void> {
    await this.takeBack(attempt);
    if (attempt.pair !== undefined) await this.store.forgetAttempts(attempt.pair);
  }

  async forgetStranger(kind: string, named: string, address: string): Promise<void> {
    await this.store.forgetAttempts(pairOf(kind, named, address));
  }

  async forgetCode(kind: string, proof: string): Promise<void> {
    await this.store.forgetAttempts(`${kind}:${proof}`);
  }

  async forgetPerson(personId: string): Promise<void> {
    await this.store.forgetAttempts(`person:${personId}`);
  }

  async #count(
    limits: readonly (readonly [subject: string, most: number])[],
    moment: Date,
    words?: string,
  ): Promise<AttemptRow[]> {
    const counted = await this.store.countAttempt(
      limits.map(([subject]) => subject),
      moment,
      windowBefore(moment),
    );
    if (limits.some(([, most], index) => (counted[index]?.attempts ?? 0) > most)) {
      throw new Problem('too-many-attempts', words, [], { 'Retry-After': String(WINDOW_MINUTES * 60) });
    }
    return counted;
  }
}

const NOBODY = '00000000-0000-0000-0000-000000000000';

function windowBefore(moment: Date): Date {
  return new Date(moment.getTime() - WINDOW_MINUTES * 60_000);
}

function pairOf(kind: string, named: string, address: string): string {
  const network = networkOf(address);
  // The words of sign-in stay as they were, so that a limit survives a new release.
  return kind === 'sign-in' ? `pair:${named}:${network}` : `${kind}:${named}:${network}`;
}
