import type { z } from 'zod';
import type { emailStanding } from '../../access/email/email.schema.js';
import { html, type Html } from '../html.js';
import { page } from '../layout.js';
import type { accountOut } from './account.schema.js';
import { PASSKEY_SCRIPT_TAG, passkeyForm } from './passkey-forms.js';

type Standing = z.output<typeof emailStanding>;
type Account = z.output<typeof accountOut>;
type Passkey = Account['passkeys'][number];

const HOME = [{ href: '/yard', words: 'Home' }];

export function accountHtml(account: Account): string {
  return page(
    'Your account',
    html`
${account.recoveryCodes.length === 0 ? null : codesPart(account.recoveryCodes)}
${emailPart(account.standing)}
${passkeysPart(account)}
${sessionsPart(account.sessions)}`,
    HOME,
  );
}

/** Where the person is signed in, each to be ended from here. */
function sessionsPart(sessions: Account['sessions']): Html {
  const items = sessions.map(({ id, startedAt, userAgent, address, present }) => {
    const end = html`<form method="post" action="/yard/account/sessions/end">
<input type="hidden" name="sessionId" value="${id}"><button class="quiet" type="submit">Sign it out</button></form>`;
    const where = address === null ? '' : `, from ${address}`;
    return html`<li><b>${present ? 'This device' : (userAgent ?? 'A program')}</b>, since ${dayOf(startedAt)}${where}
${present ? null : end}</li>`;
  });
  return html`<section>
<h2>Devices that are signed in</h2>
<p>A browser stays signed in for twelve hours. A phone that is lost is signed out from here.</p>
<ul>${items}</ul>
</section>`;
}

/** Shown once; on paper they are of use when the device is lost. */
function codesPart(codes: readonly string[]): Html {
  return html`<section class="told">
<h2>Recovery codes: write them down now</h2>
<p>Each is good once, for the day when the passkey is lost. They are not shown again.</p>
<ul>${codes.map((code) => html`<li class="code">${code}</li>`)}</ul>
</section>`;
}

function passkeysPart(account: Account): Html {
  const { passkeysAt, passkeys } = account;
  const none = html`<p>You have none. A passkey is kept by your phone, computer or security key, which checks that it is
you; it signs you in without passphrase and code.</p>`;
  const notOffered = html`<p>Passkeys work over https, or at localhost. Whoever runs this server has not said such an
address.</p>`;
  const alone = html`<p>The passphrase alone does not sign you in any more: beside it goes a one-time code or a recovery
code.</p>`;
  return html`<section>
<h2>Passkeys</h2>
${passkeys.length === 0 ? none : html`<ul>${passkeys.map((one) => passkeyItem(one, account.fresh))}</ul>`}
${passkeys.length === 0 ? null : alone}
${passkeysAt === null ? notOffered : changes(account, passkeysAt)}
</section>`;
}

function passkeyItem({ id, name, createdAt, lastUsedAt, countFellAt }: Passkey, fresh: boolean): Html {
  const used = lastUsedAt === null ? 'not used yet' : `last used ${dayOf(lastUsedAt)}`;
  const copied = html`<p class="told">On ${dayOf(countFellAt ?? '')} something answered that may be a copy of it. If you
have not restored the device from a backup, end it.</p>`;
  const end = html`<form method="post" action="/yard/account/passkeys/end">
<input type="hidden" name="passkeyId" value="${id}"><button class="quiet" type="submit">End it</button></form>`;
  return html`<li><b>${name}</b>, since ${dayOf(createdAt)}, ${used}
${countFellAt === null ? null : copied}
${fresh ? end : null}</li>`;
}

/** What adds and ends passkeys, or what opens that. */
function changes({ fresh, creation, request, passkeys }: Account, at: string): Html {
  const add = passkeyForm({
    action: '/yard/account/passkeys',
    passkey: 'new',
    at,
    options: creation,
    button: 'Add a passkey of this device',
    fields: html`<label for="name">Name <small>to tell it from others: the phone, the desk</small></label>
<input id="name" name="name" required maxlength="120">`,
  });
  const byPasskey = passkeyForm({
    action: '/yard/account/second-look',
    passkey: 'shown',
    at,
    options: request,
    button: 'Show a passkey',
  });
  const look = html`<h3>Add or end one</h3>
<form method="post" action="/yard/account/second-look">
<label for="passphrase">Passphrase <small>once more, since this page may have been left open</small></label>
<input id="passphrase" name="passphrase" type="password" autocomplete="current-password" required maxlength="256">
<label for="code">One-time code <small>or a recovery code; for who has codes or a passkey</small></label>
<input id="code" name="code" autocomplete="one-time-code" autocapitalize="none" maxlength="40">
<p><button type="submit">Go on</button></p>
</form>
${passkeys.length === 0 ? null : byPasskey}`;
  return html`${fresh ? add : look}
${PASSKEY_SCRIPT_TAG}`;
}

function dayOf(instant: string): string {
  return instant.slice(0, 10);
}

function emailPart({ email, emailProven, emailNote, mailOffered, link }: Standing): Html {
  const ask = html`<form method="post" action="/yard/account/email-links">
<p><button type="submit">Send a link to this address</button></p>
</form>`;
  const noMail = html`<p>This server sends no mail, so every address stays unproven.</p>`;
  return html`<section>
<h2>Email address</h2>
<p>${email}: <b>${emailProven ? 'proven' : 'unproven'}</b></p>
${emailNote === null ? null : html`<p>${emailNote}</p>`}
${link === null || emailProven ? null : linkPart(link)}
${emailProven ? null : mailOffered ? ask : noMail}
</section>`;
}

const LINK_WORDS: Readonly<Record<NonNullable<Standing['link']>['state'], string>> = {
  waiting: 'The link is about to be sent.',
  sent: 'A link was sent: open it on this device and press the button there.',
  'not-delivered': 'The link could not be delivered.',
  expired: 'The last link has expired, or was replaced.',
  used: 'The last link was used for an address before this one.',
};

function linkPart({ state, problem }: NonNullable<Standing['link']>): Html {
  return html`<p class="told" role="status">${LINK_WORDS[state]}${problem === null ? null : ` ${problem}`}</p>`;
}

export function emailProofHtml({ email, token }: { email: string; token: string }): string {
  return page(
    'Is this your address?',
    html`
<p>You are signed in to the account that goes by <b>${email}</b>. If mail to this address reaches you, and you asked
for the link that brought you here, press the button.</p>
<form method="post" action="/yard/account/email-proof">
<input type="hidden" name="token" value="${token}">
<p><button type="submit">This address is mine</button></p>
</form>`,
    [{ href: '/yard/account', words: 'Your account' }],
  );
}
