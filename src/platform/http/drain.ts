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
/** How long nothing of a request or an answer must have come or gone before its connection is ended. */
const HALF_SENT_MS = 2000;
/** In so many looks; one alone may fall between two parts. */
const HALF_SENT_LOOKS = 4;

/** A connection, and how far the request that arrives on it has come. */
interface Open {
  readonly socket: Socket;
  running: { readonly request: IncomingMessage; readonly answer: ServerResponse } | undefined;
  /** What had come and gone at the last look. */
  passed: number;
  quietLooks: number;
}

/** How a server closes its connections, so that a client that merely keeps one open does not hold up a stop. */
export class Drain {
  /** By the other end's address and port: with https a connection is first the wire's, then the cipher's. */
  readonly #open = new Map<string, Open>();
  #hurried = false;

  constructor(
    private readonly server: Server,
    private readonly limits: { runningMs: number; halfSentMs: number } = {
      runningMs: DRAIN_MS,
      halfSentMs: HALF_SENT_MS,
    },
  ) {
    const follow = (socket: Socket): void => this.#follow(socket);
    server.on('connection', follow).on('secureConnection', follow);
    server.prependListener('request', (request: IncomingMessage, answer: ServerResponse) => {
      const one = this.#open.get(nameOf(request.socket));
      if (one === undefined) return;
      one.running = { request, answer };
      answer.once('close', () => (one.running = undefined));
    });
  }

  #follow(socket: Socket): void {
    const name = nameOf(socket);
    this.#open.set(name, { socket, running: undefined, passed: 0, quietLooks: 0 });
    socket.once('close', () => {
      if (this.#open.get(name)?.socket === socket) this.#open.delete(name);
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

  /**
   * Called when the server begins to close: ends unused connections at once; soon those on which a request has not
   * begun, or half of one or of its answer stays where it is; and the rest when their time is up.
   */
  begin(): void {
    for (const { socket } of this.#open.values()) if (socket.bytesRead === 0) socket.destroy();
    this.server.closeIdleConnections();
    if (this.#hurried) this.atOnce();
    const looking = setInterval(() => this.#endHalfSent(), this.limits.halfSentMs / HALF_SENT_LOOKS).unref();
    this.server.once('close', () => clearInterval(looking));
    setTimeout(() => this.atOnce(), this.limits.runningMs).unref();
  }

  #endHalfSent(): void {
    for (const one of this.#open.values()) {
      const passed = one.socket.bytesRead + one.socket.bytesWritten - one.socket.writableLength;
      const goesOn = isAtWork(one) || (one.running !== undefined && passed > one.passed);
      one.passed = passed;
      one.quietLooks = goesOn ? 0 : one.quietLooks + 1;
      if (one.quietLooks >= HALF_SENT_LOOKS) one.socket.destroy();
    }
  }

  /** Ends every connection, whatever is running on it. */
  atOnce(): void {
    this.#hurried = true;
    for (const { socket } of this.#open.values()) socket.destroy();
    this.server.closeAllConnections();
  }
}

/** The request has wholly arrived, and its answer is not wholly written. */
function isAtWork({ running }: Open): boolean {
  return running?.request.complete === true && !running.answer.writableEnded;
}

function nameOf({ remoteAddress, remotePort }: Socket): string {
  return `${remoteAddress} ${remotePort}`;
}
