import type { Server } from 'node:http';
import type { Socket } from 'node:net';

/** How long a running request may take to finish once the server is stopping. */
const DRAIN_MS = 10_000;

/** How a server closes its connections, so that a client that merely keeps one open does not hold up a stop. */
export class Drain {
  readonly #silent = new Set<Socket>();

  constructor(private readonly server: Server) {
    server.on('connection', (socket) => {
      this.#silent.add(socket);
      socket.once('data', () => this.#silent.delete(socket));
      socket.once('close', () => this.#silent.delete(socket));
    });
  }

  /** Called when the server begins to close: ends unused connections at once, and the rest when their time is up. */
  begin(): void {
    for (const socket of this.#silent) socket.destroy();
    this.server.closeIdleConnections();
    setTimeout(() => this.atOnce(), DRAIN_MS).unref();
  }

  /** Ends every connection, whatever is running on it. */
  atOnce(): void {
    for (const socket of this.#silent) socket.destroy();
    this.server.closeAllConnections();
  }
}
