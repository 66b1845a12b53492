import { Module } from '@nestjs/common';
import { OperationController } from './operation.controller.js';
import { OperationRead } from './operation.read.js';
import { OperationService } from './operation.service.js';
import { OperationStore } from './operation.store.js';

@Module({
  controllers: [OperationController],
  providers: [OperationService, OperationRead, OperationStore],
  exports: [OperationService],
})
export class OperationModule {}
