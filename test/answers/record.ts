import { readable, writable } from './addresses.js';
import { Asking } from './asking.js';
import { DatabaseTraffic } from './database-traffic.js';
import { type DemoWorld, openDemo } from './demo-world.js';
import { atEveryDoor, calculations } from './doors.js';
import { NormalText } from './normal-text.js';
import { Reads } from './reads.js';
import { RecordingWriter } from './recording.js';
import { signEverybodyIn } from './standing.js';
import { everythingWritten } from './writes/all.js';
import { Writer } from './writes/writer.js';

/** Which parts are recorded: all of them, unless ANSWERS names some, for the one who works on this tool. */
const ALL_PARTS = 'reads refusals calculations writes doors afterward';

/** Opens the demo, asks everything as everybody, and writes each answer down. */
export async function record(file: string, say: (words: string) => void): Promise<void> {
  const began = Date.now();
  const traffic = new DatabaseTraffic();
  const demo = await openDemo();
  const recording = new RecordingWriter(file);
  const { address } = demo.world;
  const asking = new Asking(address, traffic, new NormalText(address, began), (entry) => recording.write(entry));
  const tell = (what: string): void =>
    say(`${((Date.now() - began) / 1000).toFixed(0)} s, ${asking.count} answers: ${what}`);
  tell('the demo is loaded');
  const surprises = await ask(asking, demo, tell);
  asking.close();
  await recording.close();
  await demo.close();
  for (const surprise of surprises) say(`not as expected: ${surprise}`);
  tell(`recorded in ${file}`);
}

async function ask(
  asking: Asking,
  { people, world: { description } }: DemoWorld,
  tell: (what: string) => void,
): Promise<readonly string[]> {
  const standing = await signEverybodyIn(asking, people);
  const coldwater = standing.operations.find((one) => one.short === 'coldwater');
  const { miles, ines } = standing.people;
  if (coldwater === undefined || miles === undefined || ines === undefined)
    throw new Error('The demo has lost its first operation, or its people');
  const reads = new Reads(asking, standing, readable(description.document));
  const writer = new Writer(asking, standing, coldwater);
  const doors = writable(description.document).filter((one) => !one.template.includes('/calculations/'));
  const readers = coldwater.members.filter((one) => one.role !== 'nutritionist' && one.role !== 'accountant');
  const steps: readonly (readonly [part: string, what: string, done: () => Promise<void>])[] = [
    ['reads', 'everything read by everybody', () => reads.all()],
    ['refusals', 'wrong questions asked', () => reads.refused(coldwater, miles)],
    ['calculations', 'calculations asked', () => calculations(asking, standing, ines)],
    ['writes', 'entries written, repeated, reversed, refused', () => everythingWritten(writer)],
    ['doors', 'every door tried by everybody', () => atEveryDoor(asking, standing, coldwater, doors)],
    ['afterward', 'read again', () => reads.again(coldwater, readers)],
  ];
  const parts = (process.env['ANSWERS'] ?? ALL_PARTS).split(' ');
  for (const [part, what, done] of steps) {
    if (!parts.includes(part)) continue;
    await done();
    tell(what);
  }
  return writer.surprises;
}
