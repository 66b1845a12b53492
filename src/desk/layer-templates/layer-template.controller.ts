import { Controller } from '@nestjs/common';
import { type AnswerOf, type CallOf, Endpoint, Received } from '../../platform/http/endpoint.js';
import * as api from './layer-template.schema.js';
import { LayerTemplateService } from './layer-template.service.js';

@Controller()
export class LayerTemplateController {
  constructor(private readonly service: LayerTemplateService) {}

  @Endpoint(api.listLayerTemplates)
  list(@Received() call: CallOf<typeof api.listLayerTemplates>): Promise<AnswerOf<typeof api.listLayerTemplates>> {
    return this.service.list(call);
  }

  @Endpoint(api.createLayerTemplate)
  create(@Received() call: CallOf<typeof api.createLayerTemplate>): Promise<AnswerOf<typeof api.createLayerTemplate>> {
    return this.service.create(call);
  }

  @Endpoint(api.getLayerTemplate)
  get(@Received() call: CallOf<typeof api.getLayerTemplate>): Promise<AnswerOf<typeof api.getLayerTemplate>> {
    return this.service.get(call);
  }

  @Endpoint(api.changeLayerTemplate)
  change(@Received() call: CallOf<typeof api.changeLayerTemplate>): Promise<AnswerOf<typeof api.changeLayerTemplate>> {
    return this.service.change(call);
  }
}
