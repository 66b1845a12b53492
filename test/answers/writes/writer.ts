import type { Asker, Asking } from '../asking.js';
import type { OperationOf, Standing } from '../standing.js';

export type Body = Record<string, unknown>;
export interface Made {
  status: number;
  id: string;
  etag: string;
  body: Body;
}

export interface WriteOptions {
  /** What it is called where one address is asked for more than one thing. */
  as?: string;
  key?: string | null;
  ifMatch?: string | undefined;
  expect?: number;
  headers?: Record<string, string>;
}

/**
 * Writes into one operation of the demo, and records every answer. An answer that is not the expected one is kept as a
 * surprise and told at the end, so that a recording does not quietly hold refusals alone.
 */
export class Writer {
  readonly surprises: string[] = [];
  #keys = 0;

  constructor(
    private readonly asking: Asking,
    readonly standing: Standing,
    readonly operation: OperationOf,
  ) {}

  /** Asks to write something within the operation. */
  async write(
    who: Asker,
    method: string,
    at: string,
    body: Body | string | undefined,
    { as = '', key, ifMatch, expect, headers = {} }: WriteOptions = {},
  ): Promise<Made> {
    this.#keys += 1;
    const given = key === undefined ? `recorded-${this.#keys}` : key;
    const inside = at.startsWith('/v1/') ? at : `/v1/operations/${this.operation.id}${at}`;
    const words = inside
      .replace(this.operation.id, `{${this.operation.short}}`)
      .replaceAll(/[0-9a-f]{8}-[0-9a-f]{4}-[0-9a-f-]{22,}/g, '{id}');
    const name = `write ${method} ${words}${as === '' ? '' : `, ${as}`}`;
    const answer = await this.asking.record<Body>(who, {
      name,
      method,
      url: inside,
      ...(body === undefined ? {} : { body }),
      headers: {
        ...(method === 'POST' && given !== null ? { 'Idempotency-Key': `"${given}"` } : {}),
        ...(ifMatch === undefined ? {} : { 'If-Match': ifMatch }),
        ...headers,
      },
    });
    if (expect !== undefined && answer.status !== expect)
      this.surprises.push(`${who.name}: ${name}: ${answer.status} instead of ${expect}: ${short(answer.body)}`);
    return made(answer);
  }

  post(who: Asker, at: string, body: Body | string | undefined, options: WriteOptions = {}): Promise<Made> {
    return this.write(who, 'POST', at, body, options);
  }

  patch(who: Asker, at: string, body: Body, options: WriteOptions = {}): Promise<Made> {
    return this.write(who, 'PATCH', at, body, options);
  }

  put(who: Asker, at: string, body: Body, options: WriteOptions = {}): Promise<Made> {
    return this.write(who, 'PUT', at, body, options);
  }

  delete(who: Asker, at: string, options: WriteOptions = {}): Promise<Made> {
    return this.write(who, 'DELETE', at, undefined, options);
  }

  /** Asks to see something within the operation. */
  async look(at: string, who = this.operation.owner): Promise<Made> {
    const answer = await this.asking.record<Body>(who, {
      name: `look at ${at.replaceAll(/[0-9a-f]{8}-[0-9a-f-]{27}/g, '{id}')}`,
      method: 'GET',
      url: `/v1/operations/${this.operation.id}${at}`,
    });
    return made(answer);
  }

  get who(): { owner: Asker; manager: Asker; hand: Asker; nutritionist: Asker; accountant: Asker } {
    const of = (role: string): Asker => this.operation.members.find((one) => one.role === role) ?? this.operation.owner;
    return {
      owner: of('owner'),
      manager: of('manager'),
      hand: of('hand'),
      nutritionist: of('nutritionist'),
      accountant: of('accountant'),
    };
  }

  /** One record: made, repeated with its key, refused with the key of another body and without one; reversed, twice. */
  async round(
    who: Asker,
    at: string,
    body: Body,
    { reverse = true, as = '' }: { reverse?: boolean; as?: string } = {},
  ): Promise<Made> {
    const key = `round-${at}-${as}`.replaceAll(/[^A-Za-z0-9-]/g, '').slice(0, 80);
    const made = await this.post(who, at, body, { as, key, expect: 201 });
    await this.post(who, at, body, { as: `${as} repeated`, key, expect: 201 });
    await this.post(
      who,
      at,
      { ...body, note: 'Another body under the same key' },
      { as: `${as} key used for another body`, key },
    );
    await this.post(who, at, body, { as: `${as} without a key`, key: null, expect: 400 });
    await this.post(who, at, {}, { as: `${as} empty` });
    await this.post(who, at, { ...body, color: 'red' }, { as: `${as} with an unknown field`, expect: 400 });
    await this.post(this.who.hand, at, body, { as: `${as} by the hand` });
    for (const name of Object.keys(body)) {
      await this.post(
        who,
        at,
        { ...body, [name]: typeof body[name] === 'object' ? 'no' : { no: 1 } },
        { as: `${as} ${name} of another shape`, expect: 400 },
      );
      await this.post(
        who,
        at,
        Object.fromEntries(
          Object.entries({ ...body, headFed: body['headFed'] ?? -1 }).filter(([other]) => other !== name),
        ),
        { as: `${as} without ${name}` },
      );
    }
    if (reverse) {
      await this.post(who, `${at}/${made.id}/reversal`, {}, { as: 'without a reason', expect: 400 });
      await this.post(this.who.hand, `${at}/${made.id}/reversal`, {}, { as: 'by the hand' });
      await this.post(who, `${at}/${made.id}/reversal`, { reason: 'Written for the record' }, { expect: 201 });
      await this.post(who, `${at}/${made.id}/reversal`, { reason: 'Twice' }, { as: 'twice', expect: 409 });
    }
    return made;
  }

  /** A change with the right tag, with the one before it, with a foreign one, with none. */
  async change(who: Asker, at: string, body: Body): Promise<void> {
    const { etag } = await this.look(at, who);
    await this.patch(who, at, body, { ifMatch: etag, expect: 200 });
    await this.patch(who, at, body, { as: 'changed meanwhile', ifMatch: etag });
    await this.patch(who, at, body, { as: 'foreign tag', ifMatch: '"1"', expect: 412 });
    await this.patch(who, at, body, { as: 'no tag', expect: 428 });
    await this.patch(
      who,
      at,
      { color: 'red' },
      { as: 'unknown field', ifMatch: (await this.look(at, who)).etag, expect: 400 },
    );
    await this.patch(this.who.hand, at, body, { as: 'by the hand', ifMatch: etag });
  }
}

export interface Ids {
  ranchId: string;
  cowsId: string;
  calvesId: string;
  strawId: string;
  alfalfaId: string;
  meadowId: string;
  placeId: string;
  bunkId: string;
}

/** An id that nothing has. */
export const NOTHING = '00000000-0000-7000-8000-000000000001';

function short(body: Body): string {
  return JSON.stringify(body['errors'] ?? body).slice(0, 300);
}

function made({ status, headers, body }: { status: number; headers: Record<string, unknown>; body: Body }): Made {
  const { id = NOTHING } = body as { id?: string };
  const { etag = '' } = headers as { etag?: string };
  return { status, id, etag, body };
}
