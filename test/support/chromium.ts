import { accessSync, constants, existsSync } from 'node:fs';

const PLACES = [process.env['CHROMIUM'] ?? '', '/usr/bin/chromium', '/usr/bin/chromium-browser'];

/** There as long as the browser is being installed, by a command that takes minutes at most: see .ci/run. */
const COMING = process.env['CHROMIUM_COMING'] ?? '';
const LOOK_EVERY_MS = 500;
// While a file of tests is loaded nothing can be awaited.
while (COMING !== '' && existsSync(COMING)) Atomics.wait(new Int32Array(new SharedArrayBuffer(4)), 0, 0, LOOK_EVERY_MS);

/** The browser of this machine; undefined where there is none. */
const CHROMIUM = PLACES.find((file) => {
  try {
    accessSync(file, constants.X_OK);
    return file !== '';
  } catch {
    return false;
  }
});

/** As root, as in a container, chromium has no sandbox of its own; it asks nobody outside for anything. */
export const CHROMIUM_ARGS = [
  '--no-sandbox',
  '--disable-gpu',
  '--disable-dev-shm-usage',
  '--disable-quic',
  '--no-first-run',
  '--disable-background-networking',
  '--disable-component-update',
  '--disable-sync',
];

/** Runs `tests` in a browser; where there is none, one test says in its name and on the terminal what was not. */
export function inChromium(what: string, tests: (executablePath: string) => void): void {
  if (CHROMIUM !== undefined) {
    const found = CHROMIUM;
    describe(what, () => tests(found));
    return;
  }
  const words = `NOT TESTED: ${what}, since there is no chromium (apt-get install chromium, or CHROMIUM=)`;
  process.stderr.write(`\n${words}\n`);
  it(words, () => {
    expect(CHROMIUM).toBeUndefined();
  });
}
