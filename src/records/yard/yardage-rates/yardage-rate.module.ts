import { Module } from '@nestjs/common';
import { Reversals } from '../../kit/reversal.store.js';
import { HerdModule } from '../../cattle/herds/herd.module.js';
import { YardageRateController } from './yardage-rate.controller.js';
import { YardageRateRead } from './yardage-rate.read.js';
import { YardageRateService } from './yardage-rate.service.js';
import { YardageRateStore } from './yardage-rate.store.js';

@Module({
  imports: [HerdModule],
  controllers: [YardageRateController],
  providers: [YardageRateService, YardageRateRead, YardageRateStore, Reversals],
  exports: [YardageRateService, YardageRateRead],
})
export class YardageRateModule {}
