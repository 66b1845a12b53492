import { Module } from '@nestjs/common';
import { RationModule } from '../../desk/rations/ration.module.js';
import { WhatIfModule } from '../../desk/what-if/what-if.module.js';
import { RecordsModule } from '../../records/records.module.js';
import { HayLotModule } from '../../records/hay/lots/hay-lot.module.js';
import { DeskPageController } from './desk-page.controller.js';
import { DeskPageService } from './desk-page.service.js';

@Module({
  imports: [RationModule, WhatIfModule, RecordsModule, HayLotModule],
  controllers: [DeskPageController],
  providers: [DeskPageService],
})
export class DeskPageModule {}
