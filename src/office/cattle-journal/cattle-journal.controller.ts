import { Controller } from '@nestjs/common';
import { type AnswerOf, type CallOf, Endpoint, Received } from '../../platform/http/endpoint.js';
import * as api from './cattle-journal.schema.js';
import { CattleJournalService } from './cattle-journal.service.js';

@Controller()
export class CattleJournalController {
  constructor(private readonly service: CattleJournalService) {}

  @Endpoint(api.getCattleJournal)
  journal(
    @Received() { tenant, input }: CallOf<typeof api.getCattleJournal>,
  ): Promise<AnswerOf<typeof api.getCattleJournal>> {
    return this.service.journal(tenant, input);
  }
}
