import type { z } from 'zod';
import type { emailStanding } from '../../access/email/email.schema.js';
import { html, type Html } from '../html.js';
import { page } from '../layout.js';

type Standing = z.output<typeof emailStanding>;

const HOME = [{ href: '/yard', words: 'Home' }];

export function accountHtml({ standing }: { standing: Standing }): string {
  return page('Your account', emailPart(standing), HOME);
}

function emailPart({ email, emailProven, mailOffered, link }: Standing): Html {
  const ask = html`<form method="post" action="/yard/account/email-links">
<p><button type="submit">Send a link to this address</button></p>
</form>`;
  const noMail = html`<p>This server sends no mail, so every address stays unproven.</p>`;
  return html`<section>
<h2>Email address</h2>
<p>${email}: <b>${emailProven ? 'proven' : 'unproven'}</b></p>
${emailProven ? null : html`<p>Nobody has shown yet that mail to this address reaches you.</p>`}
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
