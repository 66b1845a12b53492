import { Module } from '@nestjs/common';
import { RecordsModule } from '../../records/records.module.js';
import { RationModule } from '../rations/ration.module.js';
import { SeasonPlanController } from './season-plan.controller.js';
import { SeasonPlanService } from './season-plan.service.js';

@Module({ imports: [RecordsModule, RationModule], controllers: [SeasonPlanController], providers: [SeasonPlanService] })
export class SeasonPlanModule {}
