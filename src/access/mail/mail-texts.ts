import type { Mail } from '../../platform/mail/mail-transport.js';

/** What a mail is about; kept sealed until it is sent. */
export type MailContent =
  | { readonly kind: 'prove-address'; readonly token: string; readonly until: string }
  | { readonly kind: 'address-changed' };

/** Where the link of a mail leads; opening it does nothing yet, since scanners of mail open links too. */
const LINK_AT = '/yard/account/email-proof';

/**
 * Whoever named the address wrote nothing in it: names of people and operations would let anybody have the server send
 * words of theirs to a stranger.
 */
export function mailText(content: MailContent, publicAddress: string): Pick<Mail, 'subject' | 'text'> {
  switch (content.kind) {
    case 'prove-address':
      return {
        subject: 'Show that this address is yours',
        text: lines(
          `Somebody who signed in to the ranch records at ${publicAddress} says that this is their email address.`,
          'If that was you, open this link, sign in, and press the button there:',
          `${publicAddress}${LINK_AT}?token=${content.token}`,
          `It is good once, until ${inWords(content.until)}, and in the account that asked for it alone.`,
          'If it was not you, there is nothing to do: without you the address stays unproven.',
        ),
      };
    case 'address-changed':
      return {
        subject: 'Your email address was changed',
        text: lines(
          `An account at ${publicAddress} that this address belonged to has another email address now.`,
          'If that was you, there is nothing to do.',
          'If it was not, tell the owner of your operation, or whoever runs the server, at once.',
        ),
      };
  }
}

function lines(...paragraphs: string[]): string {
  return `${paragraphs.join('\n\n')}\n`;
}

function inWords(instant: string): string {
  return `${instant.slice(0, 10)} ${instant.slice(11, 16)} UTC`;
}
