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
  create(@Received() { tenant, input }: CallOf<typeof api.createRation>): Promise<AnswerOf<typeof api.createRation>> {
    return this.service.create(tenant, input);
  }

  @Endpoint(api.listRations)
  list(@Received() { tenant, input }: CallOf<typeof api.listRations>): Promise<AnswerOf<typeof api.listRations>> {
    return this.service.list(tenant, input);
  }

  @Endpoint(api.getRation)
  get(@Received() { tenant, input }: CallOf<typeof api.getRation>): Promise<AnswerOf<typeof api.getRation>> {
    return this.service.get(tenant, input);
  }

  @Endpoint(api.changeRation)
  change(@Received() { tenant, input }: CallOf<typeof api.changeRation>): Promise<AnswerOf<typeof api.changeRation>> {
    return this.service.change(tenant, input);
  }

  @Endpoint(api.proposeRation)
  propose(
    @Received() { tenant, input }: CallOf<typeof api.proposeRation>,
  ): Promise<AnswerOf<typeof api.proposeRation>> {
    return this.service.propose(tenant, input);
  }

  @Endpoint(api.withdrawRation)
  withdraw(
    @Received() { tenant, input }: CallOf<typeof api.withdrawRation>,
  ): Promise<AnswerOf<typeof api.withdrawRation>> {
    return this.service.withdraw(tenant, input);
  }

  @Endpoint(api.returnRation)
  giveBack(@Received() { tenant, input }: CallOf<typeof api.returnRation>): Promise<AnswerOf<typeof api.returnRation>> {
    return this.service.giveBack(tenant, input);
  }

  @Endpoint(api.acceptRation)
  accept(@Received() { tenant, input }: CallOf<typeof api.acceptRation>): Promise<AnswerOf<typeof api.acceptRation>> {
    return this.service.accept(tenant, input);
  }

  @Endpoint(api.useRation)
  use(@Received() { tenant, input }: CallOf<typeof api.useRation>): Promise<AnswerOf<typeof api.useRation>> {
    return this.service.use(tenant, input);
  }

  @Endpoint(api.endRation)
  end(@Received() { tenant, input }: CallOf<typeof api.endRation>): Promise<AnswerOf<typeof api.endRation>> {
    return this.service.end(tenant, input);
  }

  @Endpoint(api.rationInUse)
  inUse(@Received() { tenant, input }: CallOf<typeof api.rationInUse>): Promise<AnswerOf<typeof api.rationInUse>> {
    return this.service.inUse(tenant, input);
  }

  @Endpoint(api.createRationNote)
  writeNote(
    @Received() { tenant, input }: CallOf<typeof api.createRationNote>,
  ): Promise<AnswerOf<typeof api.createRationNote>> {
    return this.service.writeNote(tenant, input);
  }

  @Endpoint(api.listRationNotes)
  listNotes(
    @Received() { tenant, input }: CallOf<typeof api.listRationNotes>,
  ): Promise<AnswerOf<typeof api.listRationNotes>> {
    return this.service.listNotes(tenant, input);
  }

  @Endpoint(api.evaluateRationAtHand)
  evaluate(
    @Received() { tenant, input }: CallOf<typeof api.evaluateRationAtHand>,
  ): Promise<AnswerOf<typeof api.evaluateRationAtHand>> {
    return this.evaluations.kept(tenant, input);
  }

  @Endpoint(api.evaluateUnsaved)
  evaluateUnsaved(
    @Received() { tenant, input }: CallOf<typeof api.evaluateUnsaved>,
  ): Promise<AnswerOf<typeof api.evaluateUnsaved>> {
    return this.evaluations.unsaved(tenant, input);
  }

  @Endpoint(drift.rationDriftAt)
  drift(
    @Received() { tenant, input }: CallOf<typeof drift.rationDriftAt>,
  ): Promise<AnswerOf<typeof drift.rationDriftAt>> {
    return this.drifts.report(tenant, input);
  }

  @Endpoint(leastCost.leastCostRationFor)
  leastCost(
    @Received() { asker, input }: CallOf<typeof leastCost.leastCostRationFor>,
  ): Promise<AnswerOf<typeof leastCost.leastCostRationFor>> {
    return this.leastCosts.solve(asker, input);
  }
}
