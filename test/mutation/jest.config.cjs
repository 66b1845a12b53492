/** Jest's settings where mutants are tried: the core's tests, as in the settings of `npm test`, in jest's own node. */
const [core] = require('../../jest.config.cjs').projects;
const { testEnvironment: _realm, runtime: _modules, displayName: _name, rootDir: _root, ...settings } = core;
module.exports = { ...settings, rootDir: '../..', testTimeout: 3_600_000 };
