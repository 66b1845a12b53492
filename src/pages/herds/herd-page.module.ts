import { Module } from '@nestjs/common';
import { RationModule } from '../../desk/rations/ration.module.js';
import { HerdStateModule } from '../../records/cattle/standing/herd-state.module.js';
import { HerdPageController } from './herd-page.controller.js';
import { HerdPageService } from './herd-page.service.js';

@Module({ imports: [HerdStateModule, RationModule], controllers: [HerdPageController], providers: [HerdPageService] })
export class HerdPageModule {}
