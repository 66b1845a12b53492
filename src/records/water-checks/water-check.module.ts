import { Module } from '@nestjs/common';
import { Reversals } from '../reversals.js';
import { WaterCheckController } from './water-check.controller.js';
import { WaterCheckRead } from './water-check.read.js';
import { WaterCheckService } from './water-check.service.js';

@Module({ controllers: [WaterCheckController], providers: [WaterCheckService, WaterCheckRead, Reversals], exports: [WaterCheckRead, WaterCheckService] })
export class WaterCheckModule {}
