import { Module } from '@nestjs/common';
import { OfficeModule } from '../../office/office.module.js';
import { OfficePageController } from './office-page.controller.js';
import { OfficePageService } from './office-page.service.js';

@Module({ imports: [OfficeModule], controllers: [OfficePageController], providers: [OfficePageService] })
export class OfficePageModule {}
