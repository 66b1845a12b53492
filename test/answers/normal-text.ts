/**
 * What differs between two runs of the same code is replaced: ids, tokens, digests and hashes by a label that counts
 * them in order of appearance, moments of the machine's clock by `<now>` (the server's own clock stands still). Cursors
 * are opaque to clients; here they are decoded, so that the ids in them get their labels too.
 */
const PARTS = [
  /(?<token>\bry[a-z]_[A-Za-z0-9_-]{20,})/,
  /(?<id>\b[0-9a-f]{8}-[0-9a-f]{4}-[0-9a-f]{4}-[0-9a-f]{4}-[0-9a-f]{12}\b)/,
  /(?<moment>\b\d{4}-\d\d-\d\dT\d\d:\d\d:\d\d(?:\.\d+)?(?:Z|\+00:00))/,
  /(?<hash>\b[0-9a-f]{64}\b)/,
  /(?<packed>\bH4sI[A-Za-z0-9+/=]{100,})/,
  /(?<code>\b[0-9a-f]{5}(?:-[0-9a-f]{3,5}){4,5}\b)/,
  /(?<=[?&](?:amp;)?cursor=)(?<cursor>[A-Za-z0-9_-]+)/,
  /(?<="nextCursor":")(?<next>[A-Za-z0-9_-]+)(?=")/,
  /(?<=")(?<version>\d{1,9}-[A-Za-z0-9_-]{16})(?=")/,
  /(?<shared>\b[A-Z2-7]{32,}\b)/,
];
const ANY = new RegExp(PARTS.map((part) => part.source).join('|'), 'g');

type Found = Partial<
  Record<'token' | 'id' | 'moment' | 'hash' | 'code' | 'cursor' | 'next' | 'version' | 'shared' | 'packed', string>
>;

export class NormalText {
  readonly #labels = new Map<string, string>();
  readonly #counts = new Map<string, number>();

  /** `begun`: the machine's moment, in milliseconds, at which the demo began to be loaded. */
  constructor(
    private readonly address: string,
    private readonly begun: number,
  ) {}

  /** Of a text as it came: JSON, CSV, a page, a header. */
  of(text: string): string {
    return text
      .replaceAll(this.address, '<address>')
      .replaceAll(ANY, (whole, ...rest) => this.#named(whole, rest.at(-1) as Found));
  }

  #named(whole: string, found: Found): string {
    if (found.moment !== undefined) return this.#moment(found.moment);
    // An archive within JSON; its lines are recorded where it is asked for by itself.
    if (found.packed !== undefined) return '<packed>';
    if (found.cursor !== undefined) return this.#opened(found.cursor);
    if (found.next !== undefined) return JSON.stringify(this.#opened(found.next)).slice(1, -1);
    if (found.version !== undefined) {
      const [version = '', ...digest] = found.version.split('-');
      return `${version}-${this.#label('digest', digest.join('-'))}`;
    }
    const kind = (['token', 'id', 'hash', 'code', 'shared'] as const).find((one) => found[one] !== undefined);
    return kind === undefined ? whole : this.#label(kind, whole);
  }

  #moment(text: string): string {
    const at = Date.parse(text);
    return at >= this.begun - 1000 && at <= Date.now() + 1000 ? '<now>' : text;
  }

  #opened(cursor: string): string {
    const text = Buffer.from(cursor, 'base64url').toString('utf8');
    return text.startsWith('[') ? `<cursor ${this.of(text)}>` : cursor;
  }

  #label(kind: string, value: string): string {
    const known = this.#labels.get(value);
    if (known !== undefined) return known;
    const count = (this.#counts.get(kind) ?? 0) + 1;
    this.#counts.set(kind, count);
    const label = `<${kind} ${count}>`;
    this.#labels.set(value, label);
    return label;
  }
}
