import { Controller } from '@nestjs/common';
import { type AnswerOf, type CallOf, Endpoint, Received } from '../../platform/http/endpoint.js';
import * as api from './webhook.schema.js';
import { WebhookService } from './webhook.service.js';

@Controller()
export class WebhookController {
  constructor(private readonly service: WebhookService) {}

  @Endpoint(api.createWebhook)
  create(@Received() { tenant, input }: CallOf<typeof api.createWebhook>): Promise<AnswerOf<typeof api.createWebhook>> {
    return this.service.create(tenant, input);
  }

  @Endpoint(api.listWebhooks)
  list(@Received() { tenant, input }: CallOf<typeof api.listWebhooks>): Promise<AnswerOf<typeof api.listWebhooks>> {
    return this.service.list(tenant, input);
  }

  @Endpoint(api.getWebhook)
  get(@Received() { tenant, input }: CallOf<typeof api.getWebhook>): Promise<AnswerOf<typeof api.getWebhook>> {
    return this.service.get(tenant, input);
  }

  @Endpoint(api.changeWebhook)
  change(@Received() { tenant, input }: CallOf<typeof api.changeWebhook>): Promise<AnswerOf<typeof api.changeWebhook>> {
    return this.service.change(tenant, input);
  }

  @Endpoint(api.rotateWebhookSecret)
  rotate(
    @Received() { tenant, input }: CallOf<typeof api.rotateWebhookSecret>,
  ): Promise<AnswerOf<typeof api.rotateWebhookSecret>> {
    return this.service.rotate(tenant, input);
  }

  @Endpoint(api.endWebhook)
  end(@Received() { tenant, input }: CallOf<typeof api.endWebhook>): Promise<void> {
    return this.service.end(tenant, input);
  }

  @Endpoint(api.testWebhook)
  test(@Received() { tenant, input }: CallOf<typeof api.testWebhook>): Promise<AnswerOf<typeof api.testWebhook>> {
    return this.service.test(tenant, input);
  }

  @Endpoint(api.listWebhookDeliveries)
  deliveries(
    @Received() { tenant, input }: CallOf<typeof api.listWebhookDeliveries>,
  ): Promise<AnswerOf<typeof api.listWebhookDeliveries>> {
    return this.service.deliveries(tenant, input);
  }

  @Endpoint(api.getWebhookDelivery)
  delivery(
    @Received() { tenant, input }: CallOf<typeof api.getWebhookDelivery>,
  ): Promise<AnswerOf<typeof api.getWebhookDelivery>> {
    return this.service.delivery(tenant, input);
  }

  @Endpoint(api.sendWebhookAgain)
  sendAgain(
    @Received() { tenant, input }: CallOf<typeof api.sendWebhookAgain>,
  ): Promise<AnswerOf<typeof api.sendWebhookAgain>> {
    return this.service.sendAgain(tenant, input);
  }
}
