import { Module } from '@nestjs/common';
import { HayLotModule } from '../hay-lots/hay-lot.module.js';
import { Reversals } from '../reversals.js';
import { LabTestController } from './lab-test.controller.js';
import { LabTestService } from './lab-test.service.js';
import { LabTestRead } from './lab-test.read.js';

@Module({ imports: [HayLotModule], controllers: [LabTestController], providers: [LabTestService, LabTestRead, Reversals], exports: [LabTestService, LabTestRead] })
export class LabTestModule {}
