const { AsyncLocalStorage } = require('node:async_hooks');
const { ModuleMocker } = require('jest-mock');

/** Where jest notes what a file's `jest.setTimeout` said. */
const TIME_LIMIT = Symbol.for('TEST_TIMEOUT_SYMBOL');

/**
 * Jest's runner begins an `AsyncLocalStorage` for every file and never ends it, and up to Node 22 each promise is
 * handed to every one that was begun: after forty files a fifth of all time went there.
 */
const begun = new Set();
const { run } = AsyncLocalStorage.prototype;
AsyncLocalStorage.prototype.run = function (...all) {
  begun.add(this);
  return run.apply(this, all);
};

/**
 * A test file runs in the realm that everything else runs in: `Date`, `Error` and `Array` are the server's own, and the
 * server's modules need not be loaded again. What a file changes on the global object, on `process` or with a spy is
 * put back when it ends. What was added to the global object stays: a package is loaded once and sets its globals once.
 */
module.exports = class OneRealmEnvironment {
  constructor() {
    this.global = globalThis;
    this.moduleMocker = new ModuleMocker(globalThis);
    this.fakeTimers = null;
    this.fakeTimersModern = null;
    this.globals = Object.getOwnPropertyDescriptors(globalThis);
    this.environmentVariables = { ...process.env };
    this.folder = process.cwd();
    this.exit = process.exit;
  }

  async setup() {}

  async teardown() {
    this.moduleMocker.restoreAllMocks();
    for (const storage of begun) storage.disable();
    begun.clear();
    for (const [name, before] of Object.entries(this.globals))
      if (before.configurable) Object.defineProperty(globalThis, name, before);
    delete globalThis[TIME_LIMIT];
    for (const name of Object.keys(process.env)) if (!(name in this.environmentVariables)) delete process.env[name];
    Object.assign(process.env, this.environmentVariables);
    process.chdir(this.folder);
    process.exit = this.exit;
  }

  exportConditions() {
    return ['node', 'node-addons'];
  }

  /** Jest asks whether there still is a context; the runtime beside this file never compiles into it. */
  getVmContext() {
    return globalThis;
  }
};
