import { Controller, Res } from '@nestjs/common';
import type { FastifyReply } from 'fastify';
import { EmailService } from '../../access/email/email.service.js';
import { type AnswerOf, type CallOf, Endpoint, Received } from '../../platform/http/endpoint.js';
import * as api from './account.schema.js';

const ACCOUNT = '/yard/account';

@Controller()
export class AccountPageController {
  constructor(private readonly emails: EmailService) {}

  @Endpoint(api.accountPage)
  async account(@Received() { tenant }: CallOf<typeof api.accountPage>): Promise<AnswerOf<typeof api.accountPage>> {
    return { standing: await this.emails.get(tenant) };
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
}
