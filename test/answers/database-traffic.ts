import pg from 'pg';

/** Counts what this process sends to PostgreSQL, and tells when nothing is under way any more. */
export class DatabaseTraffic {
  #statements = 0;
  #underWay = 0;
  readonly #open = new Set<pg.Client>();

  constructor() {
    const proto = pg.Client.prototype as unknown as { query: (this: pg.Client, ...given: unknown[]) => unknown };
    const { query } = proto;
    const noted = (client: pg.Client, given: unknown): (() => void) => this.#note(client, given);
    proto.query = function counted(this: pg.Client, ...given: unknown[]): unknown {
      const done = noted(this, given[0]);
      const callback = given.at(-1);
      if (typeof callback === 'function') {
        given[given.length - 1] = (...answer: unknown[]) => {
          done();
          return (callback as (...answer: unknown[]) => unknown)(...answer);
        };
        return query.apply(this, given);
      }
      const answer = query.apply(this, given);
      if (answer instanceof Promise) answer.then(done, done);
      else done();
      return answer;
    };
  }

  /** Statements since the program began, BEGIN and COMMIT among them. */
  get statements(): number {
    return this.#statements;
  }

  /** What a request leaves to be done after its answer (a denied attempt, a key's last use) is done too. */
  async settled(): Promise<void> {
    for (let quiet = 0; quiet < 3;) {
      await new Promise((resolve) => setImmediate(resolve));
      quiet = this.#underWay === 0 && this.#open.size === 0 ? quiet + 1 : 0;
    }
  }

  #note(client: pg.Client, given: unknown): () => void {
    const words = (typeof given === 'string' ? given : ((given as { text?: string }).text ?? ''))
      .trimStart()
      .toLowerCase();
    this.#statements += 1;
    this.#underWay += 1;
    if (/^(begin|start transaction)/.test(words)) this.#open.add(client);
    return () => {
      this.#underWay -= 1;
      if (/^(commit|rollback)(?! to)/.test(words)) this.#open.delete(client);
    };
  }
}
