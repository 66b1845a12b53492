import { createServer, type IncomingHttpHeaders, type Server } from 'node:http';
import type { AddressInfo } from 'node:net';
import { Outgoing } from '../../src/platform/outgoing/outgoing.js';

/** A message as it came in, before anybody has read it. */
export interface Received {
  path: string;
  headers: IncomingHttpHeaders;
  body: string;
}

export interface ReceiverAnswer {
  status: number;
  headers?: Record<string, string>;
  body?: string;
}

/** An accountant's program in this process, reached by real HTTP, and what it was sent. */
export interface Receiver {
  taken: Received[];
  /** What it answers to a message; 204 by default. Until the promise is kept, nothing. */
  answers: (message: Received) => ReceiverAnswer | Promise<ReceiverAnswer>;
  url(path?: string): string;
  host: string;
  /** Lets messages go to it, which is inside. */
  outgoing: Outgoing;
  /** What was sent to this path, by webhook-id in the order of arrival. */
  idsAt(path: string): string[];
  close(): Promise<void>;
}

const TAKEN: ReceiverAnswer = { status: 204 };

export async function openReceiver(): Promise<Receiver> {
  const receiver: Pick<Receiver, 'taken' | 'answers'> = { taken: [], answers: () => TAKEN };
  const server: Server = createServer((request, response) => {
    const pieces: Buffer[] = [];
    request.on('data', (piece: Buffer) => pieces.push(piece));
    request.on('end', () => {
      const body = Buffer.concat(pieces).toString('utf8');
      const message = { path: request.url ?? '', headers: request.headers, body };
      receiver.taken.push(message);
      void Promise.resolve(receiver.answers(message)).then(({ status, headers = {}, body: text }) => {
        response.writeHead(status, headers).end(text);
      });
    });
  });
  await new Promise<void>((resolve) => server.listen(0, '127.0.0.1', resolve));
  const host = `127.0.0.1:${(server.address() as AddressInfo).port}`;
  return Object.assign(receiver, {
    host,
    url: (path = '/') => `http://${host}${path}`,
    outgoing: new Outgoing({ innerHosts: [host] }),
    idsAt: (path: string) =>
      receiver.taken.filter((one) => one.path === path).map((one) => String(one.headers['webhook-id'])),
    close: () =>
      new Promise<void>((resolve) => {
        server.close(() => resolve());
        server.closeAllConnections();
      }),
  });
}
