import { Module } from '@nestjs/common';
import { OfficeModule } from '../../office/office.module.js';
import { HerdModule } from '../../records/cattle/herds/herd.module.js';
import { HerdStateModule } from '../../records/cattle/standing/herd-state.module.js';
import { OfficePageController } from './office-page.controller.js';
import { OfficePageService } from './office-page.service.js';

@Module({
  imports: [OfficeModule, HerdModule, HerdStateModule],
  controllers: [OfficePageController],
  providers: [OfficePageService],
})
export class OfficePageModule {}
