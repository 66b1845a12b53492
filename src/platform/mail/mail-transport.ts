import type { SmtpSettings } from './mail-settings.js';

/** A message of plain text. */
export interface Mail {
  /** Names the message, so that one sent a second time can be told from another. */
  id: string;
  to: string;
  subject: string;
  text: string;
}

export interface MailTransport {
  /** @throws MailRefusal where the mail server was reached and will never take this mail; else whatever went wrong. */
  send(mail: Mail): Promise<void>;
  /** Whether the mail server answers and lets us in. @throws whatever went wrong. */
  check(): Promise<void>;
}

/** The mail server refused this address or this message for good; its words are in the message. */
export class MailRefusal extends Error {
  override name = 'MailRefusal';
}

const CONNECT_MS = 10_000;
const SILENT_MS = 30_000;

interface SmtpProblem {
  code?: unknown;
  command?: unknown;
  responseCode?: unknown;
  response?: unknown;
}

/** Sends by SMTP, one connection a mail. The library is loaded with the first mail. */
export function smtpTransport({ url, from, publicAddress }: SmtpSettings): MailTransport {
  const { hostname } = new URL(publicAddress);
  const opened = async () => {
    const { createTransport } = await import('nodemailer');
    return createTransport({
      url,
      connectionTimeout: CONNECT_MS,
      greetingTimeout: CONNECT_MS,
      socketTimeout: SILENT_MS,
      disableFileAccess: true,
      disableUrlAccess: true,
    });
  };
  return {
    check: async () => {
      const transport = await opened();
      await transport.verify().finally(() => transport.close());
    },
    send: async ({ id, to, subject, text }) => {
      const transport = await opened();
      try {
        await transport.sendMail({
          from,
          to: { name: '', address: to },
          subject,
          text,
          messageId: `<${id}@${hostname}>`,
          // RFC 3834: nobody's holiday answer is wanted.
          headers: { 'Auto-Submitted': 'auto-generated' },
        });
      } catch (error) {
        throw refusalOf(error as SmtpProblem) ?? error;
      } finally {
        transport.close();
      }
    },
  };
}

/**
 * RFC 5321, 4.2.1: an answer of 5yz is for good. One to the sign-in, or to the sender's address, is about us and not
 * about the mail.
 */
function refusalOf({ code, command, responseCode, response }: SmtpProblem): MailRefusal | undefined {
  const isForGood = typeof responseCode === 'number' && responseCode >= 500;
  const isOfMail = (code === 'EENVELOPE' && command !== 'MAIL FROM') || code === 'EMESSAGE';
  if (!isForGood || !isOfMail) return undefined;
  return new MailRefusal(typeof response === 'string' ? response : String(responseCode));
}
