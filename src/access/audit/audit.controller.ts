import { Controller } from '@nestjs/common';
import { type AnswerOf, type CallOf, Endpoint, Received } from '../../platform/http/endpoint.js';
import * as api from './audit.schema.js';
import { AuditService } from './audit.service.js';

@Controller()
export class AuditController {
  constructor(private readonly service: AuditService) {}

  @Endpoint(api.listAudit)
  list(@Received() call: CallOf<typeof api.listAudit>): Promise<AnswerOf<typeof api.listAudit>> {
    return this.service.list(call);
  }

  @Endpoint(api.exportAudit)
  export(@Received() call: CallOf<typeof api.exportAudit>): Promise<AnswerOf<typeof api.exportAudit>> {
    return this.service.export(call);
  }

  @Endpoint(api.verifyAudit)
  verify(@Received() call: CallOf<typeof api.verifyAudit>): Promise<AnswerOf<typeof api.verifyAudit>> {
    return this.service.verify(call);
  }

  @Endpoint(api.listDeniedAttempts)
  denied(@Received() call: CallOf<typeof api.listDeniedAttempts>): Promise<AnswerOf<typeof api.listDeniedAttempts>> {
    return this.service.denied(call);
  }
}
