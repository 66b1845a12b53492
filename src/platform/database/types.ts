import type { Kysely, Transaction } from 'kysely';
import type { Act } from '../http/act.js';
import type { Asker } from '../http/asker.js';
import type { Words } from './column-words.js';
import type { Doubts } from './doubts.js';
import type { DB } from './schema.generated.js';

export type { Words } from './column-words.js';
export type { DB } from './schema.generated.js';
export type Queries = Kysely<DB> | Transaction<DB>;

export interface MembershipNow {
  operationId: string;
  role: Words['Role'];
  /** Whether the one who asks does: a key may have been made without that. */
  seesPrices: boolean;
}

/** What a row is about: a record that can be reversed, a head change or a reversal. */
export interface SubjectRef {
  kind: Words['SubjectKind'];
  id: string;
}

/** An open tenant transaction: the person, the moment, and the query builder that sees only their rows. */
/** What an owner's policy may find missing (prisma/guards/30-entering.sql). */
export type Lacking = 'second-factor' | 'second-look' | 'newer-key';

export interface Tenant {
  readonly db: Transaction<DB>;
  readonly asker: Asker;
  readonly personId: string;
  readonly apiKeyId: string | undefined;
  readonly moment: Date;
  readonly memberships: readonly MembershipNow[];
  /** Memberships that open nothing until the person has what the operation's owner asks for. */
  readonly withheld: readonly { operationId: string; missing: Lacking }[];
  /** Whether the person asking may do this in this operation (or, if none is named, in any). */
  may(act: Act, operationId?: string): boolean;
  /** Writes a line to that operation's audit, or several in order; part of the same transaction. */
  auditIn(operationId: string, entry: AuditEntry | readonly AuditEntry[]): Promise<void>;
}

/** `sentWithCommit` takes statements whose answers nobody waits for; where one fails, nothing is committed. */
export type LateWork = (sentWithCommit: (statement: Promise<unknown>) => void) => Promise<void>;

/** The books of an operation within a transaction, whoever is asking. */
export type OperationBooks = Pick<OperationTenant, 'db' | 'operationId' | 'operation'>;

/** A transaction in which the server delivers what one operation's webhooks are to be told. */
export interface WebhookServer {
  readonly db: Transaction<DB>;
  readonly operationId: string;
  readonly moment: Date;
  /** Writes a line to the operation's audit that nobody caused. */
  audit(entry: AuditEntry): Promise<void>;
}

/** A tenant transaction inside one operation. */
export interface OperationTenant extends Tenant {
  readonly operationId: string;
  readonly operation: OperationSettings;
  /** What is unlikely of what is entered: asked about before this transaction commits. */
  readonly doubts: Doubts;
  /** Writes a line to this operation's audit, or several in order; part of the same transaction. */
  audit(entry: AuditEntry | readonly AuditEntry[]): Promise<void>;
  /** Work to be done once, just before this transaction commits: the last that was given under this name. */
  beforeCommit(name: string, work: LateWork): void;
}

export interface OperationSettings {
  name: string;
  unitPreference: Words['UnitSystem'];
  currency: Words['Currency'];
  timeZone: string;
  costingMethod: Words['CostingMethod'];
  /** Demo data, made up. */
  invented: boolean;
}

export interface AuditEntry {
  action: string;
  subjectKind: string;
  subjectId: string;
  before?: object;
  after?: object;
}
