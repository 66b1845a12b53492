import { Controller, Req, Res } from '@nestjs/common';
import type { FastifyReply, FastifyRequest } from 'fastify';
import { bearerOf } from '../../access/guard/bearer.js';
import {
  cameOverHttps,
  endPageCookie,
  PAGES_AT,
  pageTokenOf,
  sentByOwnPage,
  setPageCookie,
} from '../../access/page-sign-in/page-cookie.js';
import { SignInService } from '../../access/sign-in/sign-in.service.js';
import { type AnswerOf, type CallOf, Endpoint, Received } from '../../platform/http/endpoint.js';
import { Problem } from '../../platform/http/problem.js';
import * as api from './yard.schema.js';
import { YardService } from './yard.service.js';

@Controller()
export class YardController {
  constructor(
    private readonly service: YardService,
    private readonly signIns: SignInService,
  ) {}

  @Endpoint(api.signInPage)
  signInPage(@Received() { query }: CallOf<typeof api.signInPage>): AnswerOf<typeof api.signInPage> {
    return { next: query.next ?? null, email: '', told: null };
  }

  @Endpoint(api.signInByForm)
  async signIn(
    @Received() { body }: CallOf<typeof api.signInByForm>,
    @Req() request: FastifyRequest,
    @Res({ passthrough: true }) reply: FastifyReply,
  ): Promise<void> {
    // Another site must not sign a person in, either: as somebody else they would read the wrong yard.
    if (!sentByOwnPage(request)) throw new Problem('not-permitted', 'This form was not sent by a page of this server.');
    const { email, passphrase, code, next } = body;
    const proof = code === undefined ? {} : /^\d{6}$/.test(code) ? { oneTimeCode: code } : { recoveryCode: code };
    const token = await this.signIns.signInToPages(
      { email, passphrase, ...proof },
      { address: request.ip, userAgent: request.headers['user-agent'], requestId: String(request.id) },
    );
    setPageCookie(reply, token, cameOverHttps(request));
    void reply.header('Location', next ?? PAGES_AT);
  }

  @Endpoint(api.signOutByForm)
  async signOut(
    @Received() { asker, body }: CallOf<typeof api.signOutByForm>,
    @Req() request: FastifyRequest,
    @Res({ passthrough: true }) reply: FastifyReply,
  ): Promise<void> {
    await this.signIns.signOut(asker, bearerOf(request) ?? pageTokenOf(request), body.everywhere === 'yes');
    endPageCookie(reply, cameOverHttps(request));
    void reply.header('Location', `${PAGES_AT}/sign-in`);
  }

  @Endpoint(api.startPage)
  start(@Received() call: CallOf<typeof api.startPage>): Promise<AnswerOf<typeof api.startPage>> {
    return this.service.start(call);
  }

  @Endpoint(api.operationPage)
  operation(@Received() call: CallOf<typeof api.operationPage>): Promise<AnswerOf<typeof api.operationPage>> {
    return this.service.operation(call);
  }

  @Endpoint(api.feedSheetPage)
  feedSheet(@Received() call: CallOf<typeof api.feedSheetPage>): Promise<AnswerOf<typeof api.feedSheetPage>> {
    return this.service.feedSheet(call);
  }

  @Endpoint(api.trialPlanPage)
  trialPlan(@Received() call: CallOf<typeof api.trialPlanPage>): Promise<AnswerOf<typeof api.trialPlanPage>> {
    return this.service.trialPlan(call);
  }

  @Endpoint(api.trialProtocolPage)
  trialProtocol(
    @Received() call: CallOf<typeof api.trialProtocolPage>,
  ): Promise<AnswerOf<typeof api.trialProtocolPage>> {
    return this.service.trialProtocol(call);
  }

  @Endpoint(api.trialReportPageOf)
  trialReport(@Received() call: CallOf<typeof api.trialReportPageOf>): Promise<AnswerOf<typeof api.trialReportPageOf>> {
    return this.service.trialReport(call);
  }

  @Endpoint(api.trialPicturePage)
  trialPicture(@Received() call: CallOf<typeof api.trialPicturePage>): Promise<AnswerOf<typeof api.trialPicturePage>> {
    return this.service.trialPicture(call);
  }

  @Endpoint(api.hayPositionPage)
  hayPosition(@Received() call: CallOf<typeof api.hayPositionPage>): Promise<AnswerOf<typeof api.hayPositionPage>> {
    return this.service.hayPosition(call);
  }

  @Endpoint(api.hayBudgetPage)
  hayBudget(@Received() call: CallOf<typeof api.hayBudgetPage>): Promise<AnswerOf<typeof api.hayBudgetPage>> {
    return this.service.hayBudget(call);
  }

  @Endpoint(api.portfolioPage)
  portfolio(@Received() call: CallOf<typeof api.portfolioPage>): Promise<AnswerOf<typeof api.portfolioPage>> {
    return this.service.herds(call);
  }
}
