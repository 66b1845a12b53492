import { Module } from '@nestjs/common';
import { RanchModule } from '../../yard/ranches/ranch.module.js';
import { HeadChangeRead } from './head-change.read.js';
import { HeadChangeService } from './head-change.service.js';
import { HeadChangeStore } from './head-change.store.js';
import { HeadDaysService } from './head-days.service.js';
import { HerdController } from './herd.controller.js';
import { HerdRead } from './herd.read.js';
import { HerdService } from './herd.service.js';
import { HerdStore } from './herd.store.js';

@Module({
  imports: [RanchModule],
  controllers: [HerdController],
  providers: [HeadDaysService, HerdService, HerdRead, HerdStore, HeadChangeService, HeadChangeRead, HeadChangeStore],
  exports: [HerdRead, HerdService, HeadChangeService],
})
export class HerdModule {}
