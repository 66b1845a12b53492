import { Module } from '@nestjs/common';
import { HayLotModule } from '../lots/hay-lot.module.js';
import { Reversals } from '../../kit/reversal.store.js';
import { LabTestController } from './lab-test.controller.js';
import { LabTestService } from './lab-test.service.js';
import { LabTestStore } from './lab-test.store.js';

@Module({
  imports: [HayLotModule],
  controllers: [LabTestController],
  providers: [LabTestService, LabTestStore, Reversals],
  exports: [LabTestService],
})
export class LabTestModule {}
