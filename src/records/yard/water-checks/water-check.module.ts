import { Module } from '@nestjs/common';
import { RanchModule } from '../ranches/ranch.module.js';
import { Reversals } from '../../kit/reversal.store.js';
import { WaterCheckController } from './water-check.controller.js';
import { WaterCheckRead } from './water-check.read.js';
import { WaterCheckService } from './water-check.service.js';
import { WaterCheckStore } from './water-check.store.js';

@Module({
  imports: [RanchModule],
  controllers: [WaterCheckController],
  providers: [WaterCheckService, WaterCheckRead, WaterCheckStore, Reversals],
  exports: [WaterCheckRead, WaterCheckService],
})
export class WaterCheckModule {}
