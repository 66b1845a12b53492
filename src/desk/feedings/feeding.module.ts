import { Module } from '@nestjs/common';
import { RecordsModule } from '../../records/records.module.js';
import { RationModule } from '../rations/ration.module.js';
import { FeedingController } from './feeding.controller.js';
import { JudgedFeedingFileService } from './judged-feeding-file.service.js';
import { JudgedFeedingService } from './judged-feeding.service.js';

@Module({
  imports: [RecordsModule, RationModule],
  controllers: [FeedingController],
  providers: [JudgedFeedingService, JudgedFeedingFileService],
})
export class JudgedFeedingModule {}
