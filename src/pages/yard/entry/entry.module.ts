import { Module } from '@nestjs/common';
import { LotEntryModule } from '../../../desk/lot-entries/lot-entry.module.js';
import { OfficeModule } from '../../../office/office.module.js';
import { RecordsModule } from '../../../records/records.module.js';
import { EnteringService } from './entering.service.js';
import { EntryController } from './entry.controller.js';
import { EntryService } from './entry.service.js';

/** What people enter with a phone, where they stand. */
@Module({
  imports: [RecordsModule, LotEntryModule, OfficeModule],
  controllers: [EntryController],
  providers: [EntryService, EnteringService],
  exports: [EntryService, EnteringService],
})
export class EntryModule {}
