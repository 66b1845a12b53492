import { Controller } from '@nestjs/common';
import { type AnswerOf, type CallOf, Endpoint, Received } from '../../platform/http/endpoint.js';
import * as api from './what-if.schema.js';
import { WhatIfService } from './what-if.service.js';

@Controller()
export class WhatIfController {
  constructor(private readonly service: WhatIfService) {}

  @Endpoint(api.judgeWhatIf)
  judge(@Received() { tenant, input }: CallOf<typeof api.judgeWhatIf>): Promise<AnswerOf<typeof api.judgeWhatIf>> {
    return this.service.judge(tenant, input);
  }
}
