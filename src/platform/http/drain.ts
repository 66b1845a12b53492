import type { IncomingMessage, Server, ServerResponse } from 'node:http';
import type { Socket } from 'node:net';
import { setTimeout as sleep } from 'node:timers/promises';

/** How long a running request may take to finish once the server is stopping. */
const DRAIN_MS = 10_000;
/** How long nobody must have asked anything before a server that was announced to stop does. */
const QUIET_MS = 1000;
/** Whoever goes on asking holds it up for so many times what was to be waited. */
const UNHEEDED_TIMES = 5;
const LOOK_EVERY_MS = 50;

/** How a server closes its connections, so that a client that merely keeps one open does not hold up a stop. */
export class Drain {
  readonly #silent = new Set<Socket>();
  #hurried = false;

  constructor(private readonly server: Server) {
    server.on('connection', (socket) => {
      this.#silent.add(socket);
      socket.once('data', () => this.#silent.delete(socket));
      socket.once('close', () => this.#silent.delete(socket));
    });
  }

  /**
   * Before the server begins to close: it goes on serving, and whoever asks `/health/ready` learns that no more is
   * wanted, for at least so long, and until whoever sends them has heeded it: for a second nothing else was asked.
   * Each answer ends its connection, so that none is kept when the time is up.
   */
  async announced(milliseconds: number): Promise<void> {
    let asked = performance.now();
    this.server.prependListener('request', (request: IncomingMessage, answer: ServerResponse) => {
      answer.shouldKeepAlive = false;
      if (request.url?.startsWith('/health/') !== true) asked = performance.now();
    });
    const began = performance.now();
    const isOver = (): boolean => {
      const waited = performance.now() - began;
      if (this.#hurried || waited >= UNHEEDED_TIMES * milliseconds) return true;
      return waited >= milliseconds && performance.now() - asked >= QUIET_MS;
    };
    while (!isOver()) await sleep(LOOK_EVERY_MS);
  }

  /** Called when the server begins to close: ends unused connections at once, and the rest when their time is up. */
  begin(): void {
    for (const socket of this.#silent) socket.destroy();
    this.server.closeIdleConnections();
    if (this.#hurried) this.server.closeAllConnections();
    setTimeout(() => this.atOnce(), DRAIN_MS).unref();
  }

  /** Ends every connection, whatever is running on it. */
  atOnce(): void {
    this.#hurried = true;
    for (const socket of this.#silent) socket.destroy();
    this.server.closeAllConnections();
  }
}
