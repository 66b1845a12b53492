import { Module } from '@nestjs/common';
import { OperationModule } from './operations/operation.module.js';

/** What people write down. */
@Module({ imports: [OperationModule], exports: [OperationModule] })
export class RecordsModule {}
