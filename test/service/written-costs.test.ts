/*
 * What hay cost is written down with each entry. The core's replay of the whole ledger is the judge: after random
 * histories under each method, entered in no order, with reversals, later bills, moves, losses, counts at a price and
 * without, closings and changes of the method, some of them at the same time, every entry that is written must cost
 * what the replay says, and every report made of it must say what it says of a replay, to the cent. What a report of an
 * earlier instant says must be what it said at that instant.
 *
 * RICKYARD_HISTORIES=<n> runs that many, RICKYARD_FIRST_HISTORY=<n> begins with another one: a long search in slices.
 */
import { BalancesService } from '../../src/office/balances/balances.service.js';
import { ClosingStore } from '../../src/office/closings/closing.store.js';
import { HayPositionService } from '../../src/office/hay-position/hay-position.service.js';
import { JournalPages } from '../../src/office/journal/journal-pages.service.js';
import { JournalService } from '../../src/office/journal/journal.service.js';
import { SeasonCostService } from '../../src/office/season-cost/season-cost.service.js';
import { KeptBooksRead } from '../../src/records/hay/costing/kept-books.read.js';
import { lastClosing } from '../../src/records/kit/posting.read.js';
import { CostWriting } from '../../src/records/hay/costing/cost-writing.js';
import { CostingService } from '../../src/records/hay/costing/costing.service.js';
import { CostingRead } from '../../src/records/hay/costing/costing.read.js';
import { WrittenCostsService } from '../../src/records/hay/costing/written-costs.service.js';
import { type NewMovement, StockStore } from '../../src/records/hay/stock/stock.store.js';
import { Mass } from '../../src/core/units/mass.js';
import { Money } from '../../src/core/units/money.js';
import type { OperationTenant } from '../../src/platform/database/types.js';
import type { Asker } from '../../src/platform/http/asker.js';
import { Problem } from '../../src/platform/http/problem.js';
import { newId } from '../../src/platform/identifiers.js';
import { examples, seed } from '../support/examples.js';
import { join, type Person, person } from '../support/people.js';
import { openWorld, type World } from '../support/world.js';

const HISTORIES = Number(process.env['RICKYARD_HISTORIES'] ?? examples(8));
const FIRST = Number(process.env['RICKYARD_FIRST_HISTORY'] ?? 0);
const STEPS = 20;
/** Of the days of a history. */
const MIDDLE = 45;
const METHODS = ['specific-lot', 'moving-average', 'fifo'] as const;
const KINDS = ['meadow', 'alfalfa'];

let yard: World;
let keeper: Person;
let costs: WrittenCostsService;
let writing: CostWriting;
let stock: StockStore;
beforeAll(async () => {
  yard = await openWorld();
  keeper = await person(yard, 'keeper');
  const { application } = yard;
  [costs, writing, stock] = [
    application.get(WrittenCostsService),
    application.get(CostWriting),
    application.get(StockStore),
  ];
  // So few that a history has several stretches of days.
  application.get(JournalPages).rowsAtOnce = 2;
});
afterAll(() => yard.close());

/** Uniform numbers from 0 to below 1 of a stated seed (mulberry32, public domain). */
function seeded(start: number): () => number {
  let state = start >>> 0;
  return () => {
    state = (state + 0x6d2b79f5) >>> 0;
    let mixed = Math.imul(state ^ (state >>> 15), state | 1);
    mixed ^= mixed + Math.imul(mixed ^ (mixed >>> 7), mixed | 61);
    return ((mixed ^ (mixed >>> 14)) >>> 0) / 4_294_967_296;
  };
}

interface Entered {
  kind: 'hay-purchase' | 'feeding' | 'hay-sale' | 'hay-transfer' | 'storage-shrink' | 'stock-count' | 'late-cost';
  id: string;
  day: number;
  movementId?: string;
  lotId: string;
  billed: boolean;
  reversed: boolean;
}

/** One operation and what was entered in it, in no order. */
type Position = Omit<Awaited<ReturnType<HayPositionService['compute']>>, 'knownAt' | 'costingMethod'>;

const howItCame = ({ flags, reconciliation }: Position): Partial<Position> => ({ flags, reconciliation });

class History {
  readonly id = newId();
  readonly ranchId = newId();
  readonly herdId = newId();
  readonly lots: { id: string; kind: string }[] = [];
  readonly entered: Entered[] = [];
  /** What was reported at an instant, to be reported again as known then. */
  readonly told: { at: string; on: string; method: string; position: Position }[] = [];
  refused = 0;
  closed = 0;
  compared = 0;
  /** Changes of the costing method between days of the journal. */
  changesTold = 0;
  /** Stretches of the journal that went on where the one before had ended. */
  goneOn = 0;

  constructor(private readonly random: () => number) {}

  async open(): Promise<void> {
    await yard.ownerPool.query(
      "INSERT INTO operation (id, name, unit_preference, currency, time_zone, costing_method) VALUES ($1, 'Winter', " +
        "'us', 'USD', 'UTC', $2)",
      [this.id, this.pick(METHODS)],
    );
    await yard.ownerPool.query("INSERT INTO ranch (operation_id, id, name, time_zone) VALUES ($1, $2, 'Home', 'UTC')", [
      this.id,
      this.ranchId,
    ]);
    await yard.ownerPool.query(
      'INSERT INTO herd (operation_id, id, ranch_id, name, sex, breed_type, body_weight_kg, body_weight_value, ' +
        "body_weight_unit) VALUES ($1, $2, $3, 'Cows', 'cow', 'bos-taurus-beef', 590, '590', 'kg')",
      [this.id, this.herdId, this.ranchId],
    );
    await join(yard, keeper, this.id, 'owner');
  }

  pick<T>(some: readonly T[]): T {
    return some[Math.floor(this.random() * some.length)] as T;
  }

  /** Entries of one transaction; what the ledger refuses for want of hay leaves nothing behind. */
  async in(work: (tenant: OperationTenant) => Promise<unknown>): Promise<boolean> {
    try {
      await yard.database.writeIn(asker(), this.id, work);
      return true;
    } catch (error) {
      if (!(error instanceof Problem) || !['lot-short', 'period-closed'].includes(error.code)) throw error;
      this.refused += 1;
      return false;
    }
  }

  /** Half of the entries come after all others, the rest on any day of three months. */
  day(from = 0): number {
    const last = Math.max(from, ...this.entered.map((one) => one.day));
    return this.random() < 0.5 ? last : from + Math.floor(this.random() * (90 - from));
  }

  mass(most: number): Mass {
    return Mass.kilograms((this.random() * most + 1).toFixed(3));
  }

  money(most: number): Money {
    return Money.of((this.random() * most + 0.01).toFixed(2), 'USD');
  }

  movement(kind: NewMovement['kind'], lotId: string, change: Mass, day: number, source: Entered): NewMovement {
    return {
      lotId,
      kind,
      change,
      typedValue: change.kilograms.toFixed(),
      typedUnit: 'kg',
      on: dayText(day),
      timeZone: 'UTC',
      ranchId: this.ranchId,
      placeId: null,
      ...(kind === 'feed' ? { herdId: this.herdId } : {}),
      source: { kind: source.kind, id: source.id },
      ...(this.random() < 0.2 ? { at: `${dayText(day)}T12:00:00.000Z` } : {}),
    };
  }

  async newLot(kind: string): Promise<{ id: string; kind: string }> {
    const one = { id: newId(), kind };
    await yard.ownerPool.query(
      'INSERT INTO hay_lot (operation_id, id, ranch_id, name, category, hay_kind, origin, bale_form, storage_method) ' +
        "VALUES ($1, $2, $3, $4, 'hay', $5, 'purchased', 'round', 'tarp')",
      [this.id, one.id, this.ranchId, `Lot ${this.lots.length}`, kind],
    );
    this.lots.push(one);
    return one;
  }

  entry(kind: Entered['kind'], day: number, lotId: string): Entered {
    return { kind, id: newId(), day, lotId, billed: false, reversed: false };
  }

  async enter(one: Entered, work: (tenant: OperationTenant) => Promise<unknown>): Promise<void> {
    if (await this.in(work)) this.entered.push(one);
  }

  async step(what: number): Promise<void> {
    const lot = this.lots.length === 0 ? undefined : this.pick(this.lots);
    if (what <= 3 || lot === undefined) return this.buy();
    if (what <= 9) return this.feed(lot.id);
    if (what <= 12) return this.take(lot.id, what);
    if (what === 13) return this.move(lot);
    if (what <= 15) return this.bill();
    if (what <= 18) return this.reverse();
    if (what === 21) return this.close();
    return what === 19 ? this.otherMethod() : this.atOnce();
  }

  async buy(): Promise<void> {
    const kind = this.pick(KINDS);
    const same = this.lots.filter((one) => one.kind === kind);
    const lot = same.length > 0 && this.random() < 0.3 ? this.pick(same) : await this.newLot(kind);
    const one = this.entry('hay-purchase', this.day(), lot.id);
    await this.enter(one, async (tenant) => {
      const movement = this.movement('purchase', lot.id, this.mass(9000), one.day, one);
      [one.movementId] = (await stock.add(tenant, [movement])) as [string];
      const { movementId } = one;
      await stock.addCosts(tenant, [
        {
          lotId: lot.id,
          movementId,
          kind: 'price',
          amount: this.money(3000),
          on: dayText(one.day),
          source: { kind: one.kind, id: one.id },
        },
      ]);
    });
  }

  async feed(lotId: string): Promise<void> {
    const one = this.entry('feeding', this.day(), lotId);
    const other = this.pick(this.lots).id;
    await this.enter(one, async (tenant) => {
      const lots = this.random() < 0.3 ? [lotId, other] : [lotId];
      const tips = this.random() < 0.9 ? await writing.tips(tenant, lots) : undefined;
      await stock.add(
        tenant,
        lots.map((id) => this.movement('feed', id, this.mass(900).negated(), one.day, one)),
        tips,
      );
    });
  }

  async take(lotId: string, what: number): Promise<void> {
    const [kind, source] = (
      [
        ['sale', 'hay-sale'],
        ['shrink', 'storage-shrink'],
        ['count-adjustment', 'stock-count'],
      ] as const
    )[(what - 10) as 0 | 1 | 2];
    const one = this.entry(source, this.day(), lotId);
    const mass = this.mass(700);
    const change = kind === 'count-adjustment' && this.random() < 0.5 ? mass : mass.negated();
    const treatment = this.random() < 0.5 ? 'expense' : 'into-unit-cost';
    await this.enter(one, async (tenant) => {
      await this.record(tenant, one, treatment, mass);
      await stock.add(tenant, [this.movement(kind, lotId, change, one.day, one)]);
    });
  }

  /** What says whether a difference has a price. */
  async record({ db }: OperationTenant, one: Entered, treatment: 'expense' | 'into-unit-cost', mass: Mass) {
    const head = {
      operation_id: this.id,
      id: one.id,
      hay_lot_id: one.lotId,
      treatment,
      recorded_by: keeper.id,
    } as const;
    const [on, kilograms] = [dayText(one.day), mass.kilograms.toFixed()];
    if (one.kind === 'stock-count')
      await db
        .insertInto('stock_count')
        .values({
          ...head,
          happened_on: on,
          counted_at: `${on}T12:00:00.000Z`,
          counted_kg: kilograms,
          counted_value: kilograms,
          counted_unit: 'kg',
          book_kg: '0',
          reason: 'Counted',
        })
        .execute();
    if (one.kind === 'storage-shrink')
      await db
        .insertInto('storage_shrink')
        .values({
          ...head,
          happened_on: on,
          basis: 'weighed',
          weight_kg: kilograms,
          weight_value: kilograms,
          weight_unit: 'kg',
          reason: 'Wet',
        })
        .execute();
  }

  async move(from: { id: string; kind: string }): Promise<void> {
    const same = this.lots.filter((one) => one.kind === from.kind && one.id !== from.id);
    const to = same.length > 0 ? this.pick(same) : await this.newLot(from.kind);
    const one = this.entry('hay-transfer', this.day(), from.id);
    const mass = this.mass(2000);
    const at = { at: `${dayText(one.day)}T10:00:00.000Z` };
    await this.enter(one, (tenant) =>
      stock.add(tenant, [
        { ...this.movement('transfer-out', from.id, mass.negated(), one.day, one), ...at },
        { ...this.movement('transfer-in', to.id, mass, one.day, one), ...at },
      ]),
    );
  }

  async bill(): Promise<void> {
    const receipts = this.entered.filter((one) => one.kind === 'hay-purchase' && !one.reversed);
    if (receipts.length === 0) return;
    const receipt = this.pick(receipts);
    const one = this.entry('late-cost', this.day(receipt.day), receipt.lotId);
    const [kind] = [this.random() < 0.5 ? ('late-freight' as const) : ('late-charges' as const)];
    await this.enter(one, (tenant) =>
      stock.addCosts(tenant, [
        {
          lotId: receipt.lotId,
          movementId: receipt.movementId ?? '',
          kind,
          amount: this.money(400),
          on: dayText(one.day),
          source: { kind: one.kind, id: one.id },
        },
      ]),
    );
    receipt.billed = true;
  }

  async reverse(): Promise<void> {
    // A receipt's bills are reversed before it; which day each of them has is another matter.
    const open = this.entered.filter((one) => !one.reversed && !one.billed);
    if (open.length === 0) return;
    const one = this.pick(open);
    const id = newId();
    const on = dayText(this.random() < 0.5 ? one.day : this.day(one.day));
    one.reversed = await this.in(async (tenant) => {
      await tenant.db
        .insertInto('reversal')
        .values({
          operation_id: this.id,
          id,
          subject_kind: one.kind,
          subject_id: one.id,
          effective_on: on,
          reason: 'Wrong',
          recorded_by: keeper.id,
        })
        .execute();
      await stock.reverse(tenant, { kind: one.kind, id: one.id }, { id, on, reason: 'Wrong' });
    });
  }

  /** Closes the first half of the days, and goes on under another method; some of what was closed is taken back. */
  async changeOver(): Promise<void> {
    const [present] = await this.read(({ operation }) => Promise.resolve([operation.costingMethod]));
    await this.close(MIDDLE);
    await this.otherMethod(this.pick(METHODS.filter((one) => one !== present)));
    const before = this.entered.filter(({ day }) => day <= MIDDLE).length;
    for (let again = 0; again < before; again += 1) await this.reverse();
    for (let again = 0; again < 4; again += 1) await this.feed(this.pick(this.lots).id);
  }

  async otherMethod(method = this.pick(METHODS)): Promise<void> {
    await this.in(async (tenant) => {
      await writing.beforeOtherMethod(tenant);
      await tenant.db.updateTable('operation').set({ costing_method: method }).where('id', '=', this.id).execute();
      writing.withOtherMethod(tenant, method);
    });
  }

  /** Closes some more weeks, or opens the last ones again; or closes up to a day, if that is still open. */
  async close(upTo?: number): Promise<void> {
    const store = yard.application.get(ClosingStore);
    await this.in(async (tenant) => {
      await store.holdBooks(tenant);
      const last = await lastClosing(tenant);
      if (upTo === undefined && last !== undefined && this.random() < 0.5)
        return store.reopen(tenant, last.id, 'Too early');
      const from = last === undefined ? 0 : 1 + dayNumber(last.until_on);
      if (upTo !== undefined && from > upTo) return;
      await store.insert(tenant, {
        from_on: dayText(from),
        until_on: dayText(upTo ?? from + Math.floor(this.random() * 20)),
        costing_method: tenant.operation.costingMethod,
        note: null,
      });
      this.closed += 1;
    });
  }

  read<T>(work: (tenant: OperationTenant) => Promise<T>): Promise<T> {
    return yard.database.readIn(asker(), this.id, work);
  }

  /** Every report of the office that has a cost of hay in it. */
  reports(
    span: { from: string; until: string },
    lotId: string,
  ): Promise<{ journal: { entries: { kind: string }[] }; journalPages: unknown[] }> {
    const lotIds = this.lots.map((one) => one.id);
    const { application } = yard;
    const [position, journal, season, cards, costing] = [
      application.get(HayPositionService),
      application.get(JournalService),
      application.get(SeasonCostService),
      application.get(BalancesService),
      application.get(CostingService),
    ];
    const units = 'metric' as const;
    return this.read(async (tenant) => ({
      position: await position.compute(tenant, { on: span.until, units }),
      journal: await journal.computeJournal(tenant, { ...span, units }),
      journalPages: await this.journalPages(tenant, span),
      trialBalance: await journal.computeTrialBalance(tenant, { ...span, units }),
      trialBalanceOfAll: await journal.computeTrialBalance(tenant, { until: span.until, units }),
      variances: await journal.computeVariances(tenant, { ...span, units }),
      season: await season.compute(tenant, { ...span, by: 'month', units }),
      card: await cards.card(tenant, { params: { operationId: this.id, hayLotId: lotId }, query: { ...span, units } }),
      prices: [...(await costing.prices(tenant, span.until, lotIds))]
        .map(([id, price]) => `${id} ${price.in('kg').toFixed()}`)
        .sort(),
    }));
  }

  /** The journal page by page, each going on where the one before ended. */
  async journalPages(tenant: OperationTenant, span: { from: string; until: string }): Promise<unknown[]> {
    const journal = yard.application.get(JournalService);
    const limit = 1 + (Number(span.from.slice(-2)) % 7);
    const entries: unknown[] = [];
    for (let cursor: string | null | undefined; cursor !== null;) {
      const query = { ...span, limit, ...(cursor === undefined ? {} : { cursor }) };
      const page = await journal.journal(tenant, { params: { operationId: this.id }, query });
      entries.push(...page.items);
      cursor = page.nextCursor;
    }
    return entries;
  }

  /** Reports of random days, from one on, made of what is kept and of a replay. */
  async compareReports(from = Math.floor(this.random() * 80)): Promise<void> {
    const span = { from: dayText(from), until: dayText(from + Math.floor(this.random() * (92 - from))) };
    const lotId = this.pick(this.lots).id;
    const ledger = yard.application.get(CostingRead);
    const readWritten = ledger.written.bind(ledger);
    const written = jest.spyOn(ledger, 'written');
    const kept = [
      jest.spyOn(yard.application.get(KeptBooksRead), 'before'),
      jest.spyOn(ledger, 'writtenOf'),
      jest.spyOn(ledger, 'lastFed'),
    ] as const;
    const wholeLedger = jest.spyOn(ledger, 'ledger');
    const following = jest.spyOn(yard.application.get(KeptBooksRead), 'following');
    const found = await this.reports(span, lotId);
    const wentOn = await Promise.all(following.mock.results.map((one) => one.value as Promise<unknown>));
    this.goneOn += wentOn.filter((one) => one !== undefined).length;
    // Pages say besides who sold, who bought and what was noted, which are read beside the ledger.
    expect(
      found.journalPages.map((page) => {
        const { vendor: _vendor, buyer: _buyer, memo: _memo, ...entry } = page as Record<string, unknown>;
        return entry;
      }),
    ).toEqual(found.journal.entries);
    this.changesTold += found.journal.entries.filter(({ kind }) => kind === 'costing-method-change').length;
    const whole = wholeLedger.mock.calls.length;
    const sums = await Promise.all(written.mock.results.map((one) => one.value as ReturnType<typeof readWritten>));
    const results = [
      ...(await Promise.all(kept.flatMap((spy) => spy.mock.results.map((one) => one.value as unknown)))),
      ...sums.map(({ costs: ofSpan }) => ofSpan),
    ];
    this.compared += results.filter((one) => one !== undefined).length;
    // What stands written costs no more than its days.
    if (results.every((one) => one !== undefined)) expect(whole).toBe(0);
    for (const spy of kept) spy.mockResolvedValue(undefined);
    written.mockImplementation(async (...asked) => ({ ...(await readWritten(...asked)), costs: undefined }));
    const replayed = await this.reports(span, lotId);
    expect(wholeLedger.mock.calls.length).toBeGreaterThan(whole);
    for (const spy of [...kept, written, wholeLedger, following]) spy.mockRestore();
    expect({ span, ...found }).toEqual({ span, ...replayed });
  }

  async position(on: string, knownAt?: string): Promise<{ method: string; position: Position }> {
    const service = yard.application.get(HayPositionService);
    const {
      knownAt: _,
      costingMethod,
      ...position
    } = await this.read((tenant) => service.compute(tenant, { on, units: 'metric', knownAt }));
    return { method: costingMethod, position };
  }

  /** Keeps what is reported now, to be asked for again. */
  async tell(): Promise<void> {
    const on = dayText(Math.floor(this.random() * 92));
    this.told.push({ at: yard.clock.now().toISOString(), on, ...(await this.position(on)) });
  }

  /**
   * What was told, as known when it was told; under the method that values those days now. Books as known at an instant
   * go by one method from their beginning, so after a change of it what is on hand is the same, and not how it came.
   */
  async compareTold(): Promise<number> {
    let same = 0;
    for (const { at, on, method, position } of this.told) {
      const now = await this.position(on, at);
      if (now.method !== method) continue;
      const asKnown = position.flags.length === 0 ? now.position : { ...now.position, ...howItCame(position) };
      expect({ at, on, position: asKnown }).toEqual({ at, on, position });
      same += 1;
    }
    return same;
  }

  /** Two who feed, or change the method meanwhile: what cannot be written stays due. */
  async atOnce(): Promise<void> {
    const [one, other] = [this.pick(this.lots).id, this.pick(this.lots).id];
    await Promise.all([
      this.feed(one),
      this.feed(other),
      ...(this.random() < 0.2 ? [this.otherMethod()] : []),
      ...(this.random() < 0.3 ? [this.writeAll()] : []),
    ]);
  }

  /** In parts of a few entries; false where something stays due. */
  async writeAll(): Promise<boolean> {
    for (;;) {
      const atLeast = this.pick([1, 3, 8, 2000]);
      const progress = await yard.database.keepBooks(this.id, (books) => costs.writePart(books, atLeast));
      if (progress !== 'more') return progress === 'all';
    }
  }

  async due(): Promise<number> {
    const { rows } = await yard.ownerPool.query<{ count: number }>(
      'SELECT count(*)::int FROM costing_due d JOIN operation o ON o.id = d.operation_id AND o.costing_method = ' +
        'd.costing_method WHERE o.id = $1',
      [this.id],
    );
    return rows[0]?.count ?? 0;
  }

  /**
   * Undefined where the ledger took at one instant what costing, entry by entry, cannot follow (a draw before the hay
   * that arrived with it): a report refuses to replay it, so it must never count as written.
   */
  async differences(): Promise<Awaited<ReturnType<WrittenCostsService['differences']>> | undefined> {
    try {
      return await yard.database.keepBooks(this.id, (books) => costs.differences(books));
    } catch (error) {
      if (!String(error).includes('cannot be costed')) throw error;
      await this.writeAll();
      expect(await this.due()).toBeGreaterThan(0);
      return undefined;
    }
  }
}

function asker(): Asker {
  return {
    personId: keeper.id,
    apiKeyId: undefined,
    moment: yard.clock.now(),
    requestId: 'history',
    address: '127.0.0.1',
    idempotency: undefined,
  };
}

function dayNumber(day: string): number {
  return (Date.parse(day) - Date.UTC(2026, 9, 1)) / 86_400_000;
}

function dayText(day: number): string {
  return new Date(Date.UTC(2026, 9, 1 + day)).toISOString().slice(0, 10);
}

it(`${HISTORIES} random histories cost what a replay of the whole ledger says`, async () => {
  const appended = jest.spyOn(costs, 'append');
  const counts = {
    written: 0,
    refused: 0,
    entered: 0,
    reversed: 0,
    closed: 0,
    dueMeanwhile: 0,
    unfollowed: 0,
    reportsOfWhatIsKept: 0,
    stretchesGoneOn: 0,
    changesTold: 0,
    knownAt: 0,
  };
  for (let index = FIRST; index < FIRST + HISTORIES; index += 1) {
    const random = seeded(seed(`written costs ${index}`));
    const history = new History(random);
    await history.open();
    for (let step = 0; step < STEPS; step += 1) {
      yard.clock.advance({ minutes: 1 });
      await history.step(step < 2 ? 0 : Math.floor(random() * 22));
      if (random() > 0.1) continue;
      counts.dueMeanwhile += (await history.due()) > 0 ? 1 : 0;
      const found = await history.differences();
      expect(found?.differ ?? []).toEqual([]);
      if (found === undefined) continue;
      await history.compareReports();
      await history.tell();
    }
    if (index % 2 === 1) await history.changeOver();
    for (let attempt = 0; attempt < 3 && !(await history.writeAll()); attempt += 1);
    const found = await history.differences();
    if (found === undefined) counts.unfollowed += 1;
    else {
      expect({ index, due: await history.due(), differ: found.differ }).toEqual({ index, due: 0, differ: [] });
      for (let again = 0; again < 2; again += 1) await history.compareReports();
      // Of the days after a change, if there was one; and of that day itself.
      await history.compareReports(MIDDLE + 1);
      counts.knownAt += await history.compareTold();
    }
    counts.written += found?.written ?? 0;
    counts.refused += history.refused;
    counts.closed += history.closed;
    counts.reportsOfWhatIsKept += history.compared;
    counts.stretchesGoneOn += history.goneOn;
    counts.changesTold += history.changesTold;
    counts.entered += history.entered.length;
    counts.reversed += history.entered.filter((one) => one.reversed).length;
  }
  process.stdout.write(
    `${JSON.stringify({ histories: HISTORIES, first: FIRST, ...counts, appended: appended.mock.calls.length })}\n`,
  );
  // Each of them came up often.
  expect(counts.unfollowed).toBeLessThan(HISTORIES / 4);
  expect(appended.mock.calls.length).toBeGreaterThan(HISTORIES);
  expect(counts.reversed).toBeGreaterThan(HISTORIES / 2);
  expect(counts.closed).toBeGreaterThan(HISTORIES / 4);
  expect(counts.knownAt).toBeGreaterThan(HISTORIES / 4);
  expect(counts.written).toBeGreaterThan(8 * HISTORIES);
  // Three times at the end, ten times each.
  expect(counts.reportsOfWhatIsKept).toBeGreaterThan(20 * HISTORIES);
  expect(counts.stretchesGoneOn).toBeGreaterThan(HISTORIES / 4);
  expect(counts.changesTold).toBeGreaterThan(HISTORIES / 8);
});
