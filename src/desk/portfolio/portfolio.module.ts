import { Module } from '@nestjs/common';
import { RationModule } from '../rations/ration.module.js';
import { PortfolioController } from './portfolio.controller.js';
import { PortfolioRead } from './portfolio.read.js';
import { PortfolioService } from './portfolio.service.js';

@Module({
  imports: [RationModule],
  controllers: [PortfolioController],
  providers: [PortfolioService, PortfolioRead],
  exports: [PortfolioService],
})
export class PortfolioModule {}
