import { connect, createServer, type Server, type Socket } from 'node:net';

interface Pair {
  readonly near: Socket;
  readonly far: Socket;
  silent: boolean;
}

/** A wire between the server and its database that can be cut, go silent, or lose answers. */
export class CutProxy {
  readonly #pairs = new Set<Pair>();
  #refuses = false;

  private constructor(
    private readonly listener: Server,
    readonly port: number,
    private to: { host: string; port: number },
  ) {}

  static async before(to: { host: string; port: number }): Promise<CutProxy> {
    const listener = createServer();
    await new Promise<void>((resolve) => {
      listener.listen(0, '127.0.0.1', resolve);
    });
    const address = listener.address();
    const proxy = new CutProxy(listener, typeof address === 'object' && address !== null ? address.port : 0, to);
    listener.on('connection', (near) => proxy.#join(near));
    return proxy;
  }

  /** The same database and login, behind this wire. */
  urlOf(url: string): string {
    const through = new URL(url);
    through.hostname = '127.0.0.1';
    through.port = String(this.port);
    return through.toString();
  }

  /** From now on the wire leads to another server; what is connected to the former is cut. */
  leadTo(to: { host: string; port: number }): void {
    this.to = to;
    this.cut();
  }

  /** Ends every connection, and refuses new ones until `mend`. */
  cut({ refuse = false }: { refuse?: boolean } = {}): void {
    this.#refuses = refuse;
    for (const { near, far } of this.#pairs) {
      near.destroy();
      far.destroy();
    }
  }

  /** Connections stay open, and neither side hears of the other again; new ones work, and so many of the oldest. */
  silence(butOldest = 0): void {
    for (const pair of [...this.#pairs].slice(butOldest)) {
      const { near, far } = pair;
      pair.silent = true;
      near.unpipe(far);
      far.unpipe(near);
      near.pause();
      far.pause();
    }
  }

  /** What is asked still arrives; no answer comes back. */
  loseAnswers(): void {
    for (const { near, far } of this.#pairs) {
      far.unpipe(near);
      far.resume();
    }
  }

  mend(): void {
    this.#refuses = false;
  }

  async close(): Promise<void> {
    this.cut({ refuse: true });
    await new Promise<void>((resolve) => {
      this.listener.close(() => resolve());
    });
  }

  #join(near: Socket): void {
    near.on('error', () => undefined);
    if (this.#refuses) {
      near.destroy();
      return;
    }
    const far = connect(this.to.port, this.to.host);
    const pair: Pair = { near, far, silent: false };
    this.#pairs.add(pair);
    far.on('error', () => near.destroy());
    far.once('close', () => near.destroy());
    near.once('close', () => {
      // Nobody tells the database of it where the wire is dead.
      if (!pair.silent) far.destroy();
    });
    far.once('close', () => this.#pairs.delete(pair));
    near.pipe(far);
    far.pipe(near);
  }
}
