import { Module } from '@nestjs/common';
import { CostingRead } from './costing.read.js';
import { CostingService } from './costing.service.js';

@Module({ providers: [CostingService, CostingRead], exports: [CostingService] })
export class CostingModule {}
