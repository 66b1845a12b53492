import type { FastifyInstance } from 'fastify';
import { servePasskeyScript } from './account/passkey-forms.js';
import { serveOffline } from './yard/offline/serve-offline.js';

/** What pages ask of this server beside themselves, the same for everybody: scripts, manifest, icon. */
export function serveToBrowsers(server: FastifyInstance): void {
  servePasskeyScript(server);
  serveOffline(server);
}
