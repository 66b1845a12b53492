import { Module } from '@nestjs/common';
import { HeadDaysService } from './head-days.service.js';
import { HeadChangeService } from './head-change.service.js';
import { HerdController } from './herd.controller.js';
import { HerdRead } from './herd.read.js';
import { HerdService } from './herd.service.js';

@Module({ controllers: [HerdController], providers: [HeadDaysService, HerdService, HeadChangeService, HerdRead], exports: [HerdRead, HerdService, HeadChangeService] })
export class HerdModule {}
