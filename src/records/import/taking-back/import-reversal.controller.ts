import { Controller } from '@nestjs/common';
import { type AnswerOf, type CallOf, Endpoint, Received } from '../../../platform/http/endpoint.js';
import * as api from './import-reversal.schema.js';
import { ImportReversalService } from './import-reversal.service.js';

@Controller()
export class ImportReversalController {
  constructor(private readonly service: ImportReversalService) {}

  @Endpoint(api.reverseImport)
  reverse(
    @Received() { tenant, input }: CallOf<typeof api.reverseImport>,
  ): Promise<AnswerOf<typeof api.reverseImport>> {
    return this.service.reverse(tenant, input);
  }
}
