import type { INestApplicationContext } from '@nestjs/common';
import { offerEngagement } from '../src/access/engagements/engagement.schema.js';
import { EngagementService } from '../src/access/engagements/engagement.service.js';
import { MembershipService } from '../src/access/memberships/membership.service.js';
import { MembershipStore } from '../src/access/memberships/membership.store.js';
import { PersonStore } from '../src/access/people/person.store.js';
import { Database } from '../src/platform/database/database.js';
import type { OperationTenant } from '../src/platform/database/types.js';
import type { Asker } from '../src/platform/http/asker.js';
import { demoAsker, writeAs } from './demo-entry.js';
import { FeedingService } from '../src/records/feedings/feeding.service.js';
import { type LabNutrient, labReport } from '../src/core/nutrients/nutrients.js';
import { createFeeding } from '../src/records/feedings/feeding.schema.js';
import { HayPurchaseService } from '../src/records/hay/purchases/hay-purchase.service.js';
import { createHayPurchase } from '../src/records/hay/purchases/hay-purchase.schema.js';
import { MoneyBudgetService } from '../src/office/money-budget/money-budget.service.js';
import { createBudgetEntry } from '../src/office/money-budget/money-budget.schema.js';
import { HerdCostService } from '../src/records/cattle/herd-costs/herd-cost.service.js';
import { createHerdCost } from '../src/records/cattle/herd-costs/herd-cost.schema.js';
import { HeadChangeService } from '../src/records/cattle/herds/head-change.service.js';
import { createHeadChange, createHerd } from '../src/records/cattle/herds/herd.schema.js';
import { createHerdEvent } from '../src/records/cattle/herds/herd-event.schema.js';
import { HerdEventService } from '../src/records/cattle/herds/herd-event.service.js';
import { HerdService } from '../src/records/cattle/herds/herd.service.js';
import { createHayObservation } from '../src/records/hay/observations/hay-observation.schema.js';
import { HayObservationService } from '../src/records/hay/observations/hay-observation.service.js';
import { createLabTest } from '../src/records/hay/lab-tests/lab-test.schema.js';
import { LabTestService } from '../src/records/hay/lab-tests/lab-test.service.js';
import { createOperation } from '../src/records/yard/operations/operation.schema.js';
import { OperationService } from '../src/records/yard/operations/operation.service.js';
import { createPlace, createRanch } from '../src/records/yard/ranches/ranch.schema.js';
import { RanchService } from '../src/records/yard/ranches/ranch.service.js';
import { createWeighIn } from '../src/records/cattle/weigh-ins/weigh-in.schema.js';
import { WeighInService } from '../src/records/cattle/weigh-ins/weigh-in.service.js';
import { createYardageRate } from '../src/records/yard/yardage-rates/yardage-rate.schema.js';
import { YardageRateService } from '../src/records/yard/yardage-rates/yardage-rate.service.js';
import type { Scenario, ScenarioHerd, ScenarioLot, ScenarioMineral, ScenarioOperation } from './scenario.schema.js';
import { type BooksDemoPlace, loadBooksDemo } from './books.js';
import { type DeskDemoPlace, type FreeChoice, loadDeskDemo } from './desk.js';
import { loadTrialDemo, type TrialDemoPlace, type TrialScenario } from './trials.js';
import { winterFeedings } from './winter.js';

/** Reports the progress of a long load. */
export type Progress = (words: string) => void;

export type DemoState = 'absent' | 'whole' | 'broken-off';

/** Whether the demo is loaded. Broken off: its people exist, but the last feeding of its last herd does not. */
export async function demoState(
  application: INestApplicationContext,
  scenario: Scenario,
  now: Date,
): Promise<DemoState> {
  const database = application.get(Database);
  const last = scenario.operations.at(-1);
  const owner = scenario.people.find((person) => person.key === last?.owner);
  if (owner === undefined) throw new Error('The scenario has no operation, or its owner is nobody');
  const found = await database.withProof({ sign_in_email: owner.email }, (db) =>
    db.selectFrom('person').select('id').where('email', '=', owner.email).executeTakeFirst(),
  );
  if (found === undefined) {
    const first = scenario.people[0]?.email ?? '';
    const begun = await database.withProof({ sign_in_email: first }, (db) =>
      db.selectFrom('person').select('id').where('email', '=', first).executeTakeFirst(),
    );
    return begun === undefined ? 'absent' : 'broken-off';
  }
  const asker: Asker = {
    personId: found.id,
    apiKeyId: undefined,
    moment: now,
    requestId: 'demo',
    address: 'demo',
    idempotency: undefined,
  };
  const feedings = await database.read(asker, ({ db }) =>
    db.selectFrom('feeding').select('id').where('happened_on', '=', scenario.winter.feedUntil).execute(),
  );
  return feedings.length > 0 ? 'whole' : 'broken-off';
}

/**
 * Writes the scenario through the same services and schemas that the API uses, as the people of the scenario, each
 * entry at its moment.
 */
export async function loadDemo(
  application: INestApplicationContext,
  scenario: Scenario,
  progress: Progress,
  trials?: TrialScenario,
): Promise<void> {
  const people = new Map<string, string>();
  for (const person of scenario.people) people.set(person.key, await application.get(PersonStore).enroll(person));
  for (const operation of scenario.operations) {
    progress(`loading ${operation.name}`);
    const demo = new DemoOperation(application, scenario, operation, people);
    await demo.load();
    const desk = demo.placeForDesk();
    if (desk !== undefined) await loadDeskDemo(application, desk);
    const place = trials === undefined ? undefined : demo.placeForTrials();
    if (trials !== undefined && place !== undefined) await loadTrialDemo(application, trials, place, progress);
    // Last, since it closes the old year.
    if (operation.books !== undefined) await loadBooksDemo(application, operation.books, demo.placeForBooks());
  }
}

class DemoOperation {
  readonly #ids = new Map<string, string>();
  /** What a herd takes free choice, by the herd's key; apart from the ids, whose number seeds the winters. */
  readonly #freeChoice = new Map<string, FreeChoice>();

  constructor(
    private readonly application: INestApplicationContext,
    private readonly scenario: Scenario,
    private readonly operation: ScenarioOperation,
    private readonly people: ReadonlyMap<string, string>,
  ) {}

  async load(): Promise<void> {
    const { opensOn } = this.scenario.winter;
    const owner = this.#asker(this.operation.owner, opensOn);
    const { name, unitPreference, currency, timeZone, costingMethod } = this.operation;
    const opened = await this.#get(Database).write(owner, (tenant) =>
      this.#get(OperationService).open(
        tenant,
        createOperation.body!.parse({ name, unitPreference, currency, timeZone, costingMethod }),
        true,
      ),
    );
    const operationId = opened.id;
    this.#ids.set(this.operation.key, operationId);
    await this.#get(Database).writeIn(owner, operationId, async (tenant) => {
      for (const member of this.operation.members.filter(({ role }) => role !== 'nutritionist'))
        await this.#get(MembershipStore).grant(tenant, {
          personId: this.#person(member.person),
          role: member.role,
          seesPrices: member.seesPrices,
        });
      return {};
    });
    for (const member of this.operation.members.filter(({ role }) => role === 'nutritionist'))
      await this.#engage(operationId, member);
    const recorder = this.#asker(this.operation.recordedBy, opensOn);
    for (const ranch of this.operation.ranches) {
      const made = await this.#in(recorder, operationId, (tenant) =>
        this.#get(RanchService).create(tenant, {
          params: { operationId },
          body: createRanch.body!.parse({ name: ranch.name }),
        }),
      );
      this.#ids.set(ranch.key, made.id);
      for (const { key, ...place } of ranch.places) {
        const there = await this.#in(recorder, operationId, (tenant) =>
          this.#get(RanchService).createPlace(tenant, {
            params: { operationId },
            query: {},
            body: createPlace.body!.parse({ ranchId: made.id, ...place }),
          }),
        );
        this.#ids.set(key, there.id);
      }
    }
    for (const rate of this.operation.yardage) {
      await this.#in(recorder, operationId, (tenant) =>
        this.#get(YardageRateService).create(tenant, {
          params: { operationId },
          query: {},
          body: createYardageRate.body!.parse({ fromOn: rate.from, perHeadDay: rate.perHeadDay }),
        }),
      );
    }
    for (const lot of this.operation.lots) await this.#hay(operationId, lot);
    if (this.operation.mineral !== undefined) await this.#mineral(operationId, this.operation.mineral);
    for (const herd of this.operation.herds) await this.#herd(operationId, herd);
  }

  /** A consultant is offered the engagement by the owner, accepts with the code, and is confirmed by the owner. */
  async #engage(operationId: string, { person, seesPrices }: ScenarioOperation['members'][number]): Promise<void> {
    const { opensOn } = this.scenario.winter;
    const engagements = this.#get(EngagementService);
    const consultantEmail = this.scenario.people.find((one) => one.key === person)?.email;
    const offered = await this.#in(this.#asker(this.operation.owner, opensOn), operationId, (tenant) =>
      engagements.offer(tenant, {
        params: { operationId },
        body: offerEngagement.body!.parse({ consultantEmail, seesPrices, note: 'Rations and trials for the winter' }),
      }),
    );
    const accepted = await this.#get(Database).write(this.#asker(person, opensOn), (tenant) =>
      engagements.accept(tenant, {
        params: { engagementId: offered.id },
        body: { code: offered.code ?? '' },
        expectedVersion: offered.version,
      }),
    );
    await this.#get(Database).writeIn(this.#asker(this.operation.owner, opensOn), operationId, (tenant) =>
      this.#get(MembershipService).confirm(tenant, {
        params: { operationId, membershipId: accepted.membershipId ?? '' },
        expectedVersion: 1,
      }),
    );
  }

  /** Trials are created where the scenario says so. Their budget needs prices, so the owner plans them. */
  placeForTrials(): TrialDemoPlace | undefined {
    const [ranch] = this.operation.ranches;
    if (this.operation.hasTrials !== true || ranch === undefined) return undefined;
    const recorderId = this.#person(this.operation.recordedBy);
    return {
      operationId: this.#id(this.operation.key),
      ranchId: this.#id(ranch.key),
      plannerId: this.#person(this.operation.owner),
      recorderId,
      handId: recorderId,
    };
  }

  /** The year of the hay books; the owner closes it if there is no accountant. */
  placeForBooks(): BooksDemoPlace {
    const accountant = this.operation.members.find((one) => one.role === 'accountant')?.person ?? this.operation.owner;
    return {
      operationId: this.#id(this.operation.key),
      recorderId: this.#person(this.operation.recordedBy),
      accountantId: this.#person(accountant),
      herds: this.operation.herds.map(({ key, wastePercent }) => ({ herdId: this.#id(key), wastePercent })),
      idOf: (key) => this.#id(key),
    };
  }

  /** Rations, weather and water, where a nutritionist is engaged. */
  placeForDesk(): DeskDemoPlace | undefined {
    const member = (role: string): string | undefined =>
      this.operation.members.find((one) => one.role === role)?.person;
    const nutritionist = member('nutritionist');
    if (nutritionist === undefined) return undefined;
    const { winter } = this.scenario;
    return {
      operationId: this.#id(this.operation.key),
      nutritionistId: this.#person(nutritionist),
      managerId: this.#person(member('manager') ?? this.operation.owner),
      handId: this.#person(member('hand') ?? this.operation.recordedBy),
      from: winter.feedFrom,
      until: winter.feedUntil,
      ranchIds: this.operation.ranches.map((ranch) => this.#id(ranch.key)),
      placeIds: [
        ...this.operation.ranches.flatMap((ranch) => ranch.places),
        ...this.operation.herds.flatMap(({ place }) => (typeof place === 'string' ? [] : [place])),
      ].map(({ key }) => this.#id(key)),
      herds: this.operation.herds.map((herd) => ({
        herdId: this.#id(herd.key),
        herd: herd.name,
        perHead: herd.perHead,
        unit: herd.unit ?? 'lb',
        wastePercent: herd.wastePercent,
        layers: herd.layers.map((layer) => ({ role: layer.role, lotId: this.#id(layer.lot), share: layer.share })),
        freeChoice: this.#freeChoice.get(herd.key),
      })),
    };
  }

  async #hay(operationId: string, lot: ScenarioLot): Promise<void> {
    const { purchase, test } = lot;
    const price =
      purchase.per === 'bale'
        ? { basis: 'per-bale', amount: purchase.price }
        : purchase.per === 'lot'
          ? { basis: 'lump-sum', amount: purchase.price }
          : { basis: 'per-mass', amount: purchase.price, per: purchase.per };
    const mass = (value: string): { value: string; unit: string } => ({ value, unit: purchase.unit });
    const ticket = await this.#in(this.#asker(this.operation.recordedBy, purchase.on), operationId, (tenant) =>
      this.#get(HayPurchaseService).create(tenant, {
        params: { operationId },
        body: createHayPurchase.body!.parse({
          vendor: purchase.vendor,
          purchasedOn: purchase.on,
          baleCount: purchase.bales,
          price,
          freight: purchase.freight,
          moisturePercent: purchase.moisture,
          weight: {
            basis: 'weighed-bales',
            meanBaleWeight: mass(purchase.meanBale),
            balesWeighed: purchase.weighed,
            standardDeviation: mass(purchase.sd),
          },
          lot: {
            name: lot.name,
            ranchId: this.#id(lot.ranch),
            placeId: this.#id(lot.place),
            hayKind: lot.hayKind,
            cutting: lot.cutting,
            harvestedOn: lot.harvestedOn,
            baleForm: lot.baleForm,
            storageMethod: lot.storageMethod,
            storedSince: purchase.on,
          },
        }),
        query: {},
      }),
    );
    this.#ids.set(lot.key, ticket.hayLotId);
    this.#ids.set(`${lot.key} ticket`, ticket.id);
    await this.#observations(operationId, ticket.hayLotId, lot);
    if (test === undefined) return;
    const analysis = Object.fromEntries(
      Object.entries(test.values).map(([name, value]) => [
        name,
        { value, unit: Object.keys(labReport(name as LabNutrient).typedIn)[0] },
      ]),
    );
    await this.#labTest(operationId, {
      hayLotId: ticket.hayLotId,
      lab: test.lab,
      sampledOn: test.on,
      method: test.method,
      basis: 'dry-matter',
      cores: test.cores,
      balesSampled: test.cores,
      analysis,
    });
  }

  /** What a lab found, or what a tag guarantees. */
  async #labTest(operationId: string, test: { sampledOn: string } & Record<string, unknown>): Promise<void> {
    await this.#in(this.#asker(this.operation.recordedBy, test.sampledOn), operationId, (tenant) =>
      this.#get(LabTestService).create(tenant, {
        params: { operationId },
        body: createLabTest.body!.parse(test),
      }),
    );
  }

  /** Bags from a store, and the tag entered as the guaranteed analysis that it is. */
  async #mineral(
    operationId: string,
    { name, ranch, herd, ouncesPerHead, purchase, label }: ScenarioMineral,
  ): Promise<void> {
    const bought = this.#asker(this.operation.recordedBy, purchase.on);
    const ticket = await this.#in(bought, operationId, (tenant) =>
      this.#get(HayPurchaseService).create(tenant, {
        params: { operationId },
        body: createHayPurchase.body!.parse({
          vendor: purchase.vendor,
          purchasedOn: purchase.on,
          baleCount: purchase.bags,
          price: { basis: 'per-bale', amount: purchase.pricePerBag },
          freight: purchase.freight,
          weight: {
            basis: 'net',
            net: { value: String(purchase.bags * Number(purchase.bag)), unit: purchase.unit },
          },
          lot: {
            name,
            ranchId: this.#id(ranch),
            hayKind: 'mineral',
            baleForm: 'small-square',
            storageMethod: 'under-roof',
            storedSince: purchase.on,
          },
        }),
        query: {},
      }),
    );
    await this.#labTest(operationId, {
      hayLotId: ticket.hayLotId,
      lab: 'Tag on the bag',
      sampledOn: purchase.on,
      method: 'label',
      basis: 'as-received',
      analysis: label,
    });
    this.#freeChoice.set(herd, { lotId: ticket.hayLotId, ouncesPerHead });
  }

  async #observations(operationId: string, hayLotId: string, { observations }: ScenarioLot): Promise<void> {
    for (const observation of observations)
      await this.#in(this.#asker(this.operation.recordedBy, observation.seenOn), operationId, (tenant) =>
        this.#get(HayObservationService).create(tenant, {
          params: { operationId },
          query: {},
          body: createHayObservation.body!.parse({ ...observation, hayLotId }),
        }),
      );
  }

  async #herd(operationId: string, herd: ScenarioHerd): Promise<void> {
    const mass = massesOf(herd);
    const placeId = await this.#placeOf(operationId, herd);
    const begin = this.#asker(this.operation.recordedBy, this.scenario.winter.opensOn);
    const made = await this.#in(begin, operationId, (tenant) =>
      this.#get(HerdService).create(tenant, {
        params: { operationId },
        body: createHerd.body!.parse({
          name: herd.name,
          ranchId: this.#id(herd.ranch),
          placeId,
          cattleClass: herd.cattleClass,
          sex: herd.sex,
          bodyWeight: mass(herd.bodyWeight),
          matureWeight: mass(herd.matureWeight),
          bodyCondition: herd.bodyCondition,
          bredOn: herd.bredOn,
          targetDailyGain: mass(herd.targetGain),
        }),
        query: {},
      }),
    );
    this.#ids.set(herd.key, made.id);
    await this.#head(operationId, made.id, herd);
    await this.#money(operationId, made.id, herd);
    await this.#events(operationId, made.id, herd);
    await this.#weights(operationId, made.id, herd);
    await this.#feedings(operationId, made.id, herd);
  }

  async #head(operationId: string, herdId: string, herd: ScenarioHerd): Promise<void> {
    const mass = massesOf(herd);
    const first = { on: '2025-11-01', kind: 'in', head: herd.head, mean: herd.bodyWeight, price: herd.bought };
    const changes = [first, ...herd.changes];
    for (const change of changes) {
      await this.#in(this.#asker(this.operation.recordedBy, change.on), operationId, (tenant) =>
        this.#get(HeadChangeService).create(tenant, {
          params: { operationId, herdId },
          body: createHeadChange.body!.parse({
            kind: change.kind,
            head: change.head,
            happenedOn: change.on,
            meanWeight: mass(change.mean),
            price: change.price,
          }),
          query: {},
        }),
      );
    }
  }

  /** Bills of a herd, and what was planned of its money. */
  async #money(operationId: string, herdId: string, { costs, budget }: ScenarioHerd): Promise<void> {
    for (const { on, ...cost } of costs)
      await this.#in(this.#asker(this.operation.recordedBy, on), operationId, (tenant) =>
        this.#get(HerdCostService).create(tenant, {
          params: { operationId },
          query: {},
          body: createHerdCost.body!.parse({ herdId, happenedOn: on, ...cost }),
        }),
      );
    if (budget === undefined) return;
    const accountant = this.operation.members.find((one) => one.role === 'accountant')?.person ?? this.operation.owner;
    for (const [line, months] of Object.entries(budget.lines))
      for (const [month, amount] of Object.entries(months))
        await this.#in(this.#asker(accountant, budget.on), operationId, (tenant) =>
          this.#get(MoneyBudgetService).create(tenant, {
            params: { operationId },
            body: createBudgetEntry.body!.parse({ herdId, month, line, amount }),
          }),
        );
  }

  /** The place of a herd: one of its ranch, or its own, which comes with it. */
  async #placeOf(operationId: string, { place, ranch }: ScenarioHerd): Promise<string> {
    if (typeof place === 'string') return this.#id(place);
    const { key, ...described } = place;
    const begin = this.#asker(this.operation.recordedBy, this.scenario.winter.opensOn);
    const made = await this.#in(begin, operationId, (tenant) =>
      this.#get(RanchService).createPlace(tenant, {
        params: { operationId },
        query: {},
        body: createPlace.body!.parse({ ranchId: this.#id(ranch), ...described }),
      }),
    );
    this.#ids.set(key, made.id);
    return made.id;
  }

  /** What happened before the books began is entered with the herd. */
  async #events(operationId: string, herdId: string, herd: ScenarioHerd): Promise<void> {
    const { opensOn } = this.scenario.winter;
    for (const event of herd.events) {
      const enteredOn = event.happenedOn < opensOn ? opensOn : event.happenedOn;
      await this.#in(this.#asker(this.operation.recordedBy, enteredOn), operationId, (tenant) =>
        this.#get(HerdEventService).create(tenant, {
          params: { operationId, herdId },
          body: createHerdEvent.body!.parse(event),
          query: {},
        }),
      );
    }
  }

  async #weights(operationId: string, herdId: string, herd: ScenarioHerd): Promise<void> {
    const mass = massesOf(herd);
    for (const weighIn of herd.weights) {
      await this.#in(this.#asker(this.operation.recordedBy, weighIn.on), operationId, (tenant) =>
        this.#get(WeighInService).create(tenant, {
          params: { operationId },
          body: createWeighIn.body!.parse({
            scope: 'group',
            herdId,
            weighedOn: weighIn.on,
            fill: weighIn.fill,
            head: weighIn.head,
            measure: 'mean',
            weight: mass(weighIn.mean),
            scale: 'Chute scale',
          }),
          query: {},
        }),
      );
    }
  }

  async #feedings(operationId: string, herdId: string, herd: ScenarioHerd): Promise<void> {
    const { winter, randomSeed } = this.scenario;
    const mass = massesOf(herd);
    const recorder = this.#asker(this.operation.recordedBy, winter.feedUntil);
    const freeChoice = this.#freeChoice.get(herd.key);
    await this.#get(Database).writeIn(recorder, operationId, async (tenant: OperationTenant) => {
      for (const feeding of winterFeedings(herd, winter, randomSeed + this.#ids.size)) {
        const dated = { ...tenant, moment: evening(feeding.on) };
        await this.#get(FeedingService).write(
          dated,
          createFeeding.body!.parse({
            herdId,
            fedOn: feeding.on,
            headFed: feeding.head,
            method: herd.method,
            weather: feeding.weather,
            wasted: mass(feeding.wasted),
            layers: feeding.layers.map((layer, index) => ({
              role: layer.role,
              parts: [
                { hayLotId: this.#id(layer.lot), weight: { value: layer.weight, unit: herd.unit ?? 'lb' } },
                // By what they are expected to take, as a confirmed sheet draws it.
                ...(freeChoice === undefined || index < feeding.layers.length - 1
                  ? []
                  : [
                      {
                        hayLotId: freeChoice.lotId,
                        weight: { value: String(feeding.head * Number(freeChoice.ouncesPerHead)), unit: 'oz' },
                        freeChoice: true,
                      },
                    ]),
              ],
            })),
          }),
        );
      }
      return {};
    });
  }

  #get<T>(type: new (...parts: never[]) => T): T {
    return this.application.get(type, { strict: false });
  }

  #id(key: string): string {
    const id = this.#ids.get(key);
    if (id === undefined) throw new Error(`The scenario names "${key}" before it exists`);
    return id;
  }

  #person(key: string): string {
    const id = this.people.get(key);
    if (id === undefined) throw new Error(`The scenario has no person "${key}"`);
    return id;
  }

  #asker(person: string, on: string): Asker {
    return demoAsker(this.#person(person), evening(on));
  }

  #in<T>(asker: Asker, operationId: string, work: (tenant: OperationTenant) => Promise<T>): Promise<T> {
    return writeAs(this.application, asker, operationId, work);
  }
}

/** Weights of this herd, in the unit that its ranch weighs in. */
function massesOf({ unit = 'lb' }: ScenarioHerd): (value: string | undefined) => object | undefined {
  return (value) => (value === undefined ? undefined : { value, unit });
}

/** Entries are made in the evening of their day. */
function evening(on: string): Date {
  return new Date(`${on}T23:30:00Z`);
}
