/* How a server that is told to stop ends its connections: what was asked is answered, what was not holds up nobody. */
import { once } from 'node:events';
import { readFileSync } from 'node:fs';
import { createServer, type RequestListener, type Server } from 'node:http';
import { createServer as createTlsServer } from 'node:https';
import { type AddressInfo, connect, type Socket } from 'node:net';
import path from 'node:path';
import { connect as connectTls } from 'node:tls';
import { Drain } from '../../src/platform/http/drain.js';

const HOUR_MS = 3_600_000;
/** More than all that lies between the two of them can hold. */
const MUCH = Buffer.alloc(64 * 1024 * 1024);
const FIXTURES = path.resolve(__dirname, '..', 'support', 'tls');
const PAIR = {
  cert: readFileSync(path.join(FIXTURES, 'first.crt.pem')),
  key: readFileSync(path.join(FIXTURES, 'first.key.pem')),
};
const HEAD = 'POST /feedings HTTP/1.1\r\nHost: x\r\nContent-Length: 10\r\n';

interface Running {
  server: Server;
  open: () => Promise<Socket>;
  /** The next request that begins, and how to answer it. */
  asked: () => Promise<() => void>;
  drain: Drain;
}

const opened: Running[] = [];
const clients: Socket[] = [];
afterEach(() => {
  clients.splice(0).forEach((client) => client.destroy());
  opened.splice(0).forEach(({ server }) => server.closeAllConnections());
});

async function running(secure: boolean, halfSentMs = 20): Promise<Running> {
  const begun: (() => void)[] = [];
  const waiting: ((end: () => void) => void)[] = [];
  const listener: RequestListener = (request, answer) => {
    request.resume();
    const end = (): void => void answer.end(request.url === '/much' ? MUCH : 'done');
    const next = waiting.shift();
    if (next === undefined) begun.push(end);
    else next(end);
  };
  const pair = secure ? PAIR : undefined;
  const server = pair === undefined ? createServer(listener) : createTlsServer(pair, listener);
  const drain = new Drain(server, { runningMs: HOUR_MS, halfSentMs });
  await once(server.listen(0, '127.0.0.1'), 'listening');
  const { port } = server.address() as AddressInfo;
  const open = async (): Promise<Socket> => {
    const client = secure
      ? connectTls({ port, host: '127.0.0.1', rejectUnauthorized: false })
      : connect(port, '127.0.0.1');
    clients.push(client);
    client.on('error', () => undefined);
    await once(client, secure ? 'secureConnect' : 'connect');
    return client;
  };
  const asked = (): Promise<() => void> =>
    new Promise((resolve) => {
      const end = begun.shift();
      if (end === undefined) waiting.push(resolve);
      else resolve(end);
    });
  const made = { server, open, asked, drain };
  opened.push(made);
  return made;
}

function heardOf(socket: Socket): Promise<string> {
  return new Promise((resolve) => {
    let heard = '';
    socket.on('data', (part: Buffer) => (heard += part.toString()));
    socket.once('close', () => resolve(heard));
  });
}

/** The server begins to stop; resolves when its last connection has ended. */
function stopped({ server, drain }: Running): Promise<void> {
  return new Promise((resolve) => {
    server.close(() => resolve());
    drain.begin();
  });
}

describe.each([
  ['http', false],
  ['https', true],
])('a server that stops, by %s', (_, secure) => {
  it.each([
    ['nothing at all', ''],
    ['half of the head of a request', HEAD],
    ['half of the body of one', `${HEAD}\r\n12345`],
  ])('ends a connection that has sent %s', async (_what, sent) => {
    const one = await running(secure);
    const client = await one.open();
    const heard = heardOf(client);
    if (sent !== '') await new Promise((resolve) => client.write(sent, resolve));
    if (sent.endsWith('12345')) await one.asked();
    await stopped(one);
    expect(await heard).toBe('');
  });

  it('answers what was asked, long after the others were ended', async () => {
    const one = await running(secure);
    const [asking, half] = [await one.open(), await one.open()];
    const [heard, other] = [heardOf(asking), heardOf(half)];
    asking.write('GET /lots HTTP/1.1\r\nHost: x\r\n\r\n');
    const end = await one.asked();
    half.write(HEAD);
    const over = stopped(one);
    expect(await other).toBe('');
    end();
    await over;
    expect(await heard).toMatch(/^HTTP\/1\.1 200 OK\r\n[\s\S]*done/);
  });

  it('does not wait for the end of a head that comes a letter at a time', async () => {
    const one = await running(secure);
    const client = await one.open();
    const heard = heardOf(client);
    client.write(`${HEAD}X-Slow: `);
    const letters = setInterval(() => client.write('a'), 5);
    await stopped(one);
    clearInterval(letters);
    expect(await heard).toBe('');
  });

  it('does not wait for whoever asks and takes no answer', async () => {
    const one = await running(secure);
    const client = await one.open();
    client.pause();
    client.write('GET /much HTTP/1.1\r\nHost: x\r\n\r\n');
    const end = await one.asked();
    const over = stopped(one);
    end();
    await over;
    client.destroy();
  });

  it('waits for a body that goes on arriving', async () => {
    const one = await running(secure, 400);
    const client = await one.open();
    const heard = heardOf(client);
    client.write(`${HEAD}\r\n`);
    const end = await one.asked();
    const over = stopped(one);
    for (let at = 0; at < 10; at += 1) {
      client.write('1');
      await new Promise((resolve) => setTimeout(resolve, 20));
    }
    end();
    await over;
    expect(await heard).toMatch(/^HTTP\/1\.1 200 OK/);
  });

  it('asked a second time, ends everything', async () => {
    const one = await running(secure);
    const client = await one.open();
    const heard = heardOf(client);
    client.write('GET /lots HTTP/1.1\r\nHost: x\r\n\r\n');
    await one.asked();
    const over = stopped(one);
    one.drain.atOnce();
    await over;
    expect(await heard).toBe('');
  });
});
