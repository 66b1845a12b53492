import type { Server } from 'node:http';
import type { Socket } from 'node:net';

/** How long a request that is under way may take to end once the server is stopping. */
const DRAIN_MS = 10_000;

/** How a server lets go of its connections, so that nobody who merely keeps one open holds up a stop. */
export class Drain {
  readonly #silent = new Set<Socket>();

  constructor(private readonly server: Server) {
    server.on('connection', (socket) => {
      this.#silent.add(socket);
      socket.once('data', () => this.#silent.delete(socket));
      socket.once('close', () => this.#silent.delete(socket));
    });
  }

  /** Called as the server begins to close: ends what has never asked anything now, and the rest when its time is up. */
  begin(): void {
    for (const socket of this.#silent) socket.destroy();
    this.server.closeIdleConnections();
    setTimeout(() => this.atOnce(), DRAIN_MS).unref();
  }

  /** Ends every connection, whatever is under way on it. */
  atOnce(): void {
    for (const socket of this.#silent) socket.destroy();
    this.server.closeAllConnections();
  }
}
