import { Controller } from '@nestjs/common';
import { type AnswerOf, type CallOf, Endpoint, Received } from '../../../platform/http/endpoint.js';
import * as api from './import-mapping.schema.js';
import { ImportMappingService } from './import-mapping.service.js';

@Controller()
export class ImportMappingController {
  constructor(private readonly service: ImportMappingService) {}

  @Endpoint(api.createImportMapping)
  create(
    @Received() { tenant, input }: CallOf<typeof api.createImportMapping>,
  ): Promise<AnswerOf<typeof api.createImportMapping>> {
    return this.service.create(tenant, input);
  }

  @Endpoint(api.listImportMappings)
  list(
    @Received() { tenant, input }: CallOf<typeof api.listImportMappings>,
  ): Promise<AnswerOf<typeof api.listImportMappings>> {
    return this.service.list(tenant, input);
  }

  @Endpoint(api.getImportMapping)
  get(
    @Received() { tenant, input }: CallOf<typeof api.getImportMapping>,
  ): Promise<AnswerOf<typeof api.getImportMapping>> {
    return this.service.get(tenant, input);
  }

  @Endpoint(api.endImportMapping)
  end(@Received() { tenant, input }: CallOf<typeof api.endImportMapping>): Promise<void> {
    return this.service.end(tenant, input);
  }
}
