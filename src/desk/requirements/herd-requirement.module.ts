import { Module } from '@nestjs/common';
import { RationModule } from '../rations/ration.module.js';
import { HerdRequirementController } from './herd-requirement.controller.js';
import { HerdRequirementService } from './herd-requirement.service.js';

@Module({ imports: [RationModule], controllers: [HerdRequirementController], providers: [HerdRequirementService] })
export class HerdRequirementModule {}
