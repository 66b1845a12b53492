import { Controller } from '@nestjs/common';
import { type AnswerOf, type CallOf, Endpoint, Received } from '../../platform/http/endpoint.js';
import * as api from './import.schema.js';
import { ImportService } from './import.service.js';

@Controller()
export class ImportController {
  constructor(private readonly service: ImportService) {}

  @Endpoint(api.checkHayTickets)
  checkHayTickets(@Received() call: CallOf<typeof api.checkHayTickets>): Promise<AnswerOf<typeof api.checkHayTickets>> {
    return this.service.check(call, 'hay-tickets');
  }

  @Endpoint(api.importHayTickets)
  takeHayTickets(
    @Received() call: CallOf<typeof api.importHayTickets>,
  ): Promise<AnswerOf<typeof api.importHayTickets>> {
    return this.service.take(call, 'hay-tickets');
  }

  @Endpoint(api.checkLabTests)
  checkLabTests(@Received() call: CallOf<typeof api.checkLabTests>): Promise<AnswerOf<typeof api.checkLabTests>> {
    return this.service.check(call, 'lab-tests');
  }

  @Endpoint(api.importLabTests)
  takeLabTests(@Received() call: CallOf<typeof api.importLabTests>): Promise<AnswerOf<typeof api.importLabTests>> {
    return this.service.take(call, 'lab-tests');
  }

  @Endpoint(api.checkFeedings)
  checkFeedings(@Received() call: CallOf<typeof api.checkFeedings>): Promise<AnswerOf<typeof api.checkFeedings>> {
    return this.service.check(call, 'feedings');
  }

  @Endpoint(api.importFeedings)
  takeFeedings(@Received() call: CallOf<typeof api.importFeedings>): Promise<AnswerOf<typeof api.importFeedings>> {
    return this.service.take(call, 'feedings');
  }

  @Endpoint(api.checkAnimalWeights)
  checkAnimalWeights(
    @Received() call: CallOf<typeof api.checkAnimalWeights>,
  ): Promise<AnswerOf<typeof api.checkAnimalWeights>> {
    return this.service.check(call, 'animal-weights');
  }

  @Endpoint(api.importAnimalWeights)
  takeAnimalWeights(
    @Received() call: CallOf<typeof api.importAnimalWeights>,
  ): Promise<AnswerOf<typeof api.importAnimalWeights>> {
    return this.service.take(call, 'animal-weights');
  }

  @Endpoint(api.checkGroupWeights)
  checkGroupWeights(
    @Received() call: CallOf<typeof api.checkGroupWeights>,
  ): Promise<AnswerOf<typeof api.checkGroupWeights>> {
    return this.service.check(call, 'group-weights');
  }

  @Endpoint(api.importGroupWeights)
  takeGroupWeights(
    @Received() call: CallOf<typeof api.importGroupWeights>,
  ): Promise<AnswerOf<typeof api.importGroupWeights>> {
    return this.service.take(call, 'group-weights');
  }

  @Endpoint(api.checkHeadChanges)
  checkHeadChanges(
    @Received() call: CallOf<typeof api.checkHeadChanges>,
  ): Promise<AnswerOf<typeof api.checkHeadChanges>> {
    return this.service.check(call, 'head-changes');
  }

  @Endpoint(api.importHeadChanges)
  takeHeadChanges(
    @Received() call: CallOf<typeof api.importHeadChanges>,
  ): Promise<AnswerOf<typeof api.importHeadChanges>> {
    return this.service.take(call, 'head-changes');
  }

  @Endpoint(api.listImports)
  list(@Received() call: CallOf<typeof api.listImports>): Promise<AnswerOf<typeof api.listImports>> {
    return this.service.list(call);
  }

  @Endpoint(api.getImport)
  get(@Received() call: CallOf<typeof api.getImport>): Promise<AnswerOf<typeof api.getImport>> {
    return this.service.get(call);
  }

  @Endpoint(api.listImportedRecords)
  records(@Received() call: CallOf<typeof api.listImportedRecords>): Promise<AnswerOf<typeof api.listImportedRecords>> {
    return this.service.records(call);
  }

  @Endpoint(api.getImportColumns)
  columns(@Received() call: CallOf<typeof api.getImportColumns>): Promise<AnswerOf<typeof api.getImportColumns>> {
    return this.service.columns(call);
  }

  @Endpoint(api.getImportSample)
  sample(@Received() call: CallOf<typeof api.getImportSample>): Promise<AnswerOf<typeof api.getImportSample>> {
    return this.service.sample(call);
  }
}
