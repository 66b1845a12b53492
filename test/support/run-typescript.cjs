/**
 * `node --require` this, and node runs this checkout's TypeScript as it is: for tests that start the whole program as a
 * process of its own.
 */
const { readFileSync } = require('node:fs');
const Module = require('node:module');
const path = require('node:path');
const { transformSync } = require('@swc/core');

const checkout = path.resolve(__dirname, '..', '..');
const resolve = Module._resolveFilename;
Module._resolveFilename = function resolveSource(request, parent, ...rest) {
  const from = parent?.filename ?? '';
  const ours =
    request.startsWith('.') && request.endsWith('.js') && from.startsWith(checkout) && !from.includes('node_modules');
  return resolve.call(this, ours ? `${request.slice(0, -3)}.ts` : request, parent, ...rest);
};
require.extensions['.ts'] = (module, filename) => {
  const { code } = transformSync(readFileSync(filename, 'utf8'), {
    filename,
    jsc: {
      parser: { syntax: 'typescript', decorators: true },
      transform: { legacyDecorator: true, decoratorMetadata: true },
      target: 'es2022',
      keepClassNames: true,
    },
    // A dynamic import stays one: it is how the program loads what is an ES module only.
    module: { type: 'commonjs', ignoreDynamic: true },
    sourceMaps: false,
  });
  module._compile(code, filename);
};
