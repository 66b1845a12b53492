/** test/support is written for jest; this program runs without it. Imported before anything of test/support. */
const house = globalThis as { jest?: unknown };
house.jest ??= { setTimeout: () => undefined };
