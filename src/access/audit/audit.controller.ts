import { Controller } from '@nestjs/common';
import { type AnswerOf, type CallOf, Endpoint, Received } from '../../platform/http/endpoint.js';
import * as api from './audit.schema.js';
import { AuditService } from './audit.service.js';

@Controller()
export class AuditController {
  constructor(private readonly service: AuditService) {}

  @Endpoint(api.listAudit)
  list(@Received() { tenant, input }: CallOf<typeof api.listAudit>): Promise<AnswerOf<typeof api.listAudit>> {
    return this.service.list(tenant, input);
  }

  @Endpoint(api.exportAudit)
  export(@Received() { tenant, input }: CallOf<typeof api.exportAudit>): Promise<AnswerOf<typeof api.exportAudit>> {
    return this.service.export(tenant, input);
  }

  @Endpoint(api.verifyAudit)
  verify(@Received() { tenant, input }: CallOf<typeof api.verifyAudit>): Promise<AnswerOf<typeof api.verifyAudit>> {
    return this.service.verify(tenant, input);
  }

  @Endpoint(api.listDeniedAttempts)
  denied(
    @Received() { tenant, input }: CallOf<typeof api.listDeniedAttempts>,
  ): Promise<AnswerOf<typeof api.listDeniedAttempts>> {
    return this.service.denied(tenant, input);
  }
}
