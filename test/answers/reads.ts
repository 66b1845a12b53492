import type { Address } from './addresses.js';
import type { Asker, Asking } from './asking.js';
import { fewQuestions, formQuestions, least, type Narrowing, type Query, questions } from './questions.js';
import type { OperationOf, Standing } from './standing.js';

/** An id that nothing has. */
const NOTHING = '00000000-0000-7000-8000-000000000001';

/** One way of filling an address: its path, and the same in words without ids. */
interface Filled {
  url: string;
  name: string;
  /** The first of each kind, of which everything is asked. */
  first: boolean;
}

export class Reads {
  /** Ids by the list that holds them, as its owner sees them. */
  readonly #listed = new Map<string, readonly string[]>();

  constructor(
    private readonly asking: Asking,
    private readonly standing: Standing,
    private readonly addresses: readonly Address[],
  ) {}

  /** Everything that can be read, as everybody. */
  async all(): Promise<void> {
    for (const operation of this.standing.operations) {
      const ids = await this.narrowing(operation);
      for (const address of this.addresses.filter((one) => one.template.includes('{operationId}'))) {
        const filled = await this.filled(address, operation.owner, { operation });
        for (const who of operation.members) await this.asked(who, address, filled, ids);
        for (const who of operation.strangers) await this.ask(who, address, filled[0], least(address));
      }
    }
    const outside = this.addresses.filter((one) => !one.template.includes('{operationId}'));
    for (const who of [
      ...Object.values(this.standing.people),
      this.standing.keys.prices,
      this.standing.keys.read,
      this.standing.nobody,
    ]) {
      for (const address of outside) await this.asked(who, address, await this.filled(address, who, {}), {});
    }
  }

  /** Once more and shortly, after something was written. */
  async again(operation: OperationOf, people: readonly Asker[]): Promise<void> {
    this.#listed.clear();
    for (const address of this.addresses.filter((one) => one.template.includes('{operationId}'))) {
      const filled = await this.filled(address, operation.owner, { operation, newest: true });
      for (const who of people)
        for (const one of filled) await this.ask(who, address, one, least(address), 'afterward ');
    }
  }

  /** Wrong questions: unknown words, unknown ids, forms that are not offered, methods that do not exist. */
  async refused(operation: OperationOf, who: Asker): Promise<void> {
    for (const address of this.addresses) {
      const [filled] = await this.filled(address, operation.owner, { operation });
      if (filled === undefined) continue;
      const base = least(address);
      const names = address.query.map((one) => one.name);
      const wrong: Query[] = [{ ...base, color: 'red' }];
      if (names.includes('units')) wrong.push({ ...base, units: 'stone' });
      if (names.includes('limit')) wrong.push({ ...base, limit: '0' }, { ...base, cursor: 'zzz' });
      if (names.includes('from') && names.includes('until'))
        wrong.push({ ...base, from: '2026-03-01', until: '2026-02-01' }, { ...base, from: 'yesterday' });
      if (names.includes('on')) wrong.push({ ...base, on: '2026-02-30' });
      for (const name of Object.keys(base))
        wrong.push(Object.fromEntries(Object.entries(base).filter(([other]) => other !== name)));
      for (const query of wrong) await this.ask(who, address, filled, query, 'wrong: ');
      const last = /\{([A-Za-z]+)\}[^{}]*$/.exec(address.template);
      if (last?.[1] !== undefined && last[1] !== 'operationId') {
        for (const given of [NOTHING, 'not-an-id']) {
          const astray = await this.filled(
            { ...address, choices: { ...address.choices, [last[1]]: [given] } },
            operation.owner,
            { operation },
          );
          await this.ask(who, address, astray[0], base, 'astray: ');
        }
      }
      await this.otherwise(who, address, filled);
    }
  }

  private async otherwise(who: Asker, address: Address, filled: Filled): Promise<void> {
    const url = `${filled.url}${text(least(address))}`;
    const byCookie = address.page;
    for (const type of [...address.mediaTypes, 'image/png']) {
      await this.asking.record(who, {
        name: `GET ${filled.name} as ${type}`,
        method: 'GET',
        url,
        headers: { Accept: type },
        byCookie,
      });
    }
    const answer = await this.asking.record(who, { name: `HEAD ${filled.name}`, method: 'HEAD', url, byCookie });
    const tag = answer.headers['etag'];
    if (typeof tag === 'string')
      await this.asking.record(who, {
        name: `GET ${filled.name} if none matches`,
        method: 'GET',
        url,
        headers: { 'If-None-Match': tag },
        byCookie,
      });
    await this.asking.record(who, { name: `OPTIONS ${filled.name}`, method: 'OPTIONS', url, byCookie });
  }

  /** The owner asks everything, the hand every form without prices, the others what they see of it as JSON. */
  private async asked(who: Asker, address: Address, filled: readonly Filled[], ids: Narrowing): Promise<void> {
    for (const one of filled) {
      const asks =
        who.role === 'owner'
          ? one.first
            ? questions(address, ids)
            : fewQuestions(address)
          : who.role === 'hand' && one.first
            ? formQuestions(address)
            : [least(address)];
      for (const query of asks) await this.ask(who, address, one, query);
    }
  }

  private async ask(who: Asker, address: Address, filled: Filled | undefined, query: Query, words = ''): Promise<void> {
    if (filled === undefined) return;
    const answer = await this.asking.record<{ nextCursor?: string | null }>(who, {
      name: `${words}GET ${filled.name}${named(query)}`,
      method: 'GET',
      url: `${filled.url}${text(query)}`,
      byCookie: address.page,
    });
    if (query['limit'] === undefined || typeof answer.body.nextCursor !== 'string') return;
    await this.asking.record(who, {
      name: `${words}GET ${filled.name}${named(query)}, next page`,
      method: 'GET',
      url: `${filled.url}${text({ ...query, cursor: answer.body.nextCursor })}`,
      byCookie: address.page,
    });
  }

  /** Ids of the first of each kind, by the names that lists are narrowed by. */
  private async narrowing({ id, owner }: OperationOf): Promise<Narrowing> {
    const first = async (list: string): Promise<string | undefined> =>
      (await this.listed(owner, `/v1/operations/${id}/${list}`))[0];
    return {
      herdId: await first('herds'),
      ranchId: await first('ranches'),
      hayLotId: await first('hay-lots'),
      placeId: await first('places'),
      receiptId: await first('hay-purchases'),
      personId: NOTHING,
      apiKeyId: (await first('api-keys')) ?? NOTHING,
      subjectId: await first('herds'),
    };
  }

  /** The address with ids of what is there: a few of each kind, found as the one who may see all. */
  private async filled(
    address: Address,
    finder: Asker,
    { operation, newest = false }: { operation?: OperationOf; newest?: boolean },
  ): Promise<Filled[]> {
    let open: Filled[] = [{ url: '', name: '', first: true }];
    for (const step of address.template.split('/').slice(1)) {
      const parameter = /^\{(.+)\}$/.exec(step)?.[1];
      if (parameter === undefined)
        open = open.map((one) => ({ ...one, url: `${one.url}/${step}`, name: `${one.name}/${step}` }));
      else if (parameter === 'operationId')
        open = open.map((one) => ({
          ...one,
          url: `${one.url}/${operation?.id ?? NOTHING}`,
          name: `${one.name}/{${operation?.short ?? 'nothing'}}`,
        }));
      else if (address.choices[parameter] !== undefined) {
        const choices = address.choices[parameter];
        open = open.flatMap((one) =>
          choices.map((choice, index) => ({
            url: `${one.url}/${choice}`,
            name: `${one.name}/${choice === NOTHING ? 'nothing' : choice}`,
            first: one.first && index === 0,
          })),
        );
      } else {
        const next: Filled[] = [];
        for (const one of open) {
          const ids = await this.listed(finder, one.url.replace(/^\/yard\/operations/, '/v1/operations'));
          const chosen = some(ids, newest ? 1 : one.first ? 3 : 1);
          chosen.forEach((id, index) =>
            next.push({
              url: `${one.url}/${id}`,
              name: `${one.name}/{${parameter} ${index + 1}}`,
              first: one.first && index === 0,
            }),
          );
          if (chosen.length === 0)
            next.push({ url: `${one.url}/${NOTHING}`, name: `${one.name}/{no ${parameter}}`, first: one.first });
        }
        open = next;
      }
    }
    return open;
  }

  private async listed(who: Asker, url: string): Promise<readonly string[]> {
    const known = this.#listed.get(url);
    if (known !== undefined) return known;
    const answer = await this.asking.raw(who, { name: '', method: 'GET', url: `${url}?limit=200` });
    const plain = answer.status === 400 ? await this.asking.raw(who, { name: '', method: 'GET', url }) : answer;
    const { items = [] } = (plain.status === 200 ? JSON.parse(plain.bytes.toString('utf8')) : {}) as {
      items?: { id?: string }[];
    };
    const ids = items.flatMap((one) => (one.id === undefined ? [] : [one.id]));
    this.#listed.set(url, ids);
    return ids;
  }
}

/** The first, the last, and what lies evenly between them. */
function some(ids: readonly string[], most: number): string[] {
  if (ids.length <= most) return [...ids];
  return Array.from(
    { length: most },
    (_, index) => ids[most === 1 ? 0 : Math.round((index * (ids.length - 1)) / (most - 1))] ?? '',
  );
}

function text(query: Query): string {
  const written = new URLSearchParams(query).toString();
  return written === '' ? '' : `?${written}`;
}

function named(query: Query): string {
  const words = Object.entries(query)
    .map(([name, value]) => `${name}=${/^[0-9a-f]{8}-/.test(value) ? '{first}' : value}`)
    .join('&');
  return words === '' ? '' : `?${words}`;
}
