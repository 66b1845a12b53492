import { Inject, Injectable, Logger, type OnModuleDestroy } from '@nestjs/common';
import { type Clock, CLOCK } from '../../platform/clock.js';
import { MailRefusal, type MailTransport } from '../../platform/mail/mail-transport.js';
import { Outside } from '../../platform/outside.js';
import { SealProblem, SecretBox } from '../../platform/secrets/secret-box.js';
import { type ClaimedMail, MailOutboxStore, NOT_OUT_YET } from './mail-outbox.store.js';
import { type MailContent, mailText } from './mail-texts.js';

/** Minutes until a mail that could not be sent is tried again; the last holds from there on. */
const PAUSES = [1, 5, 15, 60] as const;
const PROBLEM_LETTERS = 300;

/**
 * Sends what waits in the outbox, outside any transaction. A mail is claimed first, so that of several servers one
 * sends it; what cannot be sent is tried again until it would help nobody. If this program ends between the mail
 * server's word and the note of it, the same message goes out again under the same name (RFC 5322, 3.6.4).
 */
@Injectable()
export class MailSender implements OnModuleDestroy {
  readonly #log = new Logger('mail');
  #running: Promise<void> | undefined;
  #again = false;

  constructor(
    private readonly outbox: MailOutboxStore,
    private readonly secrets: SecretBox,
    private readonly outside: Outside,
    @Inject(CLOCK) private readonly clock: Clock,
  ) {}

  /** Whether mail goes out at all. */
  get offered(): boolean {
    return this.outside.mail !== undefined && this.outside.publicAddress !== undefined;
  }

  /** Sends all that is due; whatever goes wrong is logged. Nobody who wrote mail waits for it. */
  deliverDue(): Promise<void> {
    const { mail, publicAddress } = this.outside;
    if (mail === undefined || publicAddress === undefined) return Promise.resolve();
    this.#again = true;
    this.#running ??= this.#deliverAll(mail, publicAddress);
    return this.#running;
  }

  async onModuleDestroy(): Promise<void> {
    await this.#running;
  }

  async #deliverAll(transport: MailTransport, publicAddress: string): Promise<void> {
    try {
      while (this.#again) {
        this.#again = false;
        await this.outbox.tidy(this.clock.now());
        for (let next = await this.#claim(); next !== undefined; next = await this.#claim())
          await this.#deliver(next, transport, publicAddress);
        await this.outbox.noteHeld(this.clock.now());
      }
    } catch (error) {
      this.#log.error(`Mail could not be sent: ${wordsOf(error)}`);
    } finally {
      this.#running = undefined;
    }
  }

  #claim(): Promise<ClaimedMail | undefined> {
    return this.outbox.claim(this.clock.now());
  }

  async #deliver(claimed: ClaimedMail, transport: MailTransport, publicAddress: string): Promise<void> {
    const { id, to_address: to, attempts } = claimed;
    try {
      const content = JSON.parse(this.secrets.open(claimed.sealed, id)) as MailContent;
      await transport.send({ id, to, ...mailText(content, publicAddress) });
    } catch (error) {
      const moment = this.clock.now();
      this.#log.warn(`Mail ${id} was not sent (try ${attempts}): ${wordsOf(error)}`);
      if (error instanceof MailRefusal)
        return this.outbox.refused(id, `The mail server said: ${wordsOf(error)}`, moment);
      if (error instanceof SealProblem)
        return this.outbox.refused(id, 'The secret key of the server was changed meanwhile. Ask for another.', moment);
      const pause = PAUSES[Math.min(attempts, PAUSES.length) - 1] ?? PAUSES[0];
      return this.outbox.failed(id, new Date(moment.getTime() + pause * 60_000), NOT_OUT_YET, moment);
    }
    await this.outbox.sent(id, this.clock.now());
  }
}

/** In one line, without what could be a secret of the connection. */
function wordsOf(error: unknown): string {
  const words = error instanceof Error ? error.message : String(error);
  return words.replaceAll(/\s+/g, ' ').slice(0, PROBLEM_LETTERS);
}
