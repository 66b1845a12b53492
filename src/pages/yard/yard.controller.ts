import { codeGiven } from '../account/code-field.js';
import { Controller, Req, Res } from '@nestjs/common';
import type { FastifyReply, FastifyRequest } from 'fastify';
import { bearerOf } from '../../access/guard/bearer.js';
import {
  cameOverHttps,
  deviceOf,
  endPageCookie,
  PAGES_AT,
  pageTokenOf,
  refuseForeignForm,
  setDeviceCookie,
  setPageCookie,
} from '../../access/page-sign-in/page-cookie.js';
import { PasskeyService } from '../../access/passkeys/passkey.service.js';
import { SignInService } from '../../access/sign-in/sign-in.service.js';
import { type AnswerOf, type CallOf, Endpoint, Received } from '../../platform/http/endpoint.js';
import * as api from './yard.schema.js';
import { YardService } from './yard.service.js';

@Controller()
export class YardController {
  constructor(
    private readonly service: YardService,
    private readonly signIns: SignInService,
    private readonly passkeys: PasskeyService,
  ) {}

  @Endpoint(api.signInPage)
  signInPage(@Received() { input }: CallOf<typeof api.signInPage>): AnswerOf<typeof api.signInPage> {
    return { next: input.query.next ?? null, email: '', problem: null, passkeysAt: this.passkeys.offeredAt ?? null };
  }

  @Endpoint(api.signInByForm)
  async signIn(
    @Received() { input }: CallOf<typeof api.signInByForm>,
    @Req() request: FastifyRequest,
    @Res({ passthrough: true }) reply: FastifyReply,
  ): Promise<void> {
    // Nor may another site sign a person in: under somebody else's name they would read the wrong books.
    refuseForeignForm(request);
    const { email, passphrase, code, next } = input.body;
    const { token, device } = await this.signIns.signInToPages(
      { email, passphrase, ...codeGiven(code), device: deviceOf(request) },
      { address: request.ip, userAgent: request.headers['user-agent'], requestId: String(request.id) },
    );
    setPageCookie(reply, token, cameOverHttps(request));
    setDeviceCookie(reply, device, cameOverHttps(request));
    void reply.header('Location', next ?? PAGES_AT);
  }

  @Endpoint(api.signInByPasskeyForm)
  async signInByPasskey(
    @Received() { input }: CallOf<typeof api.signInByPasskeyForm>,
    @Req() request: FastifyRequest,
    @Res({ passthrough: true }) reply: FastifyReply,
  ): Promise<void> {
    refuseForeignForm(request);
    const { token, device } = await this.signIns.signInToPagesByPasskey(input.body.credential, {
      address: request.ip,
      userAgent: request.headers['user-agent'],
      requestId: String(request.id),
    });
    setPageCookie(reply, token, cameOverHttps(request));
    setDeviceCookie(reply, device, cameOverHttps(request));
    void reply.header('Location', input.body.next ?? PAGES_AT);
  }

  @Endpoint(api.signOutByForm)
  async signOut(
    @Received() { asker, input }: CallOf<typeof api.signOutByForm>,
    @Req() request: FastifyRequest,
    @Res({ passthrough: true }) reply: FastifyReply,
  ): Promise<void> {
    await this.signIns.signOut(asker, bearerOf(request) ?? pageTokenOf(request), input.body.everywhere === 'yes');
    endPageCookie(reply, cameOverHttps(request));
    void reply.header('Location', `${PAGES_AT}/sign-in`);
  }

  @Endpoint(api.startPage)
  start(@Received() { tenant }: CallOf<typeof api.startPage>): Promise<AnswerOf<typeof api.startPage>> {
    return this.service.start(tenant);
  }

  @Endpoint(api.operationPage)
  operation(
    @Received() { tenant, input }: CallOf<typeof api.operationPage>,
  ): Promise<AnswerOf<typeof api.operationPage>> {
    return this.service.operation(tenant, input);
  }

  @Endpoint(api.feedSheetPage)
  feedSheet(
    @Received() { tenant, input }: CallOf<typeof api.feedSheetPage>,
  ): Promise<AnswerOf<typeof api.feedSheetPage>> {
    return this.service.feedSheet(tenant, input);
  }

  @Endpoint(api.trialPlanPage)
  trialPlan(
    @Received() { tenant, input }: CallOf<typeof api.trialPlanPage>,
  ): Promise<AnswerOf<typeof api.trialPlanPage>> {
    return this.service.trialPlan(tenant, input);
  }

  @Endpoint(api.trialProtocolPage)
  trialProtocol(
    @Received() { tenant, input }: CallOf<typeof api.trialProtocolPage>,
  ): Promise<AnswerOf<typeof api.trialProtocolPage>> {
    return this.service.trialProtocol(tenant, input);
  }

  @Endpoint(api.trialReportPageOf)
  trialReport(
    @Received() { tenant, input }: CallOf<typeof api.trialReportPageOf>,
  ): Promise<AnswerOf<typeof api.trialReportPageOf>> {
    return this.service.trialReport(tenant, input);
  }

  @Endpoint(api.trialPicturePage)
  trialPicture(
    @Received() { tenant, input }: CallOf<typeof api.trialPicturePage>,
  ): Promise<AnswerOf<typeof api.trialPicturePage>> {
    return this.service.trialPicture(tenant, input);
  }

  @Endpoint(api.hayPositionPage)
  hayPosition(
    @Received() { tenant, input }: CallOf<typeof api.hayPositionPage>,
  ): Promise<AnswerOf<typeof api.hayPositionPage>> {
    return this.service.hayPosition(tenant, input);
  }

  @Endpoint(api.closeoutPage)
  closeout(@Received() { tenant, input }: CallOf<typeof api.closeoutPage>): Promise<AnswerOf<typeof api.closeoutPage>> {
    return this.service.closeout(tenant, input);
  }

  @Endpoint(api.hayBudgetPage)
  hayBudget(
    @Received() { tenant, input }: CallOf<typeof api.hayBudgetPage>,
  ): Promise<AnswerOf<typeof api.hayBudgetPage>> {
    return this.service.hayBudget(tenant, input);
  }

  @Endpoint(api.hayLotPage)
  hayLot(@Received() { tenant, input }: CallOf<typeof api.hayLotPage>): Promise<AnswerOf<typeof api.hayLotPage>> {
    return this.service.hayLot(tenant, input);
  }

  @Endpoint(api.rationReportPage)
  rationReport(
    @Received() { tenant, input }: CallOf<typeof api.rationReportPage>,
  ): Promise<AnswerOf<typeof api.rationReportPage>> {
    return this.service.rationReport(tenant, input);
  }

  @Endpoint(api.portfolioPage)
  portfolio(
    @Received() { tenant, input }: CallOf<typeof api.portfolioPage>,
  ): Promise<AnswerOf<typeof api.portfolioPage>> {
    return this.service.herds(tenant, input);
  }
}
