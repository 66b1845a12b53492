import './outside-jest.js';
import { createWriteStream } from 'node:fs';
import { createGzip } from 'node:zlib';
import { pipeline } from 'node:stream/promises';
import { PassThrough } from 'node:stream';
import { readable } from './addresses.js';
import { Asking, type Entry } from './asking.js';
import { DatabaseTraffic } from './database-traffic.js';
import { openDemo } from './demo-world.js';
import { NormalText } from './normal-text.js';
import { Reads } from './reads.js';
import { signEverybodyIn } from './standing.js';

const say = (words: string): void => void process.stdout.write(`${words}\n`);

async function record(file: string): Promise<void> {
  const began = Date.now();
  const seconds = (): string => ((Date.now() - began) / 1000).toFixed(1);
  const traffic = new DatabaseTraffic();
  const demo = await openDemo();
  say(`demo loaded after ${seconds()} s`);
  const lines = new PassThrough({ highWaterMark: 1 << 28 });
  const written = pipeline(lines, ...(file.endsWith('.gz') ? [createGzip()] : []), createWriteStream(file));
  const asking = new Asking(demo.world.address, traffic, new NormalText(demo.world.address), (entry: Entry) => void lines.write(`${JSON.stringify(entry)}\n`));
  const standing = await signEverybodyIn(asking, demo.people);
  const addresses = readable(demo.world.description.document);
  const reads = new Reads(asking, standing, addresses);
  await reads.all();
  say(`${asking.count} answers after ${seconds()} s: everything read by everybody`);
  asking.close();
  lines.end();
  await written;
  await demo.close();
  say(`${asking.count} answers in ${seconds()} s: ${file}`);
}

const [, , command, file] = process.argv;
if (command === 'record' && file !== undefined) {
  record(file).then(() => process.exit(0), (error: unknown) => {
    process.stderr.write(`${String((error as Error).stack ?? error)}\n`);
    process.exit(1);
  });
}
