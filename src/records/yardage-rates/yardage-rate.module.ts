import { Module } from '@nestjs/common';
import { HerdModule } from '../herds/herd.module.js';
import { YardageRateController } from './yardage-rate.controller.js';
import { YardageRateService } from './yardage-rate.service.js';

@Module({ imports: [HerdModule], controllers: [YardageRateController], providers: [YardageRateService], exports: [YardageRateService] })
export class YardageRateModule {}
