import { Controller } from '@nestjs/common';
import { type AnswerOf, type CallOf, Endpoint, Received } from '../../platform/http/endpoint.js';
import * as leastCost from './least-cost.schema.js';
import { LeastCostService } from './least-cost.service.js';
import * as drift from './ration-drift.schema.js';
import { RationDriftService } from './ration-drift.service.js';
import { RationEvaluationService } from './ration-evaluation.service.js';
import * as api from './ration.schema.js';
import { RationService } from './ration.service.js';

@Controller()
export class RationController {
  constructor(
    private readonly service: RationService,
    private readonly evaluations: RationEvaluationService,
    private readonly drifts: RationDriftService,
    private readonly leastCosts: LeastCostService,
  ) {}

  @Endpoint(api.createRation)
  create(@Received() call: CallOf<typeof api.createRation>): Promise<AnswerOf<typeof api.createRation>> {
    return this.service.create(call);
  }

  @Endpoint(api.listRations)
  list(@Received() call: CallOf<typeof api.listRations>): Promise<AnswerOf<typeof api.listRations>> {
    return this.service.list(call);
  }

  @Endpoint(api.getRation)
  get(@Received() call: CallOf<typeof api.getRation>): Promise<AnswerOf<typeof api.getRation>> {
    return this.service.get(call);
  }

  @Endpoint(api.changeRation)
  change(@Received() call: CallOf<typeof api.changeRation>): Promise<AnswerOf<typeof api.changeRation>> {
    return this.service.change(call);
  }

  @Endpoint(api.proposeRation)
  propose(@Received() call: CallOf<typeof api.proposeRation>): Promise<AnswerOf<typeof api.proposeRation>> {
    return this.service.propose(call);
  }

  @Endpoint(api.withdrawRation)
  withdraw(@Received() call: CallOf<typeof api.withdrawRation>): Promise<AnswerOf<typeof api.withdrawRation>> {
    return this.service.withdraw(call);
  }

  @Endpoint(api.returnRation)
  giveBack(@Received() call: CallOf<typeof api.returnRation>): Promise<AnswerOf<typeof api.returnRation>> {
    return this.service.giveBack(call);
  }

  @Endpoint(api.acceptRation)
  accept(@Received() call: CallOf<typeof api.acceptRation>): Promise<AnswerOf<typeof api.acceptRation>> {
    return this.service.accept(call);
  }

  @Endpoint(api.useRation)
  use(@Received() call: CallOf<typeof api.useRation>): Promise<AnswerOf<typeof api.useRation>> {
    return this.service.use(call);
  }

  @Endpoint(api.endRation)
  end(@Received() call: CallOf<typeof api.endRation>): Promise<AnswerOf<typeof api.endRation>> {
    return this.service.end(call);
  }

  @Endpoint(api.rationInUse)
  inUse(@Received() call: CallOf<typeof api.rationInUse>): Promise<AnswerOf<typeof api.rationInUse>> {
    return this.service.inUse(call);
  }

  @Endpoint(api.createRationNote)
  writeNote(@Received() call: CallOf<typeof api.createRationNote>): Promise<AnswerOf<typeof api.createRationNote>> {
    return this.service.writeNote(call);
  }

  @Endpoint(api.listRationNotes)
  listNotes(@Received() call: CallOf<typeof api.listRationNotes>): Promise<AnswerOf<typeof api.listRationNotes>> {
    return this.service.listNotes(call);
  }

  @Endpoint(api.evaluateRationAtHand)
  evaluate(
    @Received() call: CallOf<typeof api.evaluateRationAtHand>,
  ): Promise<AnswerOf<typeof api.evaluateRationAtHand>> {
    return this.evaluations.kept(call);
  }

  @Endpoint(api.evaluateUnsaved)
  evaluateUnsaved(@Received() call: CallOf<typeof api.evaluateUnsaved>): Promise<AnswerOf<typeof api.evaluateUnsaved>> {
    return this.evaluations.unsaved(call);
  }

  @Endpoint(drift.rationDriftAt)
  drift(@Received() call: CallOf<typeof drift.rationDriftAt>): Promise<AnswerOf<typeof drift.rationDriftAt>> {
    return this.drifts.report(call);
  }

  @Endpoint(leastCost.leastCostRationFor)
  leastCost(
    @Received() call: CallOf<typeof leastCost.leastCostRationFor>,
  ): Promise<AnswerOf<typeof leastCost.leastCostRationFor>> {
    return this.leastCosts.solve(call);
  }
}
