import type { MailTransport } from './mail/mail-transport.js';

/** How people reach the server, and the server them. */
export class Outside {
  constructor(
    /** Where people open it, as an origin (https://books.ranch.example); undefined where nobody said. */
    readonly publicAddress: string | undefined,
    /** Undefined where no mail goes out. */
    readonly mail: MailTransport | undefined,
  ) {}
}
