import { Injectable } from '@nestjs/common';
import { type RaisedCaution, worstFirst } from '../../core/cautions/caution.js';
import type { UnitSystem } from '../../core/units/unit.js';
import type { OperationTenant } from '../../platform/database/types.js';
import type { AnswerOf, InputOf } from '../../platform/http/endpoint.js';
import { HerdRead } from '../../records/cattle/herds/herd.read.js';
import type * as api from '../../records/feedings/feeding.schema.js';
import { FeedingService } from '../../records/feedings/feeding.service.js';
import { cautionAnswer } from '../../records/kit/caution.schema.js';
import { keyOf } from '../facts/herd-on.js';
import { FedDaysRead, operationOf } from '../rations/fed-days.read.js';

type Answer = AnswerOf<typeof api.getFeeding>;

/**
 * Feedings as answered: the records write and read them and know how the hay was laid; the judge adds cautions, knowing
 * what is in the hay and which cattle eat it.
 */
@Injectable()
export class JudgedFeedingService {
  constructor(
    private readonly feedings: FeedingService,
    private readonly days: FedDaysRead,
    private readonly herds: HerdRead,
  ) {}

  async create(tenant: OperationTenant, input: InputOf<typeof api.createFeeding>): Promise<Answer> {
    const { answer, beside } = await this.feedings.create(tenant, input, ({ herd, row }) =>
      this.days.of(tenant, herd, row.happened_on),
    );
    return judged(answer, beside, input.query.units ?? tenant.operation.unitPreference);
  }

  async get(tenant: OperationTenant, input: InputOf<typeof api.getFeeding>): Promise<Answer> {
    const answer = await this.feedings.get(tenant, input);
    const cautions = answer.reversal === null ? await this.days.ofHerd(tenant, answer.herdId, answer.fedOn) : [];
    return judged(answer, cautions, input.query.units ?? tenant.operation.unitPreference);
  }

  /**
   * Those of these feedings that stand, the newest of them, as `get` answers each; days are gathered once for all their
   * herds.
   */
  async newest(tenant: OperationTenant, ids: readonly string[], most: number): Promise<Answer[]> {
    const answers = (await this.feedings.allOf(tenant, ids))
      .filter(({ reversal }) => reversal === null)
      .sort((a, b) => (a.fedOn < b.fedOn ? 1 : a.fedOn > b.fedOn ? -1 : 0))
      .slice(0, most);
    const herds = await this.herds.byId(
      tenant,
      answers.map(({ herdId }) => herdId),
    );
    const fed = new Map(answers.map((answer) => [keyOf({ herdId: answer.herdId, on: answer.fedOn }), answer]));
    const asked = [...fed.values()].flatMap(({ herdId, fedOn }) => {
      const herd = herds.get(herdId);
      return herd === undefined ? [] : [{ herd, day: fedOn }];
    });
    const judgedDays = await this.days.onDays(tenant, operationOf(tenant), asked);
    const found = new Map(judgedDays.map(({ herdId, day, cautions }) => [keyOf({ herdId, on: day }), cautions]));
    return answers.map((answer) =>
      judged(
        answer,
        found.get(keyOf({ herdId: answer.herdId, on: answer.fedOn })) ?? [],
        tenant.operation.unitPreference,
      ),
    );
  }
}

function judged(answer: Answer, cautions: readonly RaisedCaution[], units: UnitSystem): Answer {
  const found = cautions.map((each) => cautionAnswer(each, units));
  // Both may warn of bloat; the judge does it from what is in the lots.
  const laying = answer.cautions.filter(({ code }) => !found.some((other) => other.code === code));
  return { ...answer, cautions: worstFirst([...found, ...laying]) };
}
