import { Injectable } from '@nestjs/common';
import { sql, type Transaction } from 'kysely';
import { Database } from '../../platform/database/database.js';
import { showProof } from '../../platform/database/proof.js';
import type { DB, Tenant, Words } from '../../platform/database/types.js';
import { newId } from '../../platform/identifiers.js';
import type { NamedPerson } from '../people/person.read.js';
import { ACCESS_PREFIX, hashToken, newToken, PAGE_PREFIX, REFRESH_PREFIX, SESSION_DAYS } from './tokens.js';

export const ACCESS_MINUTES = 15;
export const REFRESH_DAYS = 30;

export interface TokenPair {
  accessToken: string;
  accessExpiresAt: string;
  refreshToken: string;
  refreshExpiresAt: string;
}

/** An attempt as it was counted. */
export interface AttemptRow {
  readonly id: string;
  readonly subject: string;
}

interface CountedSubject extends AttemptRow {
  readonly attempts: number;
}

/** How long an attempt is kept that nobody asks for again; much longer than any is counted. */
const KEPT_HOURS = 24;

interface BegunSession {
  id: string;
  person_id: string;
  created_at: string;
}

export interface KnownPerson extends NamedPerson {
  passphrase_hash: string | null;
}

/** Rows of people, sessions, tokens and attempts. Everything here runs under a proof, since nobody is signed in yet. */
@Injectable()
export class SignInStore {
  constructor(private readonly database: Database) {}

  /** Every account that names this email, oldest first: an address that nobody has proven is nobody's alone. */
  async peopleByEmail(email: string): Promise<KnownPerson[]> {
    return this.database.withProof({ sign_in_email: email }, (db) =>
      db
        .selectFrom('person')
        .select(['id', 'name', 'email', 'email_proven_at', 'passphrase_hash'])
        .where('email', '=', email)
        .orderBy('created_at')
        .orderBy('id')
        .execute(),
    );
  }

  /** Counts this attempt and returns how many each subject has made since `since`, including this one. */
  async countAttempt(subjects: readonly string[], moment: Date, since: Date): Promise<CountedSubject[]> {
    const rows = subjects.map((subject) => ({ id: newId(), hash: hashToken(subject), subject }));
    const hashes = rows.map(({ hash }) => hash);
    return this.database.withProof({ subjects: hashes.join(','), moment: moment.toISOString() }, async (db) => {
      await this.#hold(db, hashes, since);
      await db
        .insertInto('sign_in_attempt')
        .values(rows.map(({ id, hash }) => ({ id, subject_hash: hash, attempted_at: moment.toISOString() })))
        .execute();
      const counts = await db
        .selectFrom('sign_in_attempt')
        .select(['subject_hash', (b) => b.fn.countAll<string>().as('attempts')])
        .where('subject_hash', 'in', hashes)
        .groupBy('subject_hash')
        .execute();
      await this.#prune(db, moment);
      return rows.map(({ id, hash, subject }) => ({
        id,
        subject,
        attempts: Number(counts.find((row) => row.subject_hash === hash)?.attempts ?? 0),
      }));
    });
  }

  /**
   * Counts this attempt, unless the subject has made `free` since `since` and the last of them is not so many seconds
   * old. A refused one is not counted: it must not keep the next from coming.
   * @returns the attempt, or undefined if it is refused.
   */
  async countSpaced(
    { subject, free, pauseSeconds }: { subject: string; free: number; pauseSeconds: number },
    moment: Date,
    since: Date,
  ): Promise<AttemptRow | undefined> {
    const hash = hashToken(subject);
    return this.database.withProof({ subjects: hash }, async (db) => {
      await this.#hold(db, [hash], since);
      const { attempts, last } = await db
        .selectFrom('sign_in_attempt')
        .select([(b) => b.fn.countAll<string>().as('attempts'), (b) => b.fn.max('attempted_at').as('last')])
        .where('subject_hash', '=', hash)
        .executeTakeFirstOrThrow();
      const pause = last === null ? 0 : new Date(last).getTime() + pauseSeconds * 1000 - moment.getTime();
      if (Number(attempts) >= free && pause > 0) return undefined;
      const id = newId();
      await db
        .insertInto('sign_in_attempt')
        .values({ id, subject_hash: hash, attempted_at: moment.toISOString() })
        .execute();
      return { id, subject };
    });
  }

  async takeBack(attempts: readonly AttemptRow[]): Promise<void> {
    const subjects = attempts.map(({ subject }) => hashToken(subject)).join(',');
    await this.database.withProof({ subjects }, (db) =>
      db
        .deleteFrom('sign_in_attempt')
        .where(
          'id',
          'in',
          attempts.map(({ id }) => id),
        )
        .execute(),
    );
  }

  /** Where this person signed in from since then; nothing for nobody. */
  async addressesSince(personId: string, since: Date): Promise<string[]> {
    const rows = await this.database.withProof({ person_id: personId }, (db) =>
      db
        .selectFrom('person_session')
        .select('address')
        .distinct()
        .where('person_id', '=', personId)
        .where('created_at', '>', since.toISOString())
        .limit(200)
        .execute(),
    );
    return rows.flatMap(({ address }) => address ?? []);
  }

  /** Leaves of these subjects only what counts, and has others who count for them wait. */
  async #hold(db: Transaction<DB>, hashes: readonly string[], since: Date): Promise<void> {
    // One at a time for each subject, so that simultaneous attempts see each other. Locked in one order, so that
    // there is no deadlock.
    for (const hash of [...hashes].sort())
      await sql`SELECT pg_advisory_xact_lock(hashtextextended(${hash}, 731))`.execute(db);
    await db
      .deleteFrom('sign_in_attempt')
      .where('subject_hash', 'in', hashes)
      .where('attempted_at', '<=', since.toISOString())
      .execute();
  }

  /** Old attempts of anybody go; one server does it at a time, and nobody waits for that. */
  async #prune(db: Transaction<DB>, moment: Date): Promise<void> {
    const { rows } = await sql<{ mine: boolean }>`SELECT pg_try_advisory_xact_lock(732, 0) AS mine`.execute(db);
    if (rows[0]?.mine !== true) return;
    await db
      .deleteFrom('sign_in_attempt')
      .where('attempted_at', '<', new Date(moment.getTime() - KEPT_HOURS * 3_600_000).toISOString())
      .execute();
  }

  async forgetAttempts(subject: string): Promise<void> {
    const hash = hashToken(subject);
    await this.database.withProof({ subjects: hash }, (db) =>
      db.deleteFrom('sign_in_attempt').where('subject_hash', '=', hash).execute(),
    );
  }

  async openSession(
    personId: string,
    userAgent: string | undefined,
    moment: Date,
    address?: string,
  ): Promise<TokenPair> {
    return this.database.withProof({ person_id: personId }, async (db) => {
      const sessionId = newId();
      await db
        .insertInto('person_session')
        .values({
          id: sessionId,
          person_id: personId,
          user_agent: userAgent?.slice(0, 300) ?? null,
          address: address ?? null,
          created_at: moment.toISOString(),
          proven_at: moment.toISOString(),
        })
        .execute();
      const session = { id: sessionId, person_id: personId, created_at: moment.toISOString() };
      return this.#addPair(db, session, moment);
    });
  }

  /**
   * A session for the pages: one token for a fixed number of hours, never renewed. It is listed among the person's
   * sessions and ends with them.
   */
  async openPageSession(
    personId: string,
    userAgent: string | undefined,
    moment: Date,
    address: string,
    hours: number,
  ): Promise<string> {
    return this.database.withProof({ person_id: personId }, async (db) => {
      const sessionId = newId();
      const token = newToken(PAGE_PREFIX);
      await db
        .insertInto('person_session')
        .values({
          id: sessionId,
          person_id: personId,
          user_agent: userAgent?.slice(0, 300) ?? null,
          address,
          created_at: moment.toISOString(),
          proven_at: moment.toISOString(),
        })
        .execute();
      await db
        .insertInto('session_token')
        .values({
          id: newId(),
          session_id: sessionId,
          person_id: personId,
          access_hash: hashToken(token),
          access_expires_at: new Date(moment.getTime() + hours * 3_600_000).toISOString(),
          // Nobody knows the token behind this hash, and it has already expired.
          refresh_hash: hashToken(newToken(REFRESH_PREFIX)),
          refresh_expires_at: moment.toISOString(),
          created_at: moment.toISOString(),
        })
        .execute();
      return token;
    });
  }

  /**
   * Rotates a pair. Undefined if the token is unknown; without a pair, but with the person, if it is no longer valid. A
   * token that was already rotated ends its session, since somebody else may hold a copy; with the row locked, the
   * second of two simultaneous uses counts as reuse.
   */
  async rotate(
    refreshToken: string,
    moment: Date,
  ): Promise<{ pair: TokenPair | undefined; personId: string } | undefined> {
    const proof = hashToken(refreshToken);
    return this.database.withProof({ proof }, async (db) => {
      const token = await db
        .selectFrom('session_token')
        .selectAll()
        .where('refresh_hash', '=', proof)
        .executeTakeFirst();
      if (token === undefined) return undefined;
      await showProof(db, { person_id: token.person_id });
      const session = await db
        .selectFrom('person_session')
        .selectAll()
        .where('id', '=', token.session_id)
        .forUpdate()
        .executeTakeFirst();
      const now = await db
        .selectFrom('session_token')
        .select(['refreshed_at', 'refresh_expires_at'])
        .where('id', '=', token.id)
        .executeTakeFirstOrThrow();
      const refused = { pair: undefined, personId: token.person_id };
      if (session === undefined || session.ended_at !== null) return refused;
      if (now.refreshed_at !== null) {
        await this.#end(db, [session.id], 'refresh token used twice', moment);
        return refused;
      }
      if (now.refresh_expires_at <= moment.toISOString() || endOf(session) <= moment) return refused;
      await db
        .updateTable('session_token')
        .set({ refreshed_at: moment.toISOString() })
        .where('id', '=', token.id)
        .execute();
      return { pair: await this.#addPair(db, session, moment), personId: token.person_id };
    });
  }

  /** Which of the person's sessions does this access token belong to, if it is valid at this moment? */
  async sessionOf({ db, moment }: Tenant, accessToken: string | undefined): Promise<string | undefined> {
    if (accessToken === undefined) return undefined;
    const row = await db
      .selectFrom('session_token')
      .innerJoin('person_session', 'person_session.id', 'session_token.session_id')
      .select('session_token.session_id')
      .where('session_token.access_hash', '=', hashToken(accessToken))
      .where('session_token.access_expires_at', '>', moment.toISOString())
      .where('person_session.ended_at', 'is', null)
      .executeTakeFirst();
    return row?.session_id;
  }

  async endSessions(
    personId: string,
    accessToken: string | undefined,
    everywhere: boolean,
    moment: Date,
  ): Promise<void> {
    await this.database.withProof(
      { person_id: personId, proof: accessToken === undefined ? '' : hashToken(accessToken) },
      async (db) => {
        const query = db
          .selectFrom('person_session')
          .select('id')
          .where('person_id', '=', personId)
          .where('ended_at', 'is', null);
        const sessions =
          everywhere || accessToken === undefined
            ? await query.execute()
            : await query
                .where(
                  'id',
                  'in',
                  db.selectFrom('session_token').select('session_id').where('access_hash', '=', hashToken(accessToken)),
                )
                .execute();
        if (sessions.length > 0)
          await this.#end(
            db,
            sessions.map((session) => session.id),
            everywhere ? 'signed out everywhere' : 'signed out',
            moment,
          );
      },
    );
  }

  async #end(db: Transaction<DB>, sessionIds: string[], reason: Words['SessionEnd'], moment: Date): Promise<void> {
    await db
      .updateTable('person_session')
      .set({ ended_at: moment.toISOString(), ended_reason: reason })
      .where('id', 'in', sessionIds)
      .execute();
  }

  async #addPair(db: Transaction<DB>, session: BegunSession, moment: Date): Promise<TokenPair> {
    const refreshUntil = new Date(moment.getTime() + REFRESH_DAYS * 86_400_000);
    const end = endOf(session);
    const pair: TokenPair = {
      accessToken: newToken(ACCESS_PREFIX),
      accessExpiresAt: new Date(moment.getTime() + ACCESS_MINUTES * 60_000).toISOString(),
      refreshToken: newToken(REFRESH_PREFIX),
      refreshExpiresAt: (refreshUntil < end ? refreshUntil : end).toISOString(),
    };
    await db
      .insertInto('session_token')
      .values({
        id: newId(),
        session_id: session.id,
        person_id: session.person_id,
        access_hash: hashToken(pair.accessToken),
        access_expires_at: pair.accessExpiresAt,
        refresh_hash: hashToken(pair.refreshToken),
        refresh_expires_at: pair.refreshExpiresAt,
        created_at: moment.toISOString(),
      })
      .execute();
    return pair;
  }
}

function endOf({ created_at: begun }: Pick<BegunSession, 'created_at'>): Date {
  return new Date(Date.parse(begun) + SESSION_DAYS * 86_400_000);
}
