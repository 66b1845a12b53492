import { Controller } from '@nestjs/common';
import { type AnswerOf, type CallOf, Endpoint, Received } from '../../platform/http/endpoint.js';
import * as tests from '../../records/hay/lab-tests/lab-test.schema.js';
import { LabTestService } from '../../records/hay/lab-tests/lab-test.service.js';
import * as looks from '../../records/hay/observations/hay-observation.schema.js';
import { HayObservationService } from '../../records/hay/observations/hay-observation.service.js';
import * as purchases from '../../records/hay/purchases/hay-purchase.schema.js';
import { HayPurchaseService } from '../../records/hay/purchases/hay-purchase.service.js';
import * as transfers from '../../records/hay/transfers/hay-transfer.schema.js';
import { HayTransferService } from '../../records/hay/transfers/hay-transfer.service.js';
import * as imports from '../../records/import/import.schema.js';
import { JudgedLotEntryService } from './judged-lot-entry.service.js';

/** Entries about lots, answered with the cautions of the lot. Lists and reversals stay with the records. */
@Controller()
export class LotEntryController {
  constructor(
    private readonly judged: JudgedLotEntryService,
    private readonly labTests: LabTestService,
    private readonly looks: HayObservationService,
    private readonly purchases: HayPurchaseService,
    private readonly transfers: HayTransferService,
  ) {}

  @Endpoint(tests.createLabTest)
  async createLabTest(
    @Received() { tenant, input }: CallOf<typeof tests.createLabTest>,
  ): Promise<AnswerOf<typeof tests.createLabTest>> {
    const answer = await this.labTests.create(tenant, input);
    return this.judged.withCautions(tenant, answer, [answer.hayLotId]);
  }

  @Endpoint(tests.getLabTest)
  async getLabTest(
    @Received() { tenant, input }: CallOf<typeof tests.getLabTest>,
  ): Promise<AnswerOf<typeof tests.getLabTest>> {
    const answer = await this.labTests.get(tenant, input);
    return this.judged.withCautions(tenant, answer, [answer.hayLotId]);
  }

  @Endpoint(looks.createHayObservation)
  async createHayObservation(
    @Received() { tenant, input }: CallOf<typeof looks.createHayObservation>,
  ): Promise<AnswerOf<typeof looks.createHayObservation>> {
    const answer = await this.looks.create(tenant, input);
    return this.judged.withCautions(tenant, answer, [answer.hayLotId], input.query.units);
  }

  @Endpoint(looks.getHayObservation)
  async getHayObservation(
    @Received() { tenant, input }: CallOf<typeof looks.getHayObservation>,
  ): Promise<AnswerOf<typeof looks.getHayObservation>> {
    const answer = await this.looks.get(tenant, input);
    return this.judged.withCautions(tenant, answer, [answer.hayLotId], input.query.units);
  }

  @Endpoint(purchases.createHayPurchase)
  async createHayPurchase(
    @Received() { tenant, input }: CallOf<typeof purchases.createHayPurchase>,
  ): Promise<AnswerOf<typeof purchases.createHayPurchase>> {
    const answer = await this.purchases.create(tenant, input);
    return this.judged.withCautions(tenant, answer, [answer.hayLotId], input.query.units);
  }

  @Endpoint(purchases.getHayPurchase)
  async getHayPurchase(
    @Received() { tenant, input }: CallOf<typeof purchases.getHayPurchase>,
  ): Promise<AnswerOf<typeof purchases.getHayPurchase>> {
    const answer = await this.purchases.get(tenant, input);
    return this.judged.withCautions(tenant, answer, [answer.hayLotId], input.query.units);
  }

  @Endpoint(transfers.createHayTransfer)
  async createHayTransfer(
    @Received() { tenant, input }: CallOf<typeof transfers.createHayTransfer>,
  ): Promise<AnswerOf<typeof transfers.createHayTransfer>> {
    const answer = await this.transfers.create(tenant, input);
    return this.judged.withCautions(tenant, answer, [answer.toLotId], input.query.units);
  }

  @Endpoint(transfers.getHayTransfer)
  async getHayTransfer(
    @Received() { tenant, input }: CallOf<typeof transfers.getHayTransfer>,
  ): Promise<AnswerOf<typeof transfers.getHayTransfer>> {
    const answer = await this.transfers.get(tenant, input);
    return this.judged.withCautions(tenant, answer, [answer.toLotId], input.query.units);
  }

  @Endpoint(imports.checkHayTickets)
  checkHayTickets(
    @Received() { asker, input }: CallOf<typeof imports.checkHayTickets>,
  ): Promise<AnswerOf<typeof imports.checkHayTickets>> {
    return this.judged.check(asker, input, 'hay-tickets');
  }

  @Endpoint(imports.checkLabTests)
  checkLabTests(
    @Received() { asker, input }: CallOf<typeof imports.checkLabTests>,
  ): Promise<AnswerOf<typeof imports.checkLabTests>> {
    return this.judged.check(asker, input, 'lab-tests');
  }

  @Endpoint(imports.checkHayObservations)
  checkHayObservations(
    @Received() { asker, input }: CallOf<typeof imports.checkHayObservations>,
  ): Promise<AnswerOf<typeof imports.checkHayObservations>> {
    return this.judged.check(asker, input, 'hay-observations');
  }

  @Endpoint(imports.importHayTickets)
  takeHayTickets(
    @Received() { asker, input }: CallOf<typeof imports.importHayTickets>,
  ): Promise<AnswerOf<typeof imports.importHayTickets>> {
    return this.judged.take(asker, input, 'hay-tickets');
  }

  @Endpoint(imports.importLabTests)
  takeLabTests(
    @Received() { asker, input }: CallOf<typeof imports.importLabTests>,
  ): Promise<AnswerOf<typeof imports.importLabTests>> {
    return this.judged.take(asker, input, 'lab-tests');
  }

  @Endpoint(imports.importHayObservations)
  takeHayObservations(
    @Received() { asker, input }: CallOf<typeof imports.importHayObservations>,
  ): Promise<AnswerOf<typeof imports.importHayObservations>> {
    return this.judged.take(asker, input, 'hay-observations');
  }

  @Endpoint(imports.getImport)
  getImport(
    @Received() { tenant, input }: CallOf<typeof imports.getImport>,
  ): Promise<AnswerOf<typeof imports.getImport>> {
    return this.judged.import(tenant, input);
  }
}
