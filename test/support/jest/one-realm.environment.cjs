const { ModuleMocker } = require('jest-mock');

/**
 * A test file runs in the realm that everything else runs in: `Date`, `Error` and `Array` are the server's own, and the
 * server's modules need not be loaded once more. What a file leaves on the global object, on `process` or in a spy is
 * put back when it ends.
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
    for (const name of Reflect.ownKeys(globalThis)) {
      const before = this.globals[name];
      // The one global of jest's that cannot be taken away holds its matchers, which each file sets anew.
      if (Object.getOwnPropertyDescriptor(globalThis, name)?.configurable !== true) continue;
      if (before === undefined) delete globalThis[name];
      else Object.defineProperty(globalThis, name, before);
    }
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
