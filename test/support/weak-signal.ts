import { connect, createServer, type Server, type Socket } from 'node:net';
import { once } from 'node:events';

/** Signal between a phone and the server: there, gone, or lost after the server heard and before its answer came. */
export type Signal = 'good' | 'none' | 'answers-lost';

/** A way to a server that can be cut. */
export interface WeakSignal {
  address: string;
  set(signal: Signal): void;
  /** To another server from now on. */
  moveTo(target: string): void;
  close(): Promise<void>;
}

export async function weakSignal(target: string): Promise<WeakSignal> {
  let { hostname, port } = new URL(target);
  let signal: Signal = 'good';
  const open = new Set<Socket>();
  const server: Server = createServer((phone) => {
    if (signal === 'none') {
      phone.destroy();
      return;
    }
    const there = connect(Number(port), hostname);
    for (const one of [phone, there]) {
      open.add(one);
      one.on('error', () => one.destroy());
      one.on('close', () => {
        open.delete(one);
        phone.destroy();
        there.destroy();
      });
    }
    phone.on('data', (data) => there.write(data));
    there.on('data', (data) => {
      if (signal === 'good') phone.write(data);
      // The server has done it; whoever asked never hears.
      else phone.destroy();
    });
  });
  server.listen(0, '127.0.0.1');
  await once(server, 'listening');
  return {
    address: `http://127.0.0.1:${(server.address() as { port: number }).port}`,
    set: (next) => {
      signal = next;
      if (next !== 'good') for (const one of open) one.destroy();
    },
    moveTo: (next) => {
      ({ hostname, port } = new URL(next));
      for (const one of open) one.destroy();
    },
    close: async () => {
      for (const one of open) one.destroy();
      server.close();
      await once(server, 'close');
    },
  };
}
