import { Controller } from '@nestjs/common';
import { type AnswerOf, type CallOf, Endpoint, Received } from '../../platform/http/endpoint.js';
import * as api from './layer-template.schema.js';
import { LayerTemplateService } from './layer-template.service.js';

@Controller()
export class LayerTemplateController {
  constructor(private readonly service: LayerTemplateService) {}

  @Endpoint(api.listLayerTemplates)
  list(
    @Received() { tenant }: CallOf<typeof api.listLayerTemplates>,
  ): Promise<AnswerOf<typeof api.listLayerTemplates>> {
    return this.service.list(tenant);
  }

  @Endpoint(api.createLayerTemplate)
  create(
    @Received() { tenant, input }: CallOf<typeof api.createLayerTemplate>,
  ): Promise<AnswerOf<typeof api.createLayerTemplate>> {
    return this.service.create(tenant, input);
  }

  @Endpoint(api.getLayerTemplate)
  get(
    @Received() { tenant, input }: CallOf<typeof api.getLayerTemplate>,
  ): Promise<AnswerOf<typeof api.getLayerTemplate>> {
    return this.service.get(tenant, input);
  }

  @Endpoint(api.changeLayerTemplate)
  change(
    @Received() { tenant, input }: CallOf<typeof api.changeLayerTemplate>,
  ): Promise<AnswerOf<typeof api.changeLayerTemplate>> {
    return this.service.change(tenant, input);
  }
}
