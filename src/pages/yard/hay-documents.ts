import type { z } from 'zod';
import type { budgetOut } from '../../office/hay-budget/hay-budget.schema.js';
import type { hayPositionReport } from '../../office/hay-position/hay-position.schema.js';
import type { Block, ReportDocument } from '../document/document.js';
import { kindsPicture, stockPicture } from '../pictures/stock-pictures.js';
import { daysSaid, grouped, headDaysSaid, left, paid, priced, right, spelled, shown } from './words.js';

type Position = z.output<typeof hayPositionReport>;
type Budget = z.output<typeof budgetOut>;

const NO_FEEDING_ADVICE = 'Figures are aids to judgment and rest on what was recorded.';

type Told = Pick<Position, 'invented' | 'flags'>;

function markOf({ invented }: Pick<Told, 'invented'>): Block[] {
  return invented ? [{ kind: 'mark', text: 'Invented demo data. No person, ranch or animal in it exists.' }] : [];
}

function flagsOf({ flags }: Pick<Told, 'flags'>): Block[] {
  return flags.length === 0 ? [] : [{ kind: 'list', items: flags.map((flag) => flag.message) }];
}

function head(report: Told): Block[] {
  return [...markOf(report), ...flagsOf(report)];
}

/** The hay on hand and, for those who see prices, what it is worth. */
export function hayPositionDocument(report: Position): ReportDocument {
  const { hay, otherFeed, total, reconciliation: books } = report;
  return {
    title: `Hay position: ${report.operation}`,
    subtitle: `At the end of ${report.onDay}${report.closed === null ? '' : ', as stored when the period was closed'}`,
    paper: report.units === 'us' ? 'letter' : 'a4',
    written: `${report.onDay}T00:00:00Z`,
    blocks: [
      ...head(report),
      {
        kind: 'words',
        strong: true,
        text: sumWords(hay ?? total, hay === undefined ? 'hay and other feed' : 'hay'),
      },
      ...(otherFeed === undefined || Number(otherFeed.quantity.value) === 0
        ? []
        : [
            { kind: 'words', text: sumWords(otherFeed, 'other feed') } as const,
            { kind: 'words', text: sumWords(total, 'hay and other feed') } as const,
          ]),
      { kind: 'heading', text: 'By kind' },
      {
        kind: 'table',
        columns: [left('Kind', 2), right('On hand'), right('Worth', 1.3), right('Cost', 1.5)],
        rows: report.kinds.map((one) => [
          spelled(one.hayKind),
          shown(one.quantity, 1),
          paid(one.value),
          priced(one.unitCost),
        ]),
      },
      { kind: 'heading', text: 'By lot' },
      {
        kind: 'table',
        columns: [
          left('Lot', 2.2),
          left('Ranch', 1.4),
          left('Kind', 1.2),
          right('On hand'),
          right('Worth', 1.3),
          right('Cost', 1.6),
        ],
        rows: report.lots.map((one) => [
          one.hayLot,
          one.ranch,
          spelled(one.hayKind),
          shown(one.quantity, 1),
          paid(one.value),
          priced(one.unitCost),
        ]),
      },
      { kind: 'heading', text: 'Does it tie?' },
      {
        kind: 'words',
        text:
          `Received since the books began ${shown(books.received, 1)} (${paid(books.valueReceived)}), less drawn ` +
          `${shown(books.drawn, 1)} (${paid(books.valueDrawn)}), leaves ${shown(books.onHand, 1)} ` +
          `(${paid(books.valueOnHand)}).`,
      },
      { kind: 'words', text: `${report.method} ${NO_FEEDING_ADVICE}` },
    ],
  };
}

function sumWords({ quantity, value, unitCost }: Position['total'], of: string): string {
  const cost = unitCost === null ? '' : `, ${priced(unitCost)}`;
  return `${shown(quantity, 1)} of ${of}, worth ${paid(value)}${cost}.`;
}

/** Whether the hay lasts. Includes costs only if the reader may see them. */
export async function hayBudgetDocument(report: Budget): Promise<ReportDocument> {
  return {
    title: `Hay budget: ${report.operation}`,
    subtitle: `${report.from} to ${report.until}${report.plan === null ? '' : `, plan ${report.plan}`}`,
    paper: report.units === 'us' ? 'letter' : 'a4',
    written: `${report.from}T00:00:00Z`,
    blocks: [
      ...markOf(report),
      ...answer(report),
      ...(await pictures(report)),
      ...(report.flags.length === 0 ? [] : [{ kind: 'heading', text: 'What to know' } as const]),
      ...flagsOf(report),
      ...byKind(report),
      ...byHerdAndMonth(report),
      ...byLot(report),
      { kind: 'heading', text: 'What it is based on' },
      {
        kind: 'list',
        items: [
          ...report.herds.map(herdWords),
          ...report.notCounted.map((one) => `${one.herd}: not counted, ${headDaysSaid(one.headDays)}.`),
          ...report.range.restsOn,
        ],
      },
      { kind: 'words', text: `${report.method} ${NO_FEEDING_ADVICE}` },
    ],
  };
}

/** Does it last, what would it cost, and how sure is that? */
function answer({ yard, range, until, costToBuy }: Budget): Block[] {
  const days = daysSaid(yard.daysShort);
  const lasts =
    yard.runsOutOn === null
      ? `The hay lasts. ${shown(yard.surplus, 1)} would be left on ${until}.`
      : `The hay runs out on ${yard.runsOutOn}, ${shown(yard.short, 1)} short over ${days}.`;
  const onHand = `On hand ${shown(yard.onHand, 1)}, to put out ${shown(yard.needed, 1)}.`;
  const buying =
    costToBuy === null || yard.daysShort === 0 ? '' : ` Buying what is short would cost ${paid(costToBuy)}.`;
  return [
    { kind: 'words', strong: true, text: lasts },
    { kind: 'words', text: `${onHand}${buying}` },
    { kind: 'words', text: likelyWords(range.likely) },
    {
      kind: 'words',
      text:
        'With every loss at its lower bound and every weighed balance at its upper: ' +
        `${bound(range.atLowLosses)}. The other way around: ${bound(range.atHighLosses)}.`,
    },
  ];
}

/** How the hay goes down, all of it and kind by kind. */
async function pictures(report: Budget): Promise<Block[]> {
  return [
    {
      kind: 'picture',
      drawing: await stockPicture(report),
      caption:
        'All hay left, as planned. The shaded range holds ' +
        `${report.range.likely.percent} of 100 winters; the dashed upright marks the day the hay runs out.`,
    },
    { kind: 'heading', text: 'Hay left of each kind' },
    {
      kind: 'picture',
      drawing: await kindsPicture(report),
      caption: 'Each kind in a strip of its own, all to one scale, as planned.',
    },
    stockTable(report),
  ];
}

function stockTable({ stock, kinds, yard }: Budget): Block {
  return {
    kind: 'table',
    caption: `Left at the end of the day, ${yard.onHand.unit}`,
    columns: [
      left('Day', 1.2),
      right('All'),
      right('Most winters', 1.4),
      ...kinds.map((one) => right(spelled(one.hayKind))),
    ],
    rows: stock.map(({ on, onHand, byKind: parts, likely }) => [
      on,
      grouped(onHand.value, 1),
      `${grouped(likely.low.value, 1)} to ${grouped(likely.high.value, 1)}`,
      ...kinds.map(({ hayKind }) => grouped(parts.find((one) => one.hayKind === hayKind)?.onHand.value ?? 0, 1)),
    ]),
  };
}

function byKind(report: Budget): Block[] {
  const money = report.costToBuy !== null;
  const costOf = (hayKind: string): string => paid(report.toBuy.find((buy) => buy.hayKind === hayKind)?.cost ?? null);
  return [
    { kind: 'heading', text: 'By kind of hay' },
    {
      kind: 'table',
      columns: [
        left('Kind', 1.8),
        right('On hand'),
        right('Needed'),
        right('Short'),
        right('Left over'),
        left('First short on', 1.1),
        ...(money ? [right('To buy', 1.2)] : []),
      ],
      rows: report.kinds.map((one) => [
        spelled(one.hayKind),
        shown(one.onHand, 1),
        shown(one.needed, 1),
        shown(one.short, 1),
        shown(one.surplus, 1),
        one.firstShortOn ?? '',
        ...(money ? [costOf(one.hayKind)] : []),
      ]),
    },
  ];
}

function byHerdAndMonth({ months }: Budget): Block[] {
  return [
    { kind: 'heading', text: 'By herd and month' },
    {
      kind: 'table',
      columns: [
        left('Month'),
        left('Herd', 2),
        right('Head-days'),
        right('Dry matter eaten', 1.2),
        right('To put out'),
        right('Wasted'),
      ],
      rows: months.map((one) => [
        one.month,
        one.herd,
        grouped(one.headDays),
        shown(one.dryMatterEaten, 1),
        shown(one.needed, 1),
        shown(one.wasted, 1),
      ]),
    },
  ];
}

function byLot({ lots }: Budget): Block[] {
  return [
    { kind: 'heading', text: 'By lot, in the order in which they are fed' },
    {
      kind: 'table',
      columns: [
        left('Lot', 2),
        left('Kept', 1.2),
        right('Season loss'),
        right('On hand'),
        right('Fed'),
        right('Lost'),
        right('Left'),
        left('Runs out on', 1.1),
      ],
      rows: lots.map((one) => [
        one.hayLot,
        spelled(one.storageMethod),
        `${Number(one.storageLoss.percent).toFixed(1)} %`,
        shown(one.balance, 1),
        shown(one.fed, 1),
        shown(one.lost, 1),
        shown(one.left, 1),
        one.runsOutOn ?? '',
      ]),
    },
  ];
}

function herdWords(one: Budget['herds'][number]): string {
  const waste = `waste ${Number(one.waste.percent).toFixed(1)} % (${one.waste.source})`;
  return (
    `${one.herd}: ${grouped(one.headOnFirstDay)} head on the first day; intake ${one.intakeBasis}; ${waste}.` +
    (one.restsOnBookValues ? ' Some of its hay has no test.' : '')
  );
}

function likelyWords({ percent, runsOutOn, short, runningOutPercent }: Budget['range']['likely']): string {
  const { earliest, latest } = runsOutOn;
  const until = latest === null ? ' or later, or lasts' : ` to ${latest}`;
  const when =
    earliest === null
      ? 'the hay lasts'
      : `the hay runs out from ${earliest}${until}, ${shown(short.low, 1)} to ${shown(short.high, 1)} short`;
  return (
    `In ${percent} of 100 winters ${when}; it does not last in ${Number(runningOutPercent).toFixed(0)} of 100. ` +
    'Intake, cold, waste, storage and weights are each drawn from how far they may be off.'
  );
}

function bound({ short, surplus, runsOutOn }: Budget['range']['atLowLosses']): string {
  return runsOutOn === null
    ? `it lasts, with ${shown(surplus, 1)} left`
    : `it runs out on ${runsOutOn}, ${shown(short, 1)} short`;
}
