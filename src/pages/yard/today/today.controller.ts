import { Controller, Res } from '@nestjs/common';
import type { FastifyReply } from 'fastify';
import { type AnswerOf, type CallOf, Endpoint, Received } from '../../../platform/http/endpoint.js';
import * as entry from '../entry/entry.schema.js';
import { EnteringService } from '../entry/entering.service.js';
import * as api from './today.schema.js';
import { TodayService } from './today.service.js';

@Controller()
export class TodayController {
  constructor(
    private readonly service: TodayService,
    private readonly entering: EnteringService,
  ) {}

  @Endpoint(api.todayPage)
  today(@Received() { tenant, input }: CallOf<typeof api.todayPage>): Promise<AnswerOf<typeof api.todayPage>> {
    return this.service.today(tenant, input);
  }

  @Endpoint(entry.fedForm)
  fedForm(@Received() { tenant, input }: CallOf<typeof entry.fedForm>): Promise<AnswerOf<typeof entry.fedForm>> {
    return this.service.form(tenant, input.params.herdId, input.query.on);
  }

  @Endpoint(entry.fedByForm)
  async fed(
    @Received() { asker, input }: CallOf<typeof entry.fedByForm>,
    @Res({ passthrough: true }) reply: FastifyReply,
  ): Promise<void> {
    const { operationId } = input.params;
    const typed = input.body;
    const at = await this.entering.enter({
      asker,
      operationId,
      typed,
      input: () => this.service.inputOf(operationId, typed),
      write: (tenant, given) => this.service.confirm(tenant, typed, given),
      again: (tenant, problem) => this.service.again(tenant, typed, problem),
    });
    void reply.header('Location', at);
  }
}
