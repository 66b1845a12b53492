import { Module } from '@nestjs/common';
import { LayerTemplateController } from './layer-template.controller.js';
import { LayerTemplateRead } from './layer-template.read.js';
import { LayerTemplateService } from './layer-template.service.js';
import { LayerTemplateStore } from './layer-template.store.js';

@Module({
  controllers: [LayerTemplateController],
  providers: [LayerTemplateService, LayerTemplateRead, LayerTemplateStore],
  exports: [LayerTemplateRead, LayerTemplateService],
})
export class LayerTemplateModule {}
