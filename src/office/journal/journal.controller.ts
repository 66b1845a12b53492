import { Controller } from '@nestjs/common';
import { type AnswerOf, type CallOf, Endpoint, Received } from '../../platform/http/endpoint.js';
import * as api from './journal.schema.js';
import { JournalService } from './journal.service.js';

@Controller()
export class JournalController {
  constructor(private readonly service: JournalService) {}

  @Endpoint(api.getJournal)
  journal(@Received() { tenant, input }: CallOf<typeof api.getJournal>): Promise<AnswerOf<typeof api.getJournal>> {
    return this.service.journal(tenant, input);
  }

  @Endpoint(api.getTrialBalance)
  trialBalance(
    @Received() { tenant, input }: CallOf<typeof api.getTrialBalance>,
  ): Promise<AnswerOf<typeof api.getTrialBalance>> {
    return this.service.trialBalance(tenant, input);
  }

  @Endpoint(api.getCostVariances)
  variances(
    @Received() { tenant, input }: CallOf<typeof api.getCostVariances>,
  ): Promise<AnswerOf<typeof api.getCostVariances>> {
    return this.service.variances(tenant, input);
  }
}
