import { Module } from '@nestjs/common';
import { RanchModule } from '../../yard/ranches/ranch.module.js';
import { HeadChangeRead } from './head-change.read.js';
import { HeadChangeService } from './head-change.service.js';
import { HeadChangeStore } from './head-change.store.js';
import { HeadDaysService } from './head-days.service.js';
import { Reversals } from '../../kit/reversal.store.js';
import { HerdEventController } from './herd-event.controller.js';
import { HerdStateRead } from '../standing/herd-state.read.js';
import { HerdWeightFit } from './herd-weight-fit.js';
import { HerdEventFit } from './herd-event-fit.js';
import { HerdEventRead } from './herd-event.read.js';
import { HerdEventService } from './herd-event.service.js';
import { HerdEventStore } from './herd-event.store.js';
import { HerdController } from './herd.controller.js';
import { HerdRead } from './herd.read.js';
import { HerdService } from './herd.service.js';
import { HerdStore } from './herd.store.js';

@Module({
  imports: [RanchModule],
  controllers: [HerdController, HerdEventController],
  providers: [
    HeadDaysService,
    HerdService,
    HerdRead,
    HerdStore,
    HeadChangeService,
    HeadChangeRead,
    HeadChangeStore,
    HerdEventService,
    HerdEventRead,
    HerdEventStore,
    HerdEventFit,
    HerdWeightFit,
    HerdStateRead,
    Reversals,
  ],
  exports: [HerdRead, HeadChangeRead, HerdWeightFit, HerdService, HeadChangeService, HerdEventRead, HerdEventService],
})
export class HerdModule {}
