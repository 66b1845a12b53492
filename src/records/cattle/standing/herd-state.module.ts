import { Module } from '@nestjs/common';
import { HerdModule } from '../herds/herd.module.js';
import { RanchModule } from '../../yard/ranches/ranch.module.js';
import { HerdStateController } from './herd-state.controller.js';
import { HerdStateRead } from './herd-state.read.js';
import { HerdStateService } from './herd-state.service.js';

@Module({
  imports: [HerdModule, RanchModule],
  controllers: [HerdStateController],
  providers: [HerdStateRead, HerdStateService],
  exports: [HerdStateRead, HerdStateService],
})
export class HerdStateModule {}
