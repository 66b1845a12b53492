import { Controller } from '@nestjs/common';
import { type AnswerOf, type CallOf, Endpoint, Received } from '../../platform/http/endpoint.js';
import * as api from './general-ledger.schema.js';
import { GeneralLedgerService } from './general-ledger.service.js';

@Controller()
export class GeneralLedgerController {
  constructor(private readonly service: GeneralLedgerService) {}

  @Endpoint(api.getGeneralLedger)
  ledger(
    @Received() { tenant, input }: CallOf<typeof api.getGeneralLedger>,
  ): Promise<AnswerOf<typeof api.getGeneralLedger>> {
    return this.service.report(tenant, input);
  }
}
