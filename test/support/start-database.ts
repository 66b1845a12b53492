export default async function start(): Promise<void> { await Promise.resolve(); }
