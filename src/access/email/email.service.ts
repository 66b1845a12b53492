import { Injectable } from '@nestjs/common';
import { emailNote } from '../../platform/wire/unproven-address.schema.js';
import { Database } from '../../platform/database/database.js';
import { showProof } from '../../platform/database/proof.js';
import type { Tenant } from '../../platform/database/types.js';
import type { Asker } from '../../platform/http/asker.js';
import type { AnswerOf, InputOf } from '../../platform/http/endpoint.js';
import { Problem, ruleBroken } from '../../platform/http/problem.js';
import { newId } from '../../platform/identifiers.js';
import { SelfProof } from '../account/self-proof.js';
import { MailOutboxStore } from '../mail/mail-outbox.store.js';
import { MailSender } from '../mail/mail-sender.js';
import { refuseTelling } from '../people/passphrase-rule.js';
import { PersonRead } from '../people/person.read.js';
import { PersonStore } from '../people/person.store.js';
import { Attempts } from '../sign-in/attempts.js';
import { hashPassphrase } from '../sign-in/passphrase.js';
import { SignInStore } from '../sign-in/sign-in.store.js';
import { hashToken, LINK_PREFIX, newToken } from '../sign-in/tokens.js';
import { EmailLinkRead, type MailedLinkRow } from './email-link.read.js';
import { EmailLinkStore } from './email-link.store.js';
import type * as api from './email.schema.js';

type Standing = AnswerOf<typeof api.getEmail>;

const LINK_HOURS = 24;
const HOUR_MS = 3_600_000;
const NEVER_OUT = 'No mail has gone out while the link was good. Ask for another.';

/**
 * A person's email address: a claim, until they have opened a link that was sent to it, signed in to the account that
 * asked for it. Whoever only reads the mail proves nothing by it, nor does whoever only has the account.
 */
@Injectable()
export class EmailService {
  constructor(
    private readonly database: Database,
    private readonly people: PersonRead,
    private readonly personStore: PersonStore,
    private readonly signIns: SignInStore,
    private readonly attempts: Attempts,
    private readonly proof: SelfProof,
    private readonly links: EmailLinkRead,
    private readonly linkStore: EmailLinkStore,
    private readonly outbox: MailOutboxStore,
    private readonly sender: MailSender,
  ) {}

  async get(tenant: Tenant): Promise<Standing> {
    const person = await this.people.one(tenant.db, tenant.personId);
    const link = await this.links.latest(tenant);
    return {
      email: person.email,
      emailProven: person.email_proven_at !== null,
      emailNote: emailNote(person.email_proven_at !== null, 'own'),
      provenAt: person.email_proven_at,
      mailOffered: this.sender.offered,
      link: link === undefined ? null : linkAnswer(link, tenant.moment.toISOString()),
    };
  }

  async ask(asker: Asker): Promise<Standing> {
    if (!this.sender.offered) throw new Problem('mail-not-offered');
    const { personId, moment } = asker;
    const operationId = await this.database.read(asker, async ({ db }) => {
      const { email_proven_at: proven } = await this.people.one(db, personId);
      if (proven !== null) throw new Problem('conflict', 'This address is proven already.');
      return this.people.vouchedBy(db, personId);
    });
    await this.attempts.ofMail({ personId, operationId }, asker.address, moment);
    const standing = await this.database.write(asker, async (tenant) => {
      // As it is now: with this request another may have changed it.
      const { email } = await this.people.one(tenant.db, personId);
      await this.#endLinks(tenant);
      const [id, token] = [newId(), newToken(LINK_PREFIX)];
      const until = new Date(moment.getTime() + LINK_HOURS * HOUR_MS).toISOString();
      await this.linkStore.insert(tenant, id, { email, token_hash: hashToken(token), expires_at: until });
      const content = { kind: 'prove-address', token, until } as const;
      await this.outbox.put(tenant, { to: email, content, giveUpAt: until, linkId: id });
      return this.get(tenant);
    });
    void this.sender.deliverDue();
    return standing;
  }

  async prove(asker: Asker, token: string): Promise<Standing> {
    await this.attempts.ofPerson(asker.personId, asker.moment);
    const proof = hashToken(token);
    const standing = await this.database.write(asker, async (tenant) => {
      await showProof(tenant.db, { proof });
      const link = await this.links.hold(tenant, proof);
      const { email } = await this.people.one(tenant.db, tenant.personId);
      const at = tenant.moment.toISOString();
      if (link === undefined || link.used_at !== null || link.expires_at <= at || link.email !== email)
        throw ruleBroken(
          '#/token',
          'link-not-good',
          null,
          'the newest link that was sent to your present address, once, within a day, in the account that asked for it',
          'This link is not good, or not any more, or not for this account. Ask for another.',
        );
      await this.linkStore.use(tenant, link.id);
      await this.personStore.proveEmail(tenant.db, tenant.personId, tenant.moment);
      return this.get(tenant);
    });
    await this.attempts.forgetPerson(asker.personId);
    return standing;
  }

  async change(asker: Asker, { body }: InputOf<typeof api.changeEmail>): Promise<Standing> {
    const { personId, moment } = asker;
    await this.proof.passphrase(asker, body.presentPassphrase, 'changeEmail');
    // Whether the passphrase opens another account of that address is told below, so it counts as a guess at one.
    await this.attempts.ofEnrollment(body.email, { answersFor: personId, address: asker.address }, moment);
    const others = (await this.signIns.peopleByEmail(body.email)).filter(({ id }) => id !== personId);
    const hash = await hashPassphrase(body.presentPassphrase, others);
    if (others.some((one) => one.passphrase_hash === hash))
      throw new Problem('conflict', 'This email and passphrase open another account already.');
    const standing = await this.database.write(asker, async (tenant) => {
      const before = await this.people.one(tenant.db, personId);
      if (before.email === body.email)
        throw ruleBroken('#/email', 'same-email', body.email, 'another address', 'This is your address already.');
      refuseTelling(body.presentPassphrase, { email: body.email, name: before.name }, '#/email');
      await this.#endLinks(tenant);
      await this.personStore.changeEmail(tenant.db, personId, { email: body.email, passphrase_hash: hash });
      if (before.email_proven_at !== null && this.sender.offered) {
        const giveUpAt = new Date(moment.getTime() + LINK_HOURS * HOUR_MS).toISOString();
        await this.outbox.put(tenant, { to: before.email, content: { kind: 'address-changed' }, giveUpAt });
      }
      return this.get(tenant);
    });
    void this.sender.deliverDue();
    return standing;
  }

  async #endLinks(tenant: Tenant): Promise<void> {
    await this.linkStore.endAll(tenant);
    await this.outbox.withdraw(tenant);
  }
}

function linkAnswer(link: MailedLinkRow, at: string): NonNullable<Standing['link']> {
  const state = stateOf(link, at);
  return { askedAt: link.created_at, expiresAt: link.expires_at, state, problem: problemOf(link, state) };
}

/** Whatever it was, nobody is left to wait for a mail that did not go out. */
function problemOf(link: MailedLinkRow, state: NonNullable<Standing['link']>['state']): string | null {
  if (link.used_at !== null || link.sent_at !== null) return null;
  if (state === 'waiting') return link.last_problem;
  return link.last_problem ?? NEVER_OUT;
}

function stateOf(link: MailedLinkRow, at: string): NonNullable<Standing['link']>['state'] {
  if (link.used_at !== null) return 'used';
  if (link.expires_at <= at) return 'expired';
  if (link.sent_at !== null) return 'sent';
  return link.given_up_at === null ? 'waiting' : 'not-delivered';
}
