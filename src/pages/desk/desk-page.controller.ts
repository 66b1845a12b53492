import { Controller, Res } from '@nestjs/common';
import type { FastifyReply } from 'fastify';
import { RationService } from '../../desk/rations/ration.service.js';
import { type AnswerOf, type CallOf, Endpoint, Received } from '../../platform/http/endpoint.js';
import * as api from './desk-page.schema.js';
import { DeskPageService } from './desk-page.service.js';

@Controller()
export class DeskPageController {
  constructor(
    private readonly service: DeskPageService,
    private readonly rations: RationService,
  ) {}

  @Endpoint(api.rationDeskPage)
  rationDesk(
    @Received() { tenant, input }: CallOf<typeof api.rationDeskPage>,
  ): Promise<AnswerOf<typeof api.rationDeskPage>> {
    return this.service.rationDesk(tenant, input);
  }

  @Endpoint(api.keepRationByForm)
  async keep(
    @Received() { tenant, input }: CallOf<typeof api.keepRationByForm>,
    @Res({ passthrough: true }) reply: FastifyReply,
  ): Promise<void> {
    void reply.header('Location', await this.service.keep(tenant, input));
  }

  @Endpoint(api.rationPage)
  ration(@Received() { tenant, input }: CallOf<typeof api.rationPage>): Promise<AnswerOf<typeof api.rationPage>> {
    return this.service.ration(tenant, input);
  }

  @Endpoint(api.proposeByForm)
  async propose(
    @Received() { tenant, input }: CallOf<typeof api.proposeByForm>,
    @Res({ passthrough: true }) reply: FastifyReply,
  ): Promise<void> {
    await this.rations.propose(tenant, { ...input, query: {} });
    back(reply, input.params);
  }

  @Endpoint(api.withdrawByForm)
  async withdraw(
    @Received() { tenant, input }: CallOf<typeof api.withdrawByForm>,
    @Res({ passthrough: true }) reply: FastifyReply,
  ): Promise<void> {
    await this.rations.withdraw(tenant, { ...input, query: {} });
    back(reply, input.params);
  }

  @Endpoint(api.acceptByForm)
  async accept(
    @Received() { tenant, input }: CallOf<typeof api.acceptByForm>,
    @Res({ passthrough: true }) reply: FastifyReply,
  ): Promise<void> {
    await this.rations.accept(tenant, { ...input, query: {} });
    back(reply, input.params);
  }

  @Endpoint(api.returnByForm)
  async giveBack(
    @Received() { tenant, input }: CallOf<typeof api.returnByForm>,
    @Res({ passthrough: true }) reply: FastifyReply,
  ): Promise<void> {
    await this.rations.giveBack(tenant, { ...input, query: {} });
    back(reply, input.params);
  }

  @Endpoint(api.useByForm)
  async use(
    @Received() { tenant, input }: CallOf<typeof api.useByForm>,
    @Res({ passthrough: true }) reply: FastifyReply,
  ): Promise<void> {
    await this.rations.use(tenant, { ...input, query: {} });
    back(reply, input.params);
  }

  @Endpoint(api.endByForm)
  async end(
    @Received() { tenant, input }: CallOf<typeof api.endByForm>,
    @Res({ passthrough: true }) reply: FastifyReply,
  ): Promise<void> {
    await this.rations.end(tenant, { ...input, query: {} });
    back(reply, input.params);
  }
}

/** To the ration's page, which shows the step. */
function back(reply: FastifyReply, { operationId, rationId }: { operationId: string; rationId: string }): void {
  void reply.header('Location', `/yard/operations/${operationId}/rations/${rationId}`);
}
