import { Module } from '@nestjs/common';
import { PortfolioController } from './portfolio.controller.js';
import { PortfolioRead } from './portfolio.read.js';
import { PortfolioService } from './portfolio.service.js';

@Module({ controllers: [PortfolioController], providers: [PortfolioService, PortfolioRead] })
export class PortfolioModule {}
