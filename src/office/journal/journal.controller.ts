import { Controller } from '@nestjs/common';
import { type AnswerOf, type CallOf, Endpoint, Received } from '../../platform/http/endpoint.js';
import * as api from './journal.schema.js';
import { JournalService } from './journal.service.js';

@Controller()
export class JournalController {
  constructor(private readonly service: JournalService) {}

  @Endpoint(api.getJournal)
  journal(@Received() call: CallOf<typeof api.getJournal>): Promise<AnswerOf<typeof api.getJournal>> {
    return this.service.journal(call);
  }

  @Endpoint(api.getTrialBalance)
  trialBalance(@Received() call: CallOf<typeof api.getTrialBalance>): Promise<AnswerOf<typeof api.getTrialBalance>> {
    return this.service.trialBalance(call);
  }

  @Endpoint(api.getCostVariances)
  variances(@Received() call: CallOf<typeof api.getCostVariances>): Promise<AnswerOf<typeof api.getCostVariances>> {
    return this.service.variances(call);
  }

  @Endpoint(api.exportJournal)
  export(@Received() call: CallOf<typeof api.exportJournal>): Promise<AsyncIterable<string>> {
    return this.service.export(call);
  }
}
