const { statSync } = require('node:fs');
const Module = require('node:module');
const path = require('node:path');
const { compileFunction } = require('node:vm');
const { default: Runtime } = require('jest-runtime');
const { checkout, loadSourcesWith } = require('../typescript.cjs');

/**
 * Jest loads every module again for every test file: 2,400 of them for the server, seconds of each API test. Here only
 * the test files are loaded by jest; the sources, `test/support` and the packages are loaded by Node, once per worker,
 * as in a running server. `jest.mock` of a module is not available; spies are, and are undone when the file that set
 * them ends.
 */
const tests = path.join(checkout, 'test') + path.sep;
const shared = [path.join(checkout, 'test', 'support') + path.sep];
const isTests = (file) => file.startsWith(tests) && !shared.some((folder) => file.startsWith(folder));

const sourceMaps = new Map();
const changedAt = new Map();
/** Jest's own transformer with its cache on disk; each test file's runtime brings one. */
let transforming;

loadSourcesWith((module, filename) => {
  const { code, sourceMapPath } = transforming(filename);
  if (sourceMapPath) sourceMaps.set(filename, sourceMapPath);
  changedAt.set(filename, statSync(filename).mtimeMs);
  module._compile(code, filename);
});

/** Under --watch a worker outlives an edit. */
function forgetChanged() {
  const changed = [...changedAt].some(([file, at]) => statSync(file, { throwIfNoEntry: false })?.mtimeMs !== at);
  if (!changed) return;
  for (const file of changedAt.keys()) delete require.cache[file];
  changedAt.clear();
}

module.exports = class SharedModulesRuntime extends Runtime {
  constructor(config, environment, resolver, transformer, ...rest) {
    super(config, environment, resolver, transformer, ...rest);
    forgetChanged();
    transforming = (filename) =>
      transformer.transform(filename, {
        isInternalModule: false,
        supportsDynamicImport: false,
        supportsExportNamespaceFrom: false,
        supportsStaticESM: false,
        supportsTopLevelAwait: false,
      });
    const { injectedModuleParameters } = this.executor;
    this.executor.compile = (source, filename) => compileFunction(source, injectedModuleParameters, { filename });
  }

  requireModuleOrMock(from, name) {
    if (name === '@jest/globals') return super.requireModuleOrMock(from, name);
    const load = Module.createRequire(from);
    if (Module.isBuiltin(name)) return load(name);
    const file = this._resolution.resolveCjs(from, name);
    return isTests(file) ? this.requireModule(from, name) : load(file);
  }

  /** Asked once, before anything is loaded, and read whenever a stack is printed. */
  getSourceMaps() {
    const own = super.getSourceMaps();
    return {
      get: (file) => own.get(file) ?? sourceMaps.get(file),
      *[Symbol.iterator]() {
        yield* sourceMaps;
        yield* own;
      },
    };
  }
};
