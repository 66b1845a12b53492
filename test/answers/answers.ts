import './outside-jest.js';
import { createWriteStream } from 'node:fs';
import { createGzip } from 'node:zlib';
import { pipeline } from 'node:stream/promises';
import { PassThrough } from 'node:stream';
import { readable, writable } from './addresses.js';
import { Asking, type Entry } from './asking.js';
import { DatabaseTraffic } from './database-traffic.js';
import { openDemo } from './demo-world.js';
import { atEveryDoor, calculations } from './doors.js';
import { NormalText } from './normal-text.js';
import { Reads } from './reads.js';
import { signEverybodyIn } from './standing.js';
import { Writes } from './writes.js';

const say = (words: string): void => void process.stdout.write(`${words}\n`);

/** Which parts are recorded: all of them, unless ANSWERS names some, for the one who works on this tool. */
const parts = (process.env['ANSWERS'] ?? 'reads refusals calculations writes doors afterwards').split(' ');

async function record(file: string): Promise<void> {
  const began = Date.now();
  const traffic = new DatabaseTraffic();
  const demo = await openDemo();
  const { address, description } = demo.world;
  const lines = file.endsWith('.gz') ? createGzip() : new PassThrough();
  const written = pipeline(lines, createWriteStream(file));
  const asking = new Asking(
    address,
    traffic,
    new NormalText(address),
    (entry: Entry) => void lines.write(`${JSON.stringify(entry)}\n`),
  );
  const told = (what: string): void =>
    say(`${((Date.now() - began) / 1000).toFixed(0)} s, ${asking.count} answers: ${what}`);
  told('the demo is loaded');

  const standing = await signEverybodyIn(asking, demo.people);
  const [coldwater] = standing.operations.filter((one) => one.short === 'coldwater');
  const { miles, ines } = standing.people;
  if (coldwater === undefined || miles === undefined || ines === undefined)
    throw new Error('The demo has lost its first operation, or its people');
  const reads = new Reads(asking, standing, readable(description.document));
  const writes = new Writes(asking, standing, coldwater);
  const steps: readonly (readonly [part: string, what: string, done: () => Promise<void>])[] = [
    ['reads', 'everything read by everybody', () => reads.all()],
    ['refusals', 'wrong questions asked', () => reads.refused(coldwater, miles)],
    ['calculations', 'calculations asked', () => calculations(asking, standing, ines)],
    ['writes', 'entries written, repeated, taken back, refused', () => writes.all()],
    [
      'doors',
      'every door tried by everybody',
      () =>
        atEveryDoor(
          asking,
          standing,
          coldwater,
          writable(description.document).filter((one) => !one.template.includes('/calculations/')),
        ),
    ],
    [
      'afterwards',
      'read again',
      () =>
        reads.again(
          coldwater,
          coldwater.members.filter((one) => one.role !== 'nutritionist' && one.role !== 'accountant'),
        ),
    ],
  ];
  for (const [part, what, done] of steps) {
    if (!parts.includes(part)) continue;
    await done();
    told(what);
  }
  asking.close();
  lines.end();
  await written;
  await demo.close();
  for (const surprise of writes.surprises) say(`not as expected: ${surprise}`);
  told(`recorded in ${file}`);
}

const [, , command, file] = process.argv;
if (command === 'record' && file !== undefined) {
  record(file).then(
    () => process.exit(0),
    (error: unknown) => {
      process.stderr.write(`${String((error as Error).stack ?? error)}\n`);
      process.exit(1);
    },
  );
}
