import { Module } from '@nestjs/common';
import { Reversals } from '../../kit/reversal.store.js';
import { RanchModule } from '../../yard/ranches/ranch.module.js';
import { HayLotModule } from '../lots/hay-lot.module.js';
import { HayObservationController } from './hay-observation.controller.js';
import { HayObservationRead } from './hay-observation.read.js';
import { HayObservationService } from './hay-observation.service.js';
import { HayObservationStore } from './hay-observation.store.js';

@Module({
  imports: [HayLotModule, RanchModule],
  controllers: [HayObservationController],
  providers: [HayObservationService, HayObservationRead, HayObservationStore, Reversals],
  exports: [HayObservationService, HayObservationRead],
})
export class HayObservationModule {}
