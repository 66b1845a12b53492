import { Controller } from '@nestjs/common';
import { type AnswerOf, type CallOf, Endpoint, Received } from '../../platform/http/endpoint.js';
import * as api from './email.schema.js';
import { EmailService } from './email.service.js';

@Controller()
export class EmailController {
  constructor(private readonly service: EmailService) {}

  @Endpoint(api.getEmail)
  get(@Received() { tenant }: CallOf<typeof api.getEmail>): Promise<AnswerOf<typeof api.getEmail>> {
    return this.service.get(tenant);
  }

  @Endpoint(api.changeEmail)
  change(@Received() { asker, input }: CallOf<typeof api.changeEmail>): Promise<AnswerOf<typeof api.changeEmail>> {
    return this.service.change(asker, input);
  }

  @Endpoint(api.askEmailLink)
  ask(@Received() { asker }: CallOf<typeof api.askEmailLink>): Promise<AnswerOf<typeof api.askEmailLink>> {
    return this.service.ask(asker);
  }

  @Endpoint(api.proveEmail)
  prove(@Received() { asker, input }: CallOf<typeof api.proveEmail>): Promise<AnswerOf<typeof api.proveEmail>> {
    return this.service.prove(asker, input.body.token);
  }
}
