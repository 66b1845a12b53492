/**
 * `prisma generate` works from WebAssembly alone, yet downloads a native schema engine that it never runs, unless it is
 * told where one is: any executable will do.
 */
process.env['PRISMA_SCHEMA_ENGINE_BINARY'] ??= process.execPath;

export {};
