import { Module } from '@nestjs/common';
import { RecordsModule } from '../../records/records.module.js';
import { RationModule } from '../rations/ration.module.js';
import { JudgedLotEntryService } from './judged-lot-entry.service.js';
import { LotCautionsRead } from './lot-cautions.read.js';
import { LotEntryController } from './lot-entry.controller.js';

@Module({
  imports: [RecordsModule, RationModule],
  controllers: [LotEntryController],
  providers: [JudgedLotEntryService, LotCautionsRead],
  exports: [JudgedLotEntryService],
})
export class LotEntryModule {}
