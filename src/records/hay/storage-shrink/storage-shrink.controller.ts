import { Controller } from '@nestjs/common';
import { type AnswerOf, type CallOf, Endpoint, Received } from '../../../platform/http/endpoint.js';
import * as api from './storage-shrink.schema.js';
import { StorageShrinkService } from './storage-shrink.service.js';

@Controller()
export class StorageShrinkController {
  constructor(private readonly service: StorageShrinkService) {}

  @Endpoint(api.createStorageShrink)
  create(
    @Received() { tenant, input }: CallOf<typeof api.createStorageShrink>,
  ): Promise<AnswerOf<typeof api.createStorageShrink>> {
    return this.service.create(tenant, input);
  }

  @Endpoint(api.listStorageShrinks)
  list(
    @Received() { tenant, input }: CallOf<typeof api.listStorageShrinks>,
  ): Promise<AnswerOf<typeof api.listStorageShrinks>> {
    return this.service.list(tenant, input);
  }

  @Endpoint(api.getStorageShrink)
  get(
    @Received() { tenant, input }: CallOf<typeof api.getStorageShrink>,
  ): Promise<AnswerOf<typeof api.getStorageShrink>> {
    return this.service.get(tenant, input);
  }

  @Endpoint(api.reverseStorageShrink)
  reverse(
    @Received() { tenant, input }: CallOf<typeof api.reverseStorageShrink>,
  ): Promise<AnswerOf<typeof api.reverseStorageShrink>> {
    return this.service.reverse(tenant, input);
  }

  @Endpoint(api.estimateStorageLoss)
  estimate(
    @Received() { tenant, input }: CallOf<typeof api.estimateStorageLoss>,
  ): Promise<AnswerOf<typeof api.estimateStorageLoss>> {
    return this.service.estimate(tenant, input);
  }

  @Endpoint(api.createStorageMeasurement)
  measure(
    @Received() { tenant, input }: CallOf<typeof api.createStorageMeasurement>,
  ): Promise<AnswerOf<typeof api.createStorageMeasurement>> {
    return this.service.measure(tenant, input);
  }

  @Endpoint(api.listStorageMeasurements)
  measurements(
    @Received() { tenant, input }: CallOf<typeof api.listStorageMeasurements>,
  ): Promise<AnswerOf<typeof api.listStorageMeasurements>> {
    return this.service.measurements(tenant, input);
  }

  @Endpoint(api.withdrawStorageMeasurement)
  withdraw(
    @Received() { tenant, input }: CallOf<typeof api.withdrawStorageMeasurement>,
  ): Promise<AnswerOf<typeof api.withdrawStorageMeasurement>> {
    return this.service.withdraw(tenant, input);
  }

  @Endpoint(api.correctStorageShrink)
  correct(
    @Received() { tenant, input }: CallOf<typeof api.correctStorageShrink>,
  ): Promise<AnswerOf<typeof api.correctStorageShrink>> {
    return this.service.correct(tenant, input);
  }
}
