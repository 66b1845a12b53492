require('./run-typescript.cjs');

/** jest's global setup: one PostgreSQL for the whole run, whichever projects run in it. */
module.exports = () => require('./test-server.ts').startTestServer();
