/* Books over days of several costing methods: random histories, cut at random days, hold together through the cuts. */
import { COSTING_METHODS, type CostingEntry, type CostingMethod } from '../../../src/core/stock/costing-entries.js';
import { type CostReplay, replayCosts } from '../../../src/core/stock/costing-replay.js';
import { journalOf, STARTING_ACCOUNTS, trialBalance, trialBalanceOfTotals } from '../../../src/core/stock/journal.js';
import { joinedBooks, methodChanges, type MethodStretch } from '../../../src/core/stock/method-change.js';
import { rollForward } from '../../../src/core/stock/roll-forward.js';
import { addDays } from '../../../src/core/time/calendar-day.js';
import { Money } from '../../../src/core/units/money.js';
import fc, { examples } from '../../support/properties.js';
import { historyFrom, steps } from './histories.js';

function replayed(method: CostingMethod, entries: readonly CostingEntry[]): CostReplay {
  const replay = replayCosts({ method, currency: 'USD', entries });
  if (!replay.ok) throw new Error(JSON.stringify(replay.problems));
  return replay;
}

/** Up to each of the cuts under its method, and after the last one under the last. */
function stretchesOf(
  entries: readonly CostingEntry[],
  cuts: readonly string[],
  methods: readonly CostingMethod[],
): MethodStretch[] {
  const upTo = (day: string | undefined): CostingEntry[] => entries.filter(({ on }) => day === undefined || on <= day);
  return methods.map((method, index): MethodStretch => {
    const during = replayed(method, upTo(cuts[index]));
    const begins = cuts[index - 1];
    return begins === undefined
      ? { during }
      : {
          during,
          begins: { on: addDays(begins, 1), changeId: `change${index}`, before: replayed(method, upTo(begins)) },
        };
  });
}

const sum = (amounts: readonly Money[]): string => Money.sum(amounts, 'USD').toString();
/** With a feeding of the first days that is taken back on the last one. */
function withLateReversal(entries: readonly CostingEntry[]): CostingEntry[] {
  const reversed = new Set(entries.flatMap((one) => (one.kind === 'reversal' ? [one.reverses] : [])));
  const fed = entries.find(({ id, kind }) => kind === 'feed' && !reversed.has(id));
  const on = entries.at(-1)?.on;
  if (fed === undefined || on === undefined) return [...entries];
  return [...entries, { id: 'late', on, kind: 'reversal', reverses: fed.id, reason: 'Another herd' }];
}

const scenario = fc.record({
  history: steps
    .map(historyFrom)
    .filter((entries) => entries.length > 5)
    .map(withLateReversal),
  /** In percent of the entries. */
  cuts: fc.array(fc.integer({ min: 30, max: 90 }), { minLength: 1, maxLength: 2 }),
  methods: fc.shuffledSubarray([...COSTING_METHODS], { minLength: 3, maxLength: 3 }),
});
const through = (check: (joined: CostReplay, stretches: MethodStretch[], entries: CostingEntry[]) => void): void =>
  fc.assert(
    fc.property(scenario, ({ history, cuts, methods }) => {
      const day = (percent: number): string => history[Math.floor((percent * (history.length - 1)) / 100)]?.on ?? '';
      const days = [...new Set(cuts.map(day))].sort();
      const stretches = stretchesOf(history, days, methods.slice(0, days.length + 1));
      check(joinedBooks(stretches), stretches, history);
    }),
    { numRuns: examples(60) },
  );

describe('books of several methods', () => {
  it('add up, entry by entry, to what is on hand under the last one; every entry balances', () => {
    through((joined, stretches) => {
      expect(sum(joined.entries.map(({ inventoryChange }) => inventoryChange))).toBe(joined.closingValue.toString());
      expect(joined.closingValue.toString()).toBe(stretches.at(-1)?.during.closingValue.toString());
      for (const { lines } of joined.entries) expect(sum(lines.map(({ amount }) => amount))).toBe('0 USD');
    });
  });

  it('have every entry of the ledger once, and a change between two methods on its first day', () => {
    through((joined, stretches, entries) => {
      const changes = methodChanges(stretches);
      expect(joined.entries.map(({ entryId }) => entryId).sort()).toEqual(
        [...entries.map(({ id }) => id), ...changes.map(({ changeId }) => changeId)].sort(),
      );
      const days = joined.entries.map(({ on }) => on);
      expect(days).toEqual([...days].sort());
      for (const { changeId, on, amount, lots } of changes) {
        const entry = joined.entries.find(({ entryId }) => entryId === changeId);
        expect([entry?.on, entry?.inventoryChange.toString()]).toEqual([on, amount.toString()]);
        expect(sum(lots.map((one) => one.amount))).toBe(amount.toString());
      }
    });
  });

  it('tell a change lot by lot in one order, whichever lots a replay happened to meet first', () =>
    through((joined, stretches) => {
      const met = stretches.map(({ during, begins }): MethodStretch => {
        const turned = (replay: CostReplay): CostReplay => ({ ...replay, lots: replay.lots.toReversed() });
        return begins === undefined
          ? { during: turned(during) }
          : { during: turned(during), begins: { ...begins, before: turned(begins.before) } };
      });
      expect(methodChanges(met)).toEqual(methodChanges(stretches));
      expect(joinedBooks(met).entries).toEqual(joined.entries);
    }));

  it('have the totals of their postings', () => {
    through((joined) => {
      const balances = ({ rows }: ReturnType<typeof trialBalance>): string[] =>
        rows
          .map((row) => `${row.accountNumber} ${row.debit.minus(row.credit).toString()}`)
          .filter((one) => !/ 0 USD/.test(one));
      expect(balances(trialBalanceOfTotals(joined, STARTING_ACCOUNTS))).toEqual(
        balances(trialBalance(journalOf(joined, STARTING_ACCOUNTS), 'USD')),
      );
      expect(joined.totals.entries).toBe(joined.entries.filter(({ kind }) => kind !== 'costing-method-change').length);
    });
  });

  it('take back a feeding at what it was charged, whatever the method is by then', () => {
    let between = 0;
    through((joined, stretches) => {
      const changed = stretches[1]?.begins?.on ?? '';
      const charged = (id: string): Money[] =>
        joined.entries
          .filter(({ entryId }) => entryId === id)
          .flatMap(({ lines }) => lines.flatMap((line) => (line.account === 'feed-expense' ? [line.amount] : [])));
      for (const { kind, reverses, entryId, herdId } of joined.entries)
        if (kind === 'reversal' && reverses !== undefined && herdId !== undefined) {
          expect(sum([...charged(reverses), ...charged(entryId)])).toBe('0 USD');
          const dayOf = (id: string): string => joined.entries.find((one) => one.entryId === id)?.on ?? '';
          if (dayOf(reverses) < changed && dayOf(entryId) >= changed) between += 1;
        }
    });
    expect(between).toBeGreaterThan(5);
  });

  it('roll forward through a change, which is a line of its own', () => {
    through((joined, stretches) => {
      const [first] = stretches;
      const from = stretches[1]?.begins?.on;
      if (first === undefined || from === undefined) return;
      const { total, rows } = rollForward({
        opening: first.during.lots,
        entries: joined.entries,
        from,
        closing: joined.lots,
        keyOf: (lotId) => lotId,
        currency: 'USD',
      });
      expect(total.betweenLots.toString()).toBe('0 USD');
      expect(sum(rows.map(({ closing }) => closing.value))).toBe(joined.closingValue.toString());
      const posted = joined.entries
        .filter(({ on }) => on >= from)
        .flatMap(({ lines }) =>
          lines.flatMap((line) => (line.account === 'costing-method-change' ? [line.amount] : [])),
        );
      expect(total.flows['costing-method'].value.plus(Money.sum(posted, 'USD')).toString()).toBe('0 USD');
      expect(total.flows['costing-method'].mass.isZero()).toBe(true);
    });
  });
});

it('one method alone is its own replay', () => {
  fc.assert(
    fc.property(steps.map(historyFrom), (history) => {
      const replay = replayed('fifo', history);
      expect(joinedBooks([{ during: replay }])).toEqual(replay);
      expect(methodChanges([{ during: replay }])).toEqual([]);
    }),
    { numRuns: examples(10) },
  );
});
