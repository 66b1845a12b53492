module.exports = () => require('./test-server.ts').stopTestServer();
