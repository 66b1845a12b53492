/**
 * `node --require` this, and Node runs this checkout's TypeScript as it is: for `npm run dev`, and for tests that start
 * the whole program as a process of its own.
 */
const { readFileSync } = require('node:fs');
const { transformSync } = require('@swc/core');
const { SWC, loadSourcesWith } = require('./typescript.cjs');

loadSourcesWith((module, filename) => {
  const { code } = transformSync(readFileSync(filename, 'utf8'), {
    ...SWC,
    filename,
    // A dynamic import stays one: it is how the program loads what is an ES module only.
    module: { type: 'commonjs', ignoreDynamic: true },
    sourceMaps: 'inline',
  });
  module._compile(code, filename);
});
