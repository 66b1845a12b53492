import { Module } from '@nestjs/common';
import { HayLotModule } from '../../records/hay/lots/hay-lot.module.js';
import { HerdStateModule } from '../../records/cattle/standing/herd-state.module.js';
import { PortfolioController } from './portfolio.controller.js';
import { PortfolioRead } from './portfolio.read.js';
import { PortfolioService } from './portfolio.service.js';

@Module({
  imports: [HayLotModule, HerdStateModule],
  controllers: [PortfolioController],
  providers: [PortfolioService, PortfolioRead],
  exports: [PortfolioService],
})
export class PortfolioModule {}
