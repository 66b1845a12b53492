import { Absence, Phones } from './phones.js';
import { keptBooks } from './kept-books.js';
import type { ServerProcess } from './server-process.js';
import type { Outcome, Trial } from './worlds.js';
import type { YardOfFaults } from './yard-of-faults.js';

/** After each fault the phones must get on before the next. */
const ENTRIES_BETWEEN = 10;

export interface Scene {
  readonly name: string;
  readonly yard: YardOfFaults;
  readonly servers: readonly ServerProcess[];
  /** Where phones send to; the first server by default. */
  readonly url?: (phone: number) => string;
  readonly ownerUrl: () => string;
  /** Whether the absences of the faults are worth telling, by the probe or by the fault itself. */
  readonly strike: (acting: { absence: Absence; phones: Phones; fault: number }) => Promise<void>;
  /** What the books do not say: what else went wrong. */
  readonly wrong?: () => readonly string[];
}

/** Phones enter, faults strike one after the other, and then the books are read. */
export async function around(trial: Trial, scene: Scene): Promise<Outcome> {
  const { name, yard, servers, ownerUrl, strike } = scene;
  const first = (): string => servers[0]?.url ?? '';
  const url = scene.url ?? first;
  const phones = new Phones(yard, url, name.replaceAll(' ', '-'));
  phones.start(trial.phones);
  await phones.untilMore(ENTRIES_BETWEEN);
  const absence = new Absence(yard, () => url(0));
  for (let fault = 1; fault <= trial.count; fault += 1) {
    await strike({ absence, phones, fault });
    await phones.untilMore(ENTRIES_BETWEEN);
    trial.tell(`${fault} of ${trial.count}, ${phones.acknowledged} acknowledged`);
  }
  await phones.finish();
  const absenceMs = await absence.end();
  await Promise.all(servers.map((server) => server.ready()));
  const ended = servers.flatMap((server) => server.ended.map((how) => `the server ended by itself (${how})`));
  return {
    faults: trial.count,
    acknowledged: phones.acknowledged,
    ...(await keptBooks({ url: first(), ownerUrl: ownerUrl(), yard }, phones.sent)),
    wrong: [...phones.wrong, ...ended, ...(scene.wrong?.() ?? [])],
    absenceMs,
  };
}
