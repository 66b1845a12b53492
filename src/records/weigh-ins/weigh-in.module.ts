import { Module } from '@nestjs/common';
import { HerdModule } from '../herds/herd.module.js';
import { Reversals } from '../reversals.js';
import { WeighInController } from './weigh-in.controller.js';
import { WeighInService } from './weigh-in.service.js';
import { WeighInRead } from './weigh-in.read.js';

@Module({ imports: [HerdModule], controllers: [WeighInController], providers: [WeighInService, WeighInRead, Reversals], exports: [WeighInService, WeighInRead] })
export class WeighInModule {}
