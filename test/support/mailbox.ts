import type { AddressInfo } from 'node:net';
import { SMTPServer } from 'smtp-server';
import { smtpTransport } from '../../src/platform/mail/mail-transport.js';
import { Outside } from '../../src/platform/outside.js';

export interface ReceivedMail {
  from: string;
  to: string;
  /** Names in lower case. */
  headers: Readonly<Record<string, string>>;
  text: string;
}

/** A mail server in this process, reached by real SMTP, and what it took. */
export interface Mailbox {
  outside: Outside;
  /** What a server of its own is told of it. */
  environment: { SMTP_URL: string; MAIL_FROM: string; PUBLIC_URL: string };
  taken: ReceivedMail[];
  /** What it answers to every recipient instead of taking the mail: a reply code of RFC 5321, 4.2.3. */
  refusing: number | undefined;
  /** Called when a mail has come in and before it is taken. */
  onMail: (() => Promise<void>) | undefined;
  to(address: string): ReceivedMail[];
  stop(): Promise<void>;
  /** Takes connections again, at the same address. */
  start(): Promise<void>;
}

export const PUBLIC_ADDRESS = 'https://books.ranch.example';
const SENDER = 'Rickyard <books@ranch.example>';

export async function openMailbox(): Promise<Mailbox> {
  let server: SMTPServer;
  let port = 0;
  const box: Mailbox = {
    outside: new Outside(undefined, undefined),
    environment: { SMTP_URL: '', MAIL_FROM: SENDER, PUBLIC_URL: PUBLIC_ADDRESS },
    taken: [],
    refusing: undefined,
    onMail: undefined,
    to: (address) => box.taken.filter((mail) => mail.to === address),
    stop: () => new Promise((resolve) => server.close(() => resolve())),
    start: async () => {
      server = serverOf(box);
      await new Promise<void>((resolve) => server.listen(port, '127.0.0.1', resolve));
      port = (server.server.address() as AddressInfo).port;
    },
  };
  await box.start();
  const settings = { url: `smtp://127.0.0.1:${port}`, from: SENDER, publicAddress: PUBLIC_ADDRESS };
  box.environment.SMTP_URL = settings.url;
  box.outside = new Outside(PUBLIC_ADDRESS, smtpTransport(settings));
  return box;
}

function serverOf(box: Mailbox): SMTPServer {
  return new SMTPServer({
    authOptional: true,
    disabledCommands: ['STARTTLS', 'AUTH'],
    onRcptTo: (_address, _session, done) => {
      if (box.refusing === undefined) return done();
      done(Object.assign(new Error('No such mailbox here'), { responseCode: box.refusing }));
    },
    onData: (stream, { envelope }, done) => {
      const chunks: Buffer[] = [];
      stream.on('data', (chunk: Buffer) => chunks.push(chunk));
      stream.on('end', () => {
        void Promise.resolve(box.onMail?.()).then(() => {
          const from = envelope.mailFrom === false ? '' : envelope.mailFrom.address;
          for (const { address } of envelope.rcptTo)
            box.taken.push({ from, to: address, ...readMail(Buffer.concat(chunks).toString('utf8')) });
          done();
        });
      });
    },
  });
}

/** A message of one part (RFC 5322), its text in whichever encoding it came (RFC 2045, 6). */
function readMail(raw: string): Pick<ReceivedMail, 'headers' | 'text'> {
  const [head = '', ...body] = raw.split('\r\n\r\n');
  const headers = Object.fromEntries(
    head
      .replaceAll(/\r\n[ \t]+/g, ' ')
      .split('\r\n')
      .map((line) => [line.slice(0, line.indexOf(':')).toLowerCase(), line.slice(line.indexOf(':') + 1).trim()]),
  );
  const content = body.join('\r\n\r\n');
  const isQuoted = headers['content-transfer-encoding'] === 'quoted-printable';
  const text = isQuoted
    ? content
        .replaceAll(/=\r\n/g, '')
        .replaceAll(/=([0-9A-F]{2})/g, (_all, hex: string) => String.fromCharCode(parseInt(hex, 16)))
    : content;
  return { headers, text: text.replaceAll('\r\n', '\n') };
}

/** The token of the link in a mail. */
export function tokenIn({ text }: ReceivedMail): string {
  return /\/yard\/account\/email-proof\?token=([A-Za-z0-9_-]+)/.exec(text)?.[1] ?? '';
}
