import { defineConfig } from 'prisma/config';

// `prisma generate` works from WebAssembly alone; naming any executable here keeps it from downloading an engine it
// does not use.
process.env['PRISMA_SCHEMA_ENGINE_BINARY'] ??= process.execPath;

export default defineConfig({ schema: 'prisma/schema.prisma', migrations: { path: 'prisma/migrations' } });
