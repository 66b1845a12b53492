import { Agent, createServer, request, type IncomingMessage, type Server, type ServerResponse } from 'node:http';
import { isReady } from './server-process.js';

/** How often it asks each server whether it is ready. */
const LOOK_EVERY_MS = 250;

interface Behind {
  readonly url: URL;
  readonly agent: Agent;
  ready: boolean;
  /** Whether it was asked and has not answered yet. */
  asked: boolean;
}

/**
 * A small load balancer: sends each request to the next server of those that say at /health/ready that they are, over
 * connections that it keeps. It never sends one twice, so what a server drops is seen.
 */
export class Balancer {
  readonly #behind: Behind[];
  readonly #server: Server;
  #next = 0;
  #looking: NodeJS.Timeout | undefined;
  url = '';

  constructor(urls: readonly string[]) {
    this.#behind = urls.map((url) => ({
      url: new URL(url),
      agent: new Agent({ keepAlive: true }),
      ready: true,
      asked: false,
    }));
    this.#server = createServer((incoming, answer) => this.#pass(incoming, answer));
  }

  async start(): Promise<void> {
    await new Promise<void>((resolve) => {
      this.#server.listen(0, '127.0.0.1', resolve);
    });
    const address = this.#server.address();
    this.url = `http://127.0.0.1:${typeof address === 'object' && address !== null ? address.port : 0}`;
    this.#looking = setInterval(() => {
      for (const one of this.#behind.filter(({ asked }) => !asked)) {
        one.asked = true;
        void isReady(one.url.origin).then((ready) => {
          one.ready = ready;
          one.asked = false;
        });
      }
    }, LOOK_EVERY_MS);
  }

  async stop(): Promise<void> {
    clearInterval(this.#looking);
    for (const { agent } of this.#behind) agent.destroy();
    this.#server.closeAllConnections();
    await new Promise<void>((resolve) => {
      this.#server.close(() => resolve());
    });
  }

  #pass(incoming: IncomingMessage, answer: ServerResponse): void {
    const ready = this.#behind.filter((one) => one.ready);
    this.#next += 1;
    const to = ready[this.#next % ready.length];
    if (to === undefined) {
      answer.writeHead(503, { 'Retry-After': '1' }).end();
      return;
    }
    const { hostname, port } = to.url;
    const { method, url, headers } = incoming;
    const onward = request({ hostname, port, method, path: url, headers, agent: to.agent }, (from) => {
      answer.writeHead(from.statusCode ?? 502, from.headers);
      from.pipe(answer);
    });
    onward.on('error', (error) => {
      if (!answer.headersSent) answer.writeHead(502, { 'X-Balancer': error.message });
      answer.end();
    });
    incoming.pipe(onward);
  }
}
