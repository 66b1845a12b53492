const { availableParallelism } = require('node:os');
const { announceRunSeed } = require('./test/support/run-seed.cjs');
const { SWC } = require('./test/support/typescript.cjs');

announceRunSeed();

/** Jest's settings: pure tests need no database; service and api tests get one from test/support. */
const swc = ['@swc/jest', { ...SWC, module: { type: 'commonjs' } }];
const common = {
  testEnvironment: '<rootDir>/test/support/jest/one-realm.environment.cjs',
  runtime: '<rootDir>/test/support/jest/shared-modules.runtime.cjs',
  transform: { '^.+\\.(ts|js|mjs)$': swc },
  transformIgnorePatterns: ['/node_modules/'],
  moduleNameMapper: { '^(\\.{1,2}/.*)\\.js$': '$1' },
  moduleFileExtensions: ['ts', 'js', 'mjs', 'cjs', 'json', 'node'],
};
const room = (name, more = {}) => ({
  ...common,
  displayName: name,
  roots: [`<rootDir>/test/${name}`],
  testMatch: ['**/*.test.ts'],
  ...more,
});
const withDatabase = {
  globalSetup: '<rootDir>/test/support/start-database.cjs',
  globalTeardown: '<rootDir>/test/support/stop-database.cjs',
};
module.exports = {
  // Jest wants a number. It guards against a test that hangs, and against nothing else: no load reaches an hour.
  testTimeout: 3_600_000,
  // Jest would leave a core free; the workers mostly wait for PostgreSQL, so they get each of a small machine's.
  maxWorkers: Math.min(availableParallelism(), 4),
  projects: [
    room('core'),
    room('service', withDatabase),
    room('api', withDatabase),
    room('catalogue', withDatabase),
    room('faults', withDatabase),
    room('attacks', withDatabase),
    room('browser', withDatabase),
  ],
};
