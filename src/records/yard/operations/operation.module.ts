import { Module } from '@nestjs/common';
import { CostingModule } from '../../hay/costing/costing.module.js';
import { OperationController } from './operation.controller.js';
import { OperationRead } from './operation.read.js';
import { OperationService } from './operation.service.js';
import { OperationStore } from './operation.store.js';

@Module({
  imports: [CostingModule],
  controllers: [OperationController],
  providers: [OperationService, OperationRead, OperationStore],
  exports: [OperationService],
})
export class OperationModule {}
