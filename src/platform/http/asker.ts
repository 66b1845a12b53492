/** Who is asking, when and from where; made at the edge, passed to every service, written into the transaction. */
export interface Asker {
  personId: string;
  apiKeyId: string | undefined;
  /** The key's operation, if it belongs to one. */
  keyOperationId?: string | undefined;
  /** When the person last gave the passphrase or a one-time code in this session. */
  provenAt?: string | undefined;
  moment: Date;
  requestId: string;
  address: string;
  idempotency: Idempotency | undefined;
  /** Codes of what is unlikely and was said to be right (`doubts.ts`). */
  confirmed?: readonly string[] | undefined;
}

export interface Idempotency {
  route: string;
  key: string;
  payloadHash: string;
  /** The address of the record in the first answer, if it has one. */
  recordAt?: (firstAnswer: unknown) => string;
}

/** How the name of an actor who is a person begins; their id follows. */
export const PERSON_ACTOR = 'person:';

/** A stable name for the person asking, for idempotency records. */
export function actorOf(asker: Asker): string {
  return asker.apiKeyId === undefined ? `${PERSON_ACTOR}${asker.personId}` : `key:${asker.apiKeyId}`;
}
