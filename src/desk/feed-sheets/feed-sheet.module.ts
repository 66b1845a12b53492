import { Module } from '@nestjs/common';
import { RecordsModule } from '../../records/records.module.js';
import { Reversals } from '../../records/kit/reversal.store.js';
import { RationModule } from '../rations/ration.module.js';
import { FeedSheetConfirmationService } from './feed-sheet-confirmation.service.js';
import { FeedSheetController } from './feed-sheet.controller.js';
import { FeedSheetRead } from './feed-sheet.read.js';
import { FeedSheetService } from './feed-sheet.service.js';
import { HerdDaysRead } from './herd-days.read.js';
import { FeedSheetStore } from './feed-sheet.store.js';

@Module({
  imports: [RecordsModule, RationModule],
  controllers: [FeedSheetController],
  providers: [FeedSheetService, FeedSheetConfirmationService, FeedSheetRead, HerdDaysRead, FeedSheetStore, Reversals],
  exports: [FeedSheetService, FeedSheetConfirmationService],
})
export class FeedSheetModule {}
