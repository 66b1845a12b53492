/**
 * `node --require` this, and Node runs this checkout's TypeScript as it is: for `npm run dev`, and for tests that start
 * the whole program as a process of its own.
 */
const { readFileSync } = require('node:fs');
const { transformSync } = require('@swc/core');
const { SWC, loadSourcesWith } = require('./typescript.cjs');

/** A dynamic import of a source of ours is a `require`, which alone finds TypeScript. */
const OF_OUR_OWN = /\bimport\((["']\.{1,2}\/[^"']+["'])\)/g;

loadSourcesWith((module, filename) => {
  const { code } = transformSync(readFileSync(filename, 'utf8'), {
    ...SWC,
    filename,
    // A dynamic import of a package stays one: that is how the program loads packages that are ES modules only.
    module: { type: 'commonjs', ignoreDynamic: true },
    sourceMaps: 'inline',
  });
  module._compile(code.replaceAll(OF_OUR_OWN, 'Promise.resolve().then(() => require($1))'), filename);
});
