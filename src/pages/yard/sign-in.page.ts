import { html } from '../html.js';
import { page } from '../layout.js';

/**
 * The one form that takes a passphrase. An error is shown above it; the email stays filled in, the passphrase does not.
 */
export function signInHtml({
  next,
  email,
  problem,
}: {
  next: string | null;
  email: string;
  problem: string | null;
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
<p>You stay signed in on this device for a working day. Nothing can be changed from these pages:
they are for reading and printing.</p>`,
  );
}
