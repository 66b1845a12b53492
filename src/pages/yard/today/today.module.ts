import { Module } from '@nestjs/common';
import { FeedSheetModule } from '../../../desk/feed-sheets/feed-sheet.module.js';
import { EntryModule } from '../entry/entry.module.js';
import { YardModule } from '../yard.module.js';
import { TodayController } from './today.controller.js';
import { TodayService } from './today.service.js';

/** The sheets of a day, with a button each. */
@Module({
  imports: [EntryModule, FeedSheetModule, YardModule],
  controllers: [TodayController],
  providers: [TodayService],
})
export class TodayModule {}
