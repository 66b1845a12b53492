/**
 * A question whose answer changes, asked by many at a time: each gets an answer to a question that was sent after they
 * asked, and one is sent for all who wait for the one before.
 */
export class LatestAnswer<Answer> {
  #sent: Promise<Answer> | undefined;
  #next: Promise<Answer> | undefined;

  constructor(private readonly send: () => Promise<Answer>) {}

  ask(): Promise<Answer> {
    if (this.#next !== undefined) return this.#next;
    if (this.#sent === undefined) return this.#ask();
    const after = (): Promise<Answer> => {
      this.#next = undefined;
      return this.#ask();
    };
    this.#next = this.#sent.then(after, after);
    return this.#next;
  }

  #ask(): Promise<Answer> {
    const sent = this.send().finally(() => {
      if (this.#sent === sent) this.#sent = undefined;
    });
    this.#sent = sent;
    return sent;
  }
}
