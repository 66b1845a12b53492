import { Controller, Res } from '@nestjs/common';
import type { FastifyReply } from 'fastify';
import { type CallOf, Endpoint, Received } from '../../../platform/http/endpoint.js';
import * as api from './entry.schema.js';
import { EnteringService } from './entering.service.js';
import { EntryService } from './entry.service.js';
import type { FormShown } from './form.schema.js';
import { inputOfForm } from './input-of-form.js';

type Pages = (typeof api.ENTRY_PAGES)[number];

@Controller()
export class EntryController {
  constructor(
    private readonly service: EntryService,
    private readonly entering: EnteringService,
  ) {}

  @Endpoint(api.ticket.page)
  ticketForm(@Received() call: CallOf<typeof api.ticket.page>): Promise<FormShown> {
    return this.service.form(call.tenant, api.ticket.kind, call.input.query);
  }

  @Endpoint(api.ticket.enter)
  enterTicket(
    @Received() call: CallOf<typeof api.ticket.enter>,
    @Res({ passthrough: true }) reply: FastifyReply,
  ): Promise<void> {
    return this.#enter(api.ticket, call, reply);
  }

  @Endpoint(api.ticketOfNewLot.page)
  ticketOfNewLotForm(@Received() call: CallOf<typeof api.ticketOfNewLot.page>): Promise<FormShown> {
    return this.service.form(call.tenant, api.ticketOfNewLot.kind, call.input.query);
  }

  @Endpoint(api.ticketOfNewLot.enter)
  enterTicketOfNewLot(
    @Received() call: CallOf<typeof api.ticketOfNewLot.enter>,
    @Res({ passthrough: true }) reply: FastifyReply,
  ): Promise<void> {
    return this.#enter(api.ticketOfNewLot, call, reply);
  }

  @Endpoint(api.weighIn.page)
  weighInForm(@Received() call: CallOf<typeof api.weighIn.page>): Promise<FormShown> {
    return this.service.form(call.tenant, api.weighIn.kind, call.input.query);
  }

  @Endpoint(api.weighIn.enter)
  enterWeighIn(
    @Received() call: CallOf<typeof api.weighIn.enter>,
    @Res({ passthrough: true }) reply: FastifyReply,
  ): Promise<void> {
    return this.#enter(api.weighIn, call, reply);
  }

  @Endpoint(api.count.page)
  countForm(@Received() call: CallOf<typeof api.count.page>): Promise<FormShown> {
    return this.service.form(call.tenant, api.count.kind, call.input.query);
  }

  @Endpoint(api.count.enter)
  enterCount(
    @Received() call: CallOf<typeof api.count.enter>,
    @Res({ passthrough: true }) reply: FastifyReply,
  ): Promise<void> {
    return this.#enter(api.count, call, reply);
  }

  @Endpoint(api.head.page)
  headForm(@Received() call: CallOf<typeof api.head.page>): Promise<FormShown> {
    return this.service.form(call.tenant, api.head.kind, call.input.query);
  }

  @Endpoint(api.head.enter)
  enterHead(
    @Received() call: CallOf<typeof api.head.enter>,
    @Res({ passthrough: true }) reply: FastifyReply,
  ): Promise<void> {
    return this.#enter(api.head, call, reply);
  }

  @Endpoint(api.water.page)
  waterForm(@Received() call: CallOf<typeof api.water.page>): Promise<FormShown> {
    return this.service.form(call.tenant, api.water.kind, call.input.query);
  }

  @Endpoint(api.water.enter)
  enterWater(
    @Received() call: CallOf<typeof api.water.enter>,
    @Res({ passthrough: true }) reply: FastifyReply,
  ): Promise<void> {
    return this.#enter(api.water, call, reply);
  }

  @Endpoint(api.weather.page)
  weatherForm(@Received() call: CallOf<typeof api.weather.page>): Promise<FormShown> {
    return this.service.form(call.tenant, api.weather.kind, call.input.query);
  }

  @Endpoint(api.weather.enter)
  enterWeather(
    @Received() call: CallOf<typeof api.weather.enter>,
    @Res({ passthrough: true }) reply: FastifyReply,
  ): Promise<void> {
    return this.#enter(api.weather, call, reply);
  }

  async #enter({ kind }: Pages, { asker, input }: CallOf<Pages['enter']>, reply: FastifyReply): Promise<void> {
    const { operationId } = input.params;
    const typed = input.body;
    const at = await this.entering.enter({
      asker,
      operationId,
      typed,
      input: () => inputOfForm(kind, operationId, typed),
      write: (tenant, given) => this.service.write(tenant, kind, given),
      again: (tenant, problem) => this.service.again(tenant, kind, typed, problem),
    });
    void reply.header('Location', at);
  }
}
