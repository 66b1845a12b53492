/** `npm run bench`: slow or timed work, one JSON line per figure. Nothing here is asserted by the clock. */
const base = require('../../jest.config.cjs');

const [withDatabase] = base.projects.filter((project) => project.displayName === 'api');
module.exports = {
  ...withDatabase,
  displayName: 'bench',
  rootDir: '../..',
  roots: ['<rootDir>/test/bench'],
  testMatch: ['**/*.bench.ts'],
};
