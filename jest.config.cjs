const { availableParallelism } = require('node:os');
const { announceRunSeed } = require('./test/support/run-seed.cjs');

announceRunSeed();

/** Jest's settings: pure tests need no database; service and api tests get one from test/support. */
const swc = [
  '@swc/jest',
  {
    jsc: {
      parser: { syntax: 'typescript', decorators: true },
      transform: { legacyDecorator: true, decoratorMetadata: true },
      target: 'es2022',
      keepClassNames: true,
    },
    module: { type: 'commonjs' },
  },
];
const common = {
  testEnvironment: 'node',
  transform: { '^.+\\.(ts|js|mjs)$': swc },
  // These packages ship as ES modules only; jest's runtime is CommonJS, so swc turns them.
  transformIgnorePatterns: [
    '/node_modules/(?!(@prisma/schema-engine-wasm|cssom|content-disposition|csv-parse|csv-stringify|@observablehq|d3|d3-[^/]+|internmap|delaunator|robust-predicates|isoformat|interval-tree-1d|binary-search-bounds|linkedom|uhyphen|html-escaper|css-select|css-what|boolbase|nth-check|domhandler|domelementtype|domutils|dom-serializer|entities|htmlparser2|cssomnom)/)',
  ],
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
  globalSetup: '<rootDir>/test/support/start-database.ts',
  globalTeardown: '<rootDir>/test/support/stop-database.ts',
};
module.exports = {
  // Jest would leave a core free; the workers mostly wait for PostgreSQL, so they get each of a small machine's.
  maxWorkers: Math.min(availableParallelism(), 4),
  projects: [
    room('core'),
    room('service', withDatabase),
    room('api', withDatabase),
    room('catalogue', withDatabase),
    room('faults', withDatabase),
  ],
};
