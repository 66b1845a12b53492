import { html, type Html } from '../html.js';
import { page } from '../layout.js';
import { PASSKEY_SCRIPT_TAG, passkeyForm } from '../account/passkey-forms.js';

/**
 * The one form that takes a passphrase. An error is shown above it; the email stays filled in, the passphrase does not.
 */
export function signInHtml({
  next,
  email,
  problem,
  passkeysAt,
}: {
  next: string | null;
  email: string;
  problem: string | null;
  passkeysAt: string | null;
}): string {
  return page(
    'Sign in',
    html`
${problem === null ? null : html`<p class="told" role="alert">${problem}</p>`}
<form method="post" action="/yard/sign-in">
${next === null ? null : html`<input type="hidden" name="next" value="${next}">`}
<label for="email">Email</label>
<input id="email" name="email" type="email" autocomplete="username"
autocapitalize="none" required maxlength="254" value="${email}">
<label for="passphrase">Passphrase</label>
<input id="passphrase" name="passphrase" type="password" autocomplete="current-password" required maxlength="256">
<label for="code">One-time code <small>if you set one up; or a recovery code</small></label>
<input id="code" name="code" autocomplete="one-time-code" autocapitalize="none" maxlength="40">
<p><button type="submit">Sign in</button></p>
</form>
${passkeysAt === null ? null : byPasskey(passkeysAt, next)}
<p>You stay signed in on this device for a working day.</p>`,
  );
}

/** Needs neither email nor passphrase. */
function byPasskey(at: string, next: string | null): Html {
  const form = passkeyForm({
    action: '/yard/sign-in/passkey',
    passkey: 'shown',
    at,
    options: null,
    button: 'Sign in with a passkey',
    fields: next === null ? null : html`<input type="hidden" name="next" value="${next}">`,
  });
  return html`${form}
${PASSKEY_SCRIPT_TAG}`;
}
