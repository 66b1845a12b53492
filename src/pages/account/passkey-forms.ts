import type { FastifyInstance } from 'fastify';
import { serveDocument } from '../../platform/http/open-document.js';
import { html, type Html, type Part } from '../html.js';
import { PASSKEY_SCRIPT } from './passkey.script.js';

const SCRIPT_AT = '/yard/passkeys.js';

/** The one script of the pages. */
export const PASSKEY_SCRIPT_TAG = html`<script src="/yard/passkeys.js" defer></script>`;

export function servePasskeyScript(server: FastifyInstance): void {
  serveDocument(server, { path: SCRIPT_AT, type: 'text/javascript; charset=utf-8', text: () => PASSKEY_SCRIPT });
}

interface PasskeyForm {
  action: string;
  /** Whether one is made, or one that there is is shown. */
  passkey: 'new' | 'shown';
  /** Where browsers take passkeys of this server. */
  at: string;
  /** JSON for navigator.credentials; null: the script asks for it. */
  options: string | null;
  button: string;
  fields?: Part;
}

/** Hidden until the script finds that it can be used. */
export function passkeyForm({ action, passkey, at, options, button, fields = null }: PasskeyForm): Html {
  const given = options === null ? null : html` data-options="${options}"`;
  return html`<form method="post" action="${action}" data-passkey="${passkey}" data-at="${at}"${given} hidden>
${fields}
<input type="hidden" name="credential" value="">
<p><button class="quiet" type="submit">${button}</button></p>
<p role="status"></p>
</form>`;
}
