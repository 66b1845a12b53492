/**
 * `node --require` this, and Node runs this checkout's TypeScript as it is: for `npm run dev`, and for tests that start
 * the whole program as a process of its own. What was compiled is kept beside the packages under the digest of its
 * source, so that the next start compiles only what changed.
 */
const { createHash } = require('node:crypto');
const { mkdirSync, readFileSync, renameSync, writeFileSync } = require('node:fs');
const path = require('node:path');
const { transformSync, version } = require('@swc/core');
const { SWC, checkout, loadSourcesWith } = require('./typescript.cjs');

/** A dynamic import of a source of ours is a `require`, which alone finds TypeScript. */
const OF_OUR_OWN = /\bimport\((["']\.{1,2}\/[^"']+["'])\)/g;
const kept = path.join(checkout, 'node_modules', '.cache', 'rickyard-typescript');
const settings = `${version}\0${JSON.stringify(SWC)}\0${readFileSync(__filename, 'utf8')}`;

loadSourcesWith((module, filename) => {
  const source = readFileSync(filename, 'utf8');
  const digest = createHash('sha256').update(`${settings}\0${filename}\0${source}`).digest('hex');
  const file = path.join(kept, `${digest}.js`);
  module._compile(keptBefore(file) ?? keep(file, compiled(source, filename)), filename);
});

function compiled(source, filename) {
  const { code } = transformSync(source, {
    ...SWC,
    filename,
    // A dynamic import of a package stays one: that is how the program loads packages that are ES modules only.
    module: { type: 'commonjs', ignoreDynamic: true },
    sourceMaps: 'inline',
  });
  return code.replaceAll(OF_OUR_OWN, 'Promise.resolve().then(() => require($1))');
}

function keptBefore(file) {
  try {
    return readFileSync(file, 'utf8');
  } catch {
    return undefined;
  }
}

/** Written aside and renamed, so that no other process reads half of it. Where nothing can be written, no matter. */
function keep(file, code) {
  try {
    mkdirSync(kept, { recursive: true });
    const aside = `${file}.${process.pid}`;
    writeFileSync(aside, code);
    renameSync(aside, file);
  } catch {
    // The next start compiles it again.
  }
  return code;
}
