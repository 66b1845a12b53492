import { connect, type Socket } from 'node:net';
import { setTimeout as sleep } from 'node:timers/promises';
import { around } from '../harness/around.js';
import { embeddedWorld, type FaultKind } from '../harness/worlds.js';

const EACH = 40;
const STOPS_WITHIN_MS = 15_000;

/** Connects and says nothing, or a letter at a time, or asks and does not take the answer. */
function clients(port: number, key: string, operationId: string): Socket[] {
  const open = (): Socket => {
    const socket = connect(port, '127.0.0.1');
    socket.on('error', () => undefined);
    return socket;
  };
  const silent = Array.from({ length: EACH }, open);
  const slow = Array.from({ length: EACH }, () => {
    const socket = open();
    socket.write(`POST /v1/operations/${operationId}/hay-sales HTTP/1.1\r\nHost: x\r\nX-Slow: `);
    const letter = setInterval(() => socket.write('a'), 200);
    socket.once('close', () => clearInterval(letter));
    return socket;
  });
  const deaf = Array.from({ length: EACH }, () => {
    const socket = open();
    socket.pause();
    socket.write(
      `GET /openapi.json HTTP/1.1\r\nHost: x\r\n\r\nGET /v1/operations/${operationId}/hay-purchases HTTP/1.1\r\n` +
        `Host: x\r\nAuthorization: Bearer ${key}\r\n\r\n`,
    );
    return socket;
  });
  return [...silent, ...slow, ...deaf];
}

/** While they are there the server is stopped, as for an upgrade: they do not hold it up. */
export const SLOW_CLIENTS: FaultKind = {
  name: 'silent and slow clients',
  usually: 4,
  run: async (trial) => {
    const world = await embeddedWorld(trial);
    const wrong: string[] = [];
    try {
      return await around(trial, {
        ...world,
        name: 'slow',
        servers: [world.server],
        strike: async () => {
          const all = clients(world.server.port, world.yard.keys[0] ?? '', world.yard.operationId);
          await sleep(trial.random.between(1000, 3000));
          const { code, ms } = await world.server.restart();
          if (code !== 0 || ms > STOPS_WITHIN_MS) wrong.push(`the server stopped with ${code} after ${ms} ms`);
          for (const socket of all) socket.destroy();
        },
        wrong: () => wrong,
      });
    } finally {
      await world.close();
    }
  },
};
