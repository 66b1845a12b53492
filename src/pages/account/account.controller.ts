import { Controller, Req, Res } from '@nestjs/common';
import type { FastifyReply, FastifyRequest } from 'fastify';
import { AccountService } from '../../access/account/account.service.js';
import { EmailService } from '../../access/email/email.service.js';
import { bearerOf } from '../../access/guard/bearer.js';
import { pageTokenOf } from '../../access/page-sign-in/page-cookie.js';
import { PasskeyService } from '../../access/passkeys/passkey.service.js';
import type { Tenant } from '../../platform/database/types.js';
import { type AnswerOf, type CallOf, Endpoint, Received } from '../../platform/http/endpoint.js';
import { hasSecondLook } from '../../platform/http/second-look.js';
import * as api from './account.schema.js';
import { codeGiven } from './code-field.js';

const ACCOUNT = '/yard/account';
/** The newest. */
const SESSIONS_SHOWN = 50;
type Account = AnswerOf<typeof api.accountPage>;

@Controller()
export class AccountPageController {
  constructor(
    private readonly accounts: AccountService,
    private readonly emails: EmailService,
    private readonly passkeys: PasskeyService,
  ) {}

  @Endpoint(api.accountPage)
  account(@Received() { tenant }: CallOf<typeof api.accountPage>, @Req() request: FastifyRequest): Promise<Account> {
    return this.#account(tenant, [], bearerOf(request) ?? pageTokenOf(request));
  }

  @Endpoint(api.endSessionByForm)
  async endSession(
    @Received() { tenant, input }: CallOf<typeof api.endSessionByForm>,
    @Res({ passthrough: true }) reply: FastifyReply,
  ): Promise<void> {
    await this.accounts.endSession(tenant, { params: input.body });
    void reply.header('Location', ACCOUNT);
  }

  @Endpoint(api.askEmailLinkByForm)
  async askEmailLink(
    @Received() { asker }: CallOf<typeof api.askEmailLinkByForm>,
    @Res({ passthrough: true }) reply: FastifyReply,
  ): Promise<void> {
    await this.emails.ask(asker);
    void reply.header('Location', ACCOUNT);
  }

  @Endpoint(api.emailProofPage)
  async emailProof(
    @Received() { tenant, input }: CallOf<typeof api.emailProofPage>,
  ): Promise<AnswerOf<typeof api.emailProofPage>> {
    return { email: (await this.emails.get(tenant)).email, token: input.query.token };
  }

  @Endpoint(api.proveEmailByForm)
  async proveEmail(
    @Received() { asker, input }: CallOf<typeof api.proveEmailByForm>,
    @Res({ passthrough: true }) reply: FastifyReply,
  ): Promise<void> {
    await this.emails.prove(asker, input.body.token);
    void reply.header('Location', ACCOUNT);
  }

  @Endpoint(api.secondLookByForm)
  async secondLook(
    @Received() { asker, input }: CallOf<typeof api.secondLookByForm>,
    @Req() request: FastifyRequest,
    @Res({ passthrough: true }) reply: FastifyReply,
  ): Promise<void> {
    const { passphrase: presentPassphrase, code, credential: passkey } = input.body;
    const token = bearerOf(request) ?? pageTokenOf(request);
    await this.accounts.secondLook(asker, { body: { presentPassphrase, ...codeGiven(code), passkey } }, token);
    void reply.header('Location', ACCOUNT);
  }

  @Endpoint(api.addPasskeyByForm)
  async addPasskey(
    @Received() { tenant, input }: CallOf<typeof api.addPasskeyByForm>,
    @Req() request: FastifyRequest,
  ): Promise<Account> {
    const token = bearerOf(request) ?? pageTokenOf(request);
    const { recoveryCodes } = await this.passkeys.create(tenant, input, token);
    return this.#account(tenant, recoveryCodes ?? [], token);
  }

  @Endpoint(api.endPasskeyByForm)
  async endPasskey(
    @Received() { tenant, input }: CallOf<typeof api.endPasskeyByForm>,
    @Res({ passthrough: true }) reply: FastifyReply,
  ): Promise<void> {
    const { version } = await this.passkeys.get(tenant, { params: input.body });
    await this.passkeys.end(tenant, { params: input.body, expectedVersion: version });
    void reply.header('Location', ACCOUNT);
  }

  async #account(tenant: Tenant, recoveryCodes: string[], token: string | undefined): Promise<Account> {
    const passkeysAt = this.passkeys.offeredAt ?? null;
    const passkeys = await this.passkeys.working(tenant);
    const fresh = hasSecondLook(tenant.asker);
    const isAsked = passkeysAt !== null;
    return {
      standing: await this.emails.get(tenant),
      passkeysAt,
      passkeys,
      fresh,
      creation: isAsked && fresh ? JSON.stringify(await this.passkeys.begin(tenant)) : null,
      request: isAsked && !fresh && passkeys.length > 0 ? JSON.stringify(await this.passkeys.beginProof(tenant)) : null,
      recoveryCodes,
      sessions: (await this.accounts.listSessions(tenant, { query: { limit: SESSIONS_SHOWN } }, token)).items,
    };
  }
}
