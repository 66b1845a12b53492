import { Module } from '@nestjs/common';
import { RanchController } from './ranch.controller.js';
import { RanchService } from './ranch.service.js';

@Module({ controllers: [RanchController], providers: [RanchService], exports: [RanchService] })
export class RanchModule {}
