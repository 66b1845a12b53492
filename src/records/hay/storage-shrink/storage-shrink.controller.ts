import { Controller } from '@nestjs/common';
import { type AnswerOf, type CallOf, Endpoint, Received } from '../../../platform/http/endpoint.js';
import * as api from './storage-shrink.schema.js';
import { StorageShrinkService } from './storage-shrink.service.js';

@Controller()
export class StorageShrinkController {
  constructor(private readonly service: StorageShrinkService) {}

  @Endpoint(api.createStorageShrink)
  create(@Received() call: CallOf<typeof api.createStorageShrink>): Promise<AnswerOf<typeof api.createStorageShrink>> {
    return this.service.create(call);
  }

  @Endpoint(api.listStorageShrinks)
  list(@Received() call: CallOf<typeof api.listStorageShrinks>): Promise<AnswerOf<typeof api.listStorageShrinks>> {
    return this.service.list(call);
  }

  @Endpoint(api.getStorageShrink)
  get(@Received() call: CallOf<typeof api.getStorageShrink>): Promise<AnswerOf<typeof api.getStorageShrink>> {
    return this.service.get(call);
  }

  @Endpoint(api.reverseStorageShrink)
  reverse(
    @Received() call: CallOf<typeof api.reverseStorageShrink>,
  ): Promise<AnswerOf<typeof api.reverseStorageShrink>> {
    return this.service.reverse(call);
  }

  @Endpoint(api.estimateStorageLoss)
  estimate(
    @Received() call: CallOf<typeof api.estimateStorageLoss>,
  ): Promise<AnswerOf<typeof api.estimateStorageLoss>> {
    return this.service.estimate(call);
  }

  @Endpoint(api.createStorageMeasurement)
  measure(
    @Received() call: CallOf<typeof api.createStorageMeasurement>,
  ): Promise<AnswerOf<typeof api.createStorageMeasurement>> {
    return this.service.measure(call);
  }

  @Endpoint(api.listStorageMeasurements)
  measurements(
    @Received() call: CallOf<typeof api.listStorageMeasurements>,
  ): Promise<AnswerOf<typeof api.listStorageMeasurements>> {
    return this.service.measurements(call);
  }

  @Endpoint(api.withdrawStorageMeasurement)
  withdraw(
    @Received() call: CallOf<typeof api.withdrawStorageMeasurement>,
  ): Promise<AnswerOf<typeof api.withdrawStorageMeasurement>> {
    return this.service.withdraw(call);
  }
}
