import { Module } from '@nestjs/common';
import { OfficeModule } from '../../office/office.module.js';
import { ClosingPageController } from './closing-page.controller.js';
import { ClosingPageService } from './closing-page.service.js';

@Module({ imports: [OfficeModule], controllers: [ClosingPageController], providers: [ClosingPageService] })
export class ClosingPageModule {}
