import { Module } from '@nestjs/common';
import { HerdModule } from '../herds/herd.module.js';
import { RanchModule } from '../../yard/ranches/ranch.module.js';
import { Reversals } from '../../kit/reversal.store.js';
import { WeighInController } from './weigh-in.controller.js';
import { WeighInService } from './weigh-in.service.js';
import { WeighInRead } from './weigh-in.read.js';
import { WeighInStore } from './weigh-in.store.js';

@Module({
  imports: [HerdModule, RanchModule],
  controllers: [WeighInController],
  providers: [WeighInService, WeighInRead, WeighInStore, Reversals],
  exports: [WeighInService, WeighInRead],
})
export class WeighInModule {}
