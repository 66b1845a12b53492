import { Module } from '@nestjs/common';
import { RecordsModule } from '../../records/records.module.js';
import { RationModule } from '../rations/ration.module.js';
import { WhatIfController } from './what-if.controller.js';
import { WhatIfService } from './what-if.service.js';

@Module({
  imports: [RecordsModule, RationModule],
  controllers: [WhatIfController],
  providers: [WhatIfService],
  exports: [WhatIfService],
})
export class WhatIfModule {}
