import { Controller } from '@nestjs/common';
import { type AnswerOf, type CallOf, Endpoint, Received } from '../../platform/http/endpoint.js';
import * as api from '../../records/feedings/feeding.schema.js';
import { FeedingService } from '../../records/feedings/feeding.service.js';
import * as imports from '../../records/import/import.schema.js';
import { JudgedFeedingFileService } from './judged-feeding-file.service.js';
import { JudgedFeedingService } from './judged-feeding.service.js';

@Controller()
export class FeedingController {
  constructor(
    private readonly service: FeedingService,
    private readonly judged: JudgedFeedingService,
    private readonly files: JudgedFeedingFileService,
  ) {}

  @Endpoint(api.createFeeding)
  create(@Received() { tenant, input }: CallOf<typeof api.createFeeding>): Promise<AnswerOf<typeof api.createFeeding>> {
    return this.judged.create(tenant, input);
  }

  @Endpoint(imports.checkFeedings)
  checkFile(
    @Received() { asker, input }: CallOf<typeof imports.checkFeedings>,
  ): Promise<AnswerOf<typeof imports.checkFeedings>> {
    return this.files.check(asker, input);
  }

  @Endpoint(imports.importFeedings)
  takeFile(
    @Received() { asker, input }: CallOf<typeof imports.importFeedings>,
  ): Promise<AnswerOf<typeof imports.importFeedings>> {
    return this.files.take(asker, input);
  }

  @Endpoint(api.listFeedings)
  list(@Received() { tenant, input }: CallOf<typeof api.listFeedings>): Promise<AnswerOf<typeof api.listFeedings>> {
    return this.service.list(tenant, input);
  }

  @Endpoint(api.getFeeding)
  get(@Received() { tenant, input }: CallOf<typeof api.getFeeding>): Promise<AnswerOf<typeof api.getFeeding>> {
    return this.judged.get(tenant, input);
  }

  @Endpoint(api.reverseFeeding)
  reverse(
    @Received() { tenant, input }: CallOf<typeof api.reverseFeeding>,
  ): Promise<AnswerOf<typeof api.reverseFeeding>> {
    return this.service.reverse(tenant, input);
  }

  @Endpoint(api.correctFeeding)
  correct(
    @Received() { tenant, input }: CallOf<typeof api.correctFeeding>,
  ): Promise<AnswerOf<typeof api.correctFeeding>> {
    return this.judged.correct(tenant, input);
  }
}
