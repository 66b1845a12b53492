import { Injectable } from '@nestjs/common';
import { worstFirst } from '../../core/cautions/caution.js';
import type { UnitSystem } from '../../core/units/unit.js';
import type { OperationTenant } from '../../platform/database/types.js';
import type { AnswerOf, InputOf } from '../../platform/http/endpoint.js';
import type * as api from '../../records/feedings/feeding.schema.js';
import { FeedingService } from '../../records/feedings/feeding.service.js';
import { cautionAnswer } from '../../records/kit/caution.schema.js';
import { FedCautionsRead } from './fed-cautions.read.js';

type Answer = AnswerOf<typeof api.getFeeding>;

/**
 * Feedings as they are answered: written and read by the records, which know how the hay was laid, and warned of by the
 * judge, who knows what it holds and who eats it.
 */
@Injectable()
export class JudgedFeedingService {
  constructor(
    private readonly feedings: FeedingService,
    private readonly cautions: FedCautionsRead,
  ) {}

  async create(tenant: OperationTenant, input: InputOf<typeof api.createFeeding>): Promise<Answer> {
    return this.#one(tenant, await this.feedings.create(tenant, input), input.query.units);
  }

  async get(tenant: OperationTenant, input: InputOf<typeof api.getFeeding>): Promise<Answer> {
    return this.#one(tenant, await this.feedings.get(tenant, input), input.query.units);
  }

  async #one(tenant: OperationTenant, answer: Answer, asked: UnitSystem | undefined): Promise<Answer> {
    const units = asked ?? tenant.operation.unitPreference;
    const judged = answer.reversal === null ? await this.cautions.of(tenant, answer.herdId, answer.fedOn) : [];
    const found = judged.map((each) => cautionAnswer(each, units));
    // Both may tell of bloat: the judge by what the lots hold.
    const laying = answer.cautions.filter(({ code }) => !found.some((other) => other.code === code));
    return { ...answer, cautions: worstFirst([...found, ...laying]) };
  }
}
