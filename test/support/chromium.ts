import { accessSync, constants } from 'node:fs';

const PLACES = [process.env['CHROMIUM'] ?? '', '/usr/bin/chromium', '/usr/bin/chromium-browser'];

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
