import { Controller } from '@nestjs/common';
import { type AnswerOf, type CallOf, Endpoint, Received } from '../../platform/http/endpoint.js';
import * as api from './import.schema.js';
import { ImportService } from './import.service.js';

@Controller()
export class ImportController {
  constructor(private readonly service: ImportService) {}

  @Endpoint(api.checkAnimalWeights)
  checkAnimalWeights(
    @Received() { asker, input }: CallOf<typeof api.checkAnimalWeights>,
  ): Promise<AnswerOf<typeof api.checkAnimalWeights>> {
    return this.service.check(asker, input, 'animal-weights');
  }

  @Endpoint(api.importAnimalWeights)
  takeAnimalWeights(
    @Received() { asker, input }: CallOf<typeof api.importAnimalWeights>,
  ): Promise<AnswerOf<typeof api.importAnimalWeights>> {
    return this.service.take(asker, input, 'animal-weights');
  }

  @Endpoint(api.checkGroupWeights)
  checkGroupWeights(
    @Received() { asker, input }: CallOf<typeof api.checkGroupWeights>,
  ): Promise<AnswerOf<typeof api.checkGroupWeights>> {
    return this.service.check(asker, input, 'group-weights');
  }

  @Endpoint(api.importGroupWeights)
  takeGroupWeights(
    @Received() { asker, input }: CallOf<typeof api.importGroupWeights>,
  ): Promise<AnswerOf<typeof api.importGroupWeights>> {
    return this.service.take(asker, input, 'group-weights');
  }

  @Endpoint(api.checkHeadChanges)
  checkHeadChanges(
    @Received() { asker, input }: CallOf<typeof api.checkHeadChanges>,
  ): Promise<AnswerOf<typeof api.checkHeadChanges>> {
    return this.service.check(asker, input, 'head-changes');
  }

  @Endpoint(api.importHeadChanges)
  takeHeadChanges(
    @Received() { asker, input }: CallOf<typeof api.importHeadChanges>,
  ): Promise<AnswerOf<typeof api.importHeadChanges>> {
    return this.service.take(asker, input, 'head-changes');
  }

  @Endpoint(api.checkHerdEvents)
  checkHerdEvents(
    @Received() { asker, input }: CallOf<typeof api.checkHerdEvents>,
  ): Promise<AnswerOf<typeof api.checkHerdEvents>> {
    return this.service.check(asker, input, 'herd-events');
  }

  @Endpoint(api.importHerdEvents)
  takeHerdEvents(
    @Received() { asker, input }: CallOf<typeof api.importHerdEvents>,
  ): Promise<AnswerOf<typeof api.importHerdEvents>> {
    return this.service.take(asker, input, 'herd-events');
  }

  @Endpoint(api.checkHarvests)
  checkHarvests(
    @Received() { asker, input }: CallOf<typeof api.checkHarvests>,
  ): Promise<AnswerOf<typeof api.checkHarvests>> {
    return this.service.check(asker, input, 'harvests');
  }

  @Endpoint(api.importHarvests)
  takeHarvests(
    @Received() { asker, input }: CallOf<typeof api.importHarvests>,
  ): Promise<AnswerOf<typeof api.importHarvests>> {
    return this.service.take(asker, input, 'harvests');
  }

  @Endpoint(api.checkHaySales)
  checkHaySales(
    @Received() { asker, input }: CallOf<typeof api.checkHaySales>,
  ): Promise<AnswerOf<typeof api.checkHaySales>> {
    return this.service.check(asker, input, 'hay-sales');
  }

  @Endpoint(api.importHaySales)
  takeHaySales(
    @Received() { asker, input }: CallOf<typeof api.importHaySales>,
  ): Promise<AnswerOf<typeof api.importHaySales>> {
    return this.service.take(asker, input, 'hay-sales');
  }

  @Endpoint(api.checkHayTransfers)
  checkHayTransfers(
    @Received() { asker, input }: CallOf<typeof api.checkHayTransfers>,
  ): Promise<AnswerOf<typeof api.checkHayTransfers>> {
    return this.service.check(asker, input, 'hay-transfers');
  }

  @Endpoint(api.importHayTransfers)
  takeHayTransfers(
    @Received() { asker, input }: CallOf<typeof api.importHayTransfers>,
  ): Promise<AnswerOf<typeof api.importHayTransfers>> {
    return this.service.take(asker, input, 'hay-transfers');
  }

  @Endpoint(api.checkStockCounts)
  checkStockCounts(
    @Received() { asker, input }: CallOf<typeof api.checkStockCounts>,
  ): Promise<AnswerOf<typeof api.checkStockCounts>> {
    return this.service.check(asker, input, 'stock-counts');
  }

  @Endpoint(api.importStockCounts)
  takeStockCounts(
    @Received() { asker, input }: CallOf<typeof api.importStockCounts>,
  ): Promise<AnswerOf<typeof api.importStockCounts>> {
    return this.service.take(asker, input, 'stock-counts');
  }

  @Endpoint(api.checkLateCosts)
  checkLateCosts(
    @Received() { asker, input }: CallOf<typeof api.checkLateCosts>,
  ): Promise<AnswerOf<typeof api.checkLateCosts>> {
    return this.service.check(asker, input, 'late-costs');
  }

  @Endpoint(api.importLateCosts)
  takeLateCosts(
    @Received() { asker, input }: CallOf<typeof api.importLateCosts>,
  ): Promise<AnswerOf<typeof api.importLateCosts>> {
    return this.service.take(asker, input, 'late-costs');
  }

  @Endpoint(api.checkYardageRates)
  checkYardageRates(
    @Received() { asker, input }: CallOf<typeof api.checkYardageRates>,
  ): Promise<AnswerOf<typeof api.checkYardageRates>> {
    return this.service.check(asker, input, 'yardage-rates');
  }

  @Endpoint(api.importYardageRates)
  takeYardageRates(
    @Received() { asker, input }: CallOf<typeof api.importYardageRates>,
  ): Promise<AnswerOf<typeof api.importYardageRates>> {
    return this.service.take(asker, input, 'yardage-rates');
  }

  @Endpoint(api.listImports)
  list(@Received() { tenant, input }: CallOf<typeof api.listImports>): Promise<AnswerOf<typeof api.listImports>> {
    return this.service.list(tenant, input);
  }

  @Endpoint(api.listImportedRecords)
  records(
    @Received() { tenant, input }: CallOf<typeof api.listImportedRecords>,
  ): Promise<AnswerOf<typeof api.listImportedRecords>> {
    return this.service.records(tenant, input);
  }

  @Endpoint(api.getImportColumns)
  columns(
    @Received() { tenant, input }: CallOf<typeof api.getImportColumns>,
  ): Promise<AnswerOf<typeof api.getImportColumns>> {
    return this.service.columns(tenant, input);
  }

  @Endpoint(api.getImportSample)
  sample(
    @Received() { tenant, input }: CallOf<typeof api.getImportSample>,
  ): Promise<AnswerOf<typeof api.getImportSample>> {
    return this.service.sample(tenant, input);
  }
}
