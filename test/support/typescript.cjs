const Module = require('node:module');
const path = require('node:path');

/** How this checkout's TypeScript is compiled without a build: in jest and in `npm run dev`. */
const checkout = path.resolve(__dirname, '..', '..');
const packages = path.join(checkout, 'node_modules') + path.sep;

const SWC = {
  jsc: {
    parser: { syntax: 'typescript', decorators: true },
    transform: { legacyDecorator: true, decoratorMetadata: true },
    target: 'es2022',
    keepClassNames: true,
  },
};

/** From here on `require('./x.js')` in the checkout's sources finds `x.ts`, which `load` compiles. */
function loadSourcesWith(load) {
  const resolve = Module._resolveFilename;
  Module._resolveFilename = function resolveSource(request, parent, ...rest) {
    const from = parent?.filename ?? '';
    const ours =
      request.startsWith('.') && request.endsWith('.js') && from.startsWith(checkout) && !from.startsWith(packages);
    return resolve.call(this, ours ? `${request.slice(0, -3)}.ts` : request, parent, ...rest);
  };
  require.extensions['.ts'] = load;
}

module.exports = { SWC, checkout, loadSourcesWith };
