import { Injectable } from '@nestjs/common';
import { daysBetween } from '../../core/time/calendar-day.js';
import type { HayKind } from '../../core/feeds/hay-kinds.data.js';
import { feedKindOf } from '../../core/feeds/other-feeds.data.js';
import { looseDensityOf } from '../../core/feeds/loose-density.js';
import { rationLotOf } from '../../core/ration/ration-lot.js';
import type { HayObservation, ObservedLot } from '../../core/cautions/hay-observations.js';
import type { LotTesting } from '../../core/cautions/lab-tests.js';
import type { StatedValue } from '../../core/laying/layer-shares.js';
import type { RationLot } from '../../core/ration/ration.js';
import { Mass } from '../../core/units/mass.js';
import type { PricePerMass } from '../../core/units/money.js';
import { endOfDayIn } from '../../platform/clock.js';
import type { Books } from '../../platform/database/books.js';
import type { OperationTenant, Tenant } from '../../platform/database/types.js';
import { together } from '../../platform/database/together.js';
import { CostingService } from '../../records/hay/costing/costing.service.js';
import { HayLotRead, type HayLotRow } from '../../records/hay/lots/hay-lot.read.js';
import {
  type KnownLabTest,
  type KnownLabTests,
  LabTestRead,
  testedAs,
  weighable,
} from '../../records/hay/lab-tests/lab-test.read.js';
import { HayObservationRead, observedLotOf } from '../../records/hay/observations/hay-observation.read.js';
import { StockRead } from '../../records/hay/stock/stock.read.js';

/**
 * A lot as the desk needs it on a day: its contents, what is left, how it is stored and, for those who may see it, its
 * cost.
 */
export interface LotFacts {
  row: HayLotRow;
  kind: HayKind;
  lot: RationLot;
  /** Newest sample known on the day; null where book values are used. */
  testedOn: string | null;
  /** The lot that was tested, where this one was split off from it and has no test of its own. */
  testTakenFrom: { hayLotId: string; hayLot: string } | null;
  cores: number | null;
  /** What came in that its newest test does not cover. */
  cameInAfter: Mass;
  /** Observations of it up to the day. */
  observed: ObservedLot;
  balance: Mass;
  baleWeight: Mass | null;
  looseDensity: StatedValue;
}

function lotFactsOf({
  row,
  tests,
  forDangers,
  observations,
  balance,
  cameInAfter,
  baleWeight,
  price,
}: {
  row: HayLotRow;
  tests: readonly KnownLabTest[];
  forDangers: readonly KnownLabTest[];
  observations: readonly HayObservation[];
  balance: Mass;
  cameInAfter: Mass;
  baleWeight: Mass | null;
  price?: PricePerMass | undefined;
}): LotFacts {
  const hayKind = row.hay_kind;
  return {
    row,
    kind: feedKindOf(hayKind),
    lot: rationLotOf({
      lotId: row.id,
      lotName: row.name,
      hayKind,
      tests: tests.map(weighable),
      forDangers: forDangers.map(weighable),
      price,
    }),
    testedOn: tests[0]?.sampledOn ?? null,
    testTakenFrom: testedAs(row.id, tests),
    cores: tests[0]?.cores ?? null,
    observed: observedLotOf(row, observations, tests),
    balance,
    cameInAfter,
    baleWeight,
    looseDensity: looseDensityOf({ hayKind }),
  };
}

/** Dry matter of a lot on a day. */
export interface LotDryMatter extends Pick<LotFacts, 'testTakenFrom'> {
  /** Name of the lot. */
  lot: string;
  percent: number;
  origin: RationLot['dryMatterPercent']['origin'];
}

/** A lot on a day, as it goes into a ration. */
export type LotAsFed = Pick<LotFacts, 'row' | 'lot' | 'looseDensity' | 'testTakenFrom'>;

/** How well the lots of a ration are tested, for the cautions. */
export function testingOf(facts: Iterable<LotFacts>, on: string, inUse: boolean): LotTesting[] {
  return [...facts].map(({ lot, testedOn, cores, balance, cameInAfter }) => ({
    lotId: lot.lotId,
    lotName: lot.lotName,
    daysSinceSample: testedOn === null ? null : Math.max(0, daysBetween(testedOn, on)),
    daysUntilFed: inUse ? 0 : null,
    balesCored: cores,
    lotKg: balance.isPositive() ? balance.kilograms.toNumber() : null,
    cameInAfterKg: cameInAfter.kilograms.toNumber(),
    ...(lot.feedGroup === undefined ? {} : { feedGroup: lot.feedGroup }),
  }));
}

/** Which results count: all received by now, or only those known at the end of the day asked about. */
export type TestsKnown = 'now' | 'then';

/** Samples taken after the day do not count for it, whenever their results came in. */
function knownUntil(
  moment: Date,
  timeZone: string,
  on: string,
  tests: TestsKnown,
): { instant: string; sampledUntil: string } {
  const endOfDay = endOfDayIn(timeZone, on);
  const instant = tests === 'then' || endOfDay > moment ? endOfDay : moment;
  return { instant: instant.toISOString(), sampledUntil: on };
}

/** When each lot was last sampled. A label covers every bag of the feed, whenever it was bought. */
const samplesOf = ({ own }: KnownLabTests): { lotId: string; sampledOn: string | null }[] =>
  [...own].flatMap(([lotId, [newest]]) =>
    newest === undefined || newest.method === 'label'
      ? []
      : [{ lotId, sampledOn: newest.hayLotId === lotId ? newest.sampledOn : null }],
  );

/** What is on record about lots, by lot. */
interface KnownOfLots {
  tests: KnownLabTests;
  observations: ReadonlyMap<string, readonly HayObservation[]>;
  balances: ReadonlyMap<string, Mass>;
  cameInAfter: ReadonlyMap<string, Mass>;
  baleWeights?: ReadonlyMap<string, Mass>;
  prices?: ReadonlyMap<string, PricePerMass>;
}

function factsOfRows(rows: readonly HayLotRow[], known: KnownOfLots): Map<string, LotFacts> {
  return new Map(
    rows.map((row) => [
      row.id,
      lotFactsOf({
        row,
        tests: known.tests.own.get(row.id) ?? [],
        forDangers: known.tests.forDangers.get(row.id) ?? [],
        observations: known.observations.get(row.id) ?? [],
        balance: known.balances.get(row.id) ?? Mass.zero,
        cameInAfter: known.cameInAfter.get(row.id) ?? Mass.zero,
        baleWeight: known.baleWeights?.get(row.id) ?? null,
        price: known.prices?.get(row.id),
      }),
    ]),
  );
}

@Injectable()
export class LotFactsRead {
  constructor(
    private readonly lots: HayLotRead,
    private readonly labTests: LabTestRead,
    private readonly observations: HayObservationRead,
    private readonly stock: StockRead,
    private readonly costing: CostingService,
  ) {}

  /**
   * Facts of the lots that a body or a ration names, at the end of a day. @throws Problem not-found with a pointer to
   * each lot that does not exist.
   */
  async named(
    tenant: OperationTenant,
    named: readonly { id: string; pointer: string }[],
    on: string,
    tests: TestsKnown = 'now',
  ): Promise<Map<string, LotFacts>> {
    const lotIds = [...new Set(named.map((one) => one.id))];
    const [rows, known] = await together(this.lots.named(tenant, named), this.#known(tenant, lotIds, on, tests));
    return factsOfRows([...rows.values()], known);
  }

  /** Every lot with hay left at the end of a day. */
  async onHand(tenant: OperationTenant, on: string, tests: TestsKnown = 'now'): Promise<Map<string, LotFacts>> {
    const [balances, lots] = await together(this.stock.balances(tenant, { untilDay: on }), this.lots.all(tenant));
    const rows = lots.filter((row) => balances.get(row.id)?.isPositive() === true);
    return factsOfRows(
      rows,
      await this.#known(
        tenant,
        rows.map((row) => row.id),
        on,
        tests,
        balances,
      ),
    );
  }

  /** Facts of lots of several operations on one day, without bale weights and prices. */
  async across(
    tenant: Pick<Tenant, 'db' | 'moment'>,
    operations: readonly { id: string; time_zone: string }[],
    lotIds: readonly string[],
    on: string,
    tests: TestsKnown = 'now',
  ): Promise<Map<string, LotFacts>> {
    const books = { db: tenant.db, operationIds: operations.map((one) => one.id) };
    const until = operations.map((one) => ({
      operationId: one.id,
      ...knownUntil(tenant.moment, one.time_zone, on, tests),
    }));
    const [rows, known, observations, balances] = await together(
      this.lots.byId(books, lotIds),
      this.labTests.known(tenant.db, until, lotIds),
      this.observations.known(tenant.db, until, lotIds),
      this.stock.balances(books, { lotIds, untilDay: on }),
    );
    const cameInAfter = await this.stock.cameInSince(books, samplesOf(known), on);
    return factsOfRows(rows, { tests: known, observations, balances, cameInAfter });
  }

  /** What a lot is on any day by its own tests, as every judgement of that day takes it, without what is left of it. */
  async asFedThrough(books: Books, lotIds: readonly string[]): Promise<(lotId: string, day: string) => LotAsFed> {
    const [rows, testsOf] = await together(this.lots.byId(books, lotIds), this.labTests.through(books, lotIds));
    const lots = new Map(rows.map((row) => [row.id, { row, byTests: new Map<readonly KnownLabTest[], LotAsFed>() }]));
    return (lotId, day) => {
      const found = lots.get(lotId);
      if (found === undefined) throw new RangeError(`The lot ${lotId} was not gathered`);
      const tests = testsOf(lotId, day);
      const known = found.byTests.get(tests);
      if (known !== undefined) return known;
      const { row, byTests } = found;
      const { name: lotName, hay_kind: hayKind } = row;
      const asFed = {
        row,
        lot: rationLotOf({ lotId, lotName, hayKind, tests: tests.map(weighable) }),
        looseDensity: looseDensityOf({ hayKind }),
        testTakenFrom: testedAs(lotId, tests),
      };
      byTests.set(tests, asFed);
      return asFed;
    };
  }

  /** Mean weight of a bale of each lot that came in by count. */
  baleWeights(books: Books, lotIds: readonly string[]): Promise<Map<string, Mass>> {
    return this.stock.baleWeights(books, lotIds);
  }

  /** The dry matter alone, on any day. */
  async dryMatterThrough(
    books: Books,
    lotIds: readonly string[],
  ): Promise<(lotId: string, day: string) => LotDryMatter> {
    const lotOn = await this.asFedThrough(books, lotIds);
    return (lotId, day) => {
      const { lot, testTakenFrom } = lotOn(lotId, day);
      const { value, origin } = lot.dryMatterPercent;
      return { lot: lot.lotName, percent: value, origin, testTakenFrom };
    };
  }

  async #known(
    tenant: OperationTenant,
    lotIds: readonly string[],
    on: string,
    testsKnown: TestsKnown,
    known?: ReadonlyMap<string, Mass>,
  ): Promise<KnownOfLots> {
    const { operationId } = tenant;
    const until = [{ operationId, ...knownUntil(tenant.moment, tenant.operation.timeZone, on, testsKnown) }];
    const [tests, observations, balances, baleWeights, prices] = await together(
      this.labTests.known(tenant.db, until, lotIds),
      this.observations.known(tenant.db, until, lotIds),
      known === undefined ? this.stock.balances(tenant, { lotIds, untilDay: on }) : Promise.resolve(known),
      this.stock.baleWeights(tenant, lotIds),
      tenant.may('prices', tenant.operationId) && lotIds.length > 0
        ? this.costing.prices(tenant, on, lotIds)
        : Promise.resolve(new Map<string, PricePerMass>()),
    );
    const cameInAfter = await this.stock.cameInSince(tenant, samplesOf(tests), on);
    return { tests, observations, balances, cameInAfter, baleWeights, prices };
  }
}
