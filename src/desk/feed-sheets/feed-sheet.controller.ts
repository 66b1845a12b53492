import { Controller } from '@nestjs/common';
import { type AnswerOf, type CallOf, Endpoint, Received } from '../../platform/http/endpoint.js';
import { FeedSheetConfirmationService } from './feed-sheet-confirmation.service.js';
import * as api from './feed-sheet.schema.js';
import { FeedSheetService } from './feed-sheet.service.js';

@Controller()
export class FeedSheetController {
  constructor(
    private readonly sheets: FeedSheetService,
    private readonly confirmations: FeedSheetConfirmationService,
  ) {}

  @Endpoint(api.feedSheetFor)
  get(@Received() call: CallOf<typeof api.feedSheetFor>): Promise<AnswerOf<typeof api.feedSheetFor>> {
    return this.sheets.get(call);
  }

  @Endpoint(api.confirmFeedSheet)
  confirm(@Received() call: CallOf<typeof api.confirmFeedSheet>): Promise<AnswerOf<typeof api.confirmFeedSheet>> {
    return this.confirmations.confirm(call);
  }

  @Endpoint(api.listFeedSheetConfirmations)
  listConfirmations(
    @Received() call: CallOf<typeof api.listFeedSheetConfirmations>,
  ): Promise<AnswerOf<typeof api.listFeedSheetConfirmations>> {
    return this.confirmations.list(call);
  }

  @Endpoint(api.getFeedSheetConfirmation)
  getConfirmation(
    @Received() call: CallOf<typeof api.getFeedSheetConfirmation>,
  ): Promise<AnswerOf<typeof api.getFeedSheetConfirmation>> {
    return this.confirmations.get(call);
  }
}
