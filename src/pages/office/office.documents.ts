import type { AnswerOf } from '../../platform/http/endpoint.js';
import type { Block, ReportDocument } from '../document/document.js';
import { gainCostPicture } from '../pictures/gain-cost-picture.js';
import { grouped, left, paid, priced, right, shown, spelled } from '../yard/words.js';
import type { costOfGainPage, journalPageOf, lotCardPage, seasonCostPage } from './office-page.schema.js';

type SeasonCost = AnswerOf<typeof seasonCostPage>;
type CostOfGain = AnswerOf<typeof costOfGainPage>;
type LotCard = AnswerOf<typeof lotCardPage>;
type Journal = AnswerOf<typeof journalPageOf>;
type Herd = CostOfGain['herds'][number];

export function head({ invented, flags }: { invented: boolean; flags: readonly { message: string }[] }): Block[] {
  return [
    ...(invented
      ? [{ kind: 'mark', text: 'Invented demo data. No person, ranch or animal in it exists.' } as const]
      : []),
    ...(flags.length === 0 ? [] : [{ kind: 'list', items: flags.map((flag) => flag.message) } as const]),
  ];
}

export const paperOf = (units: 'us' | 'metric'): 'letter' | 'a4' => (units === 'us' ? 'letter' : 'a4');
const stored = (closed: object | null | undefined): string =>
  closed === null || closed === undefined ? '' : ', as stored when the period was closed';

/** What feeding cost, row by row, with what came late and what was corrected told apart. */
export function seasonCostDocument(report: SeasonCost): ReportDocument {
  const { total, rows, by } = report;
  return {
    title: `Season cost: ${report.operation}`,
    subtitle: `${report.from} to ${report.until}, by ${spelled(by)}${stored(report.closed)}`,
    paper: paperOf(report.units),
    written: `${report.until}T00:00:00Z`,
    blocks: [
      ...head(report),
      {
        kind: 'words',
        strong: true,
        text:
          `${paid(total.totalCost)} in all` +
          (total.perHeadDay === null ? '.' : `, ${paid(total.perHeadDay)} per head per day.`),
      },
      {
        kind: 'table',
        columns: [
          left('Row', 2),
          right('Hay fed'),
          right('Hay', 1.2),
          right('Other feed', 1.2),
          right('Yardage', 1.2),
          right('Total', 1.3),
          right('Head-days'),
          right('Per head per day', 1.1),
        ],
        rows: [...rows, { ...total, label: 'Total' }].map((one) => [
          spelled(one.label),
          shown(one.fed, 1),
          paid(one.hayCost),
          paid(one.otherFeedCost),
          paid(one.yardageCost),
          paid(one.totalCost),
          one.headDays === null ? '' : grouped(one.headDays),
          paid(one.perHeadDay),
        ]),
      },
      ...lateBlocks(report),
      { kind: 'words', text: `Hay is valued by ${spelled(report.costingMethod)}. ${report.method}` },
    ],
  };
}

function lateBlocks({ total, correctionsOfEarlier = [] }: SeasonCost): Block[] {
  const late =
    total.lateCosts === undefined || Number(total.lateCosts.amount) === 0
      ? []
      : [`Bills for hay that was eaten before these days, not in the total: ${paid(total.lateCosts)}.`];
  const items = [
    ...late,
    ...correctionsOfEarlier.map(
      (one) => `${one.on}: ${spelled(one.what)} of ${one.of} corrected for ${one.herd}, ${paid(one.amount)}.`,
    ),
  ];
  return items.length === 0
    ? []
    : [
        { kind: 'heading', text: 'Of earlier days' },
        { kind: 'list', items },
      ];
}

/** What gain cost, or why that cannot be told. */
export async function costOfGainDocument(report: CostOfGain): Promise<ReportDocument> {
  const known = report.herds.filter(({ figures }) => figures !== null);
  return {
    title: `Cost of gain: ${report.operation}`,
    subtitle: `${report.from} to ${report.until}${stored(report.closed)}`,
    paper: paperOf(report.units),
    written: `${report.until}T00:00:00Z`,
    blocks: [
      ...head(report),
      ...(known.length === 0
        ? [{ kind: 'words', text: 'No herd was weighed so that a cost of gain can be told.' } as const]
        : [gainTable(known)]),
      ...(await stretchBlocks(report)),
      { kind: 'heading', text: 'What to know' },
      { kind: 'list', items: report.herds.flatMap(remarksOf) },
      { kind: 'words', text: report.method },
    ],
  };
}

/** From each weighing to the next, where a herd was weighed more than twice or several herds were. */
async function stretchBlocks(report: CostOfGain): Promise<Block[]> {
  const drawing = await gainCostPicture(report);
  if (drawing === null) return [];
  const known = report.betweenWeighings.filter(({ figures }) => figures !== null);
  return [
    { kind: 'heading', text: 'From weighing to weighing' },
    {
      kind: 'picture',
      drawing,
      caption: 'Feed and yardage per weight gained, each bar from one weighing of the herd to its next.',
    },
    gainTable(known),
  ];
}

function gainTable(herds: readonly Herd[]): Block {
  return {
    kind: 'table',
    columns: [
      left('Herd', 1.8),
      left('Weighed'),
      left('Weighed again'),
      right('Gain'),
      right('A head a day'),
      right('Cost', 1.2),
      right('Cost of gain', 1.5),
      right('Deads in', 1.5),
    ],
    rows: herds.flatMap(({ herd, figures }) =>
      figures === null
        ? []
        : [
            [
              herd,
              figures.opening.day,
              figures.closing.day,
              shown(figures.totalGain, 0),
              shown(figures.dailyGain, 2),
              paid(figures.totalCost),
              priced(figures.totalCostOfGain),
              priced(figures.deadsIn?.totalCostOfGain ?? null),
            ],
          ],
    ),
  };
}

function remarksOf({ herd, refusedBecause, notes }: Herd): string[] {
  return [...refusedBecause, ...notes].map(({ message }) => `${herd}: ${message}`);
}

/** Every movement of a lot; money only for who sees prices. */
export function lotCardDocument(card: LotCard): ReportDocument {
  const money = card.value !== null;
  return {
    title: `Lot card: ${card.hayLot}`,
    subtitle: `${card.operation}, ${spelled(card.hayKind)}, to the end of ${card.until}`,
    paper: paperOf(card.units),
    written: `${card.until}T00:00:00Z`,
    blocks: [
      ...head(card),
      {
        kind: 'words',
        strong: true,
        text:
          `Received ${shown(card.received, 1)}, drawn ${shown(card.drawn, 1)}, on hand ${shown(card.balance, 1)}` +
          (money ? `, worth ${paid(card.value)}.` : '.'),
      },
      {
        kind: 'table',
        columns: [
          left('Day'),
          left('What', 1.5),
          right('Change'),
          right('Balance'),
          ...(money ? [right('Cost', 1.3)] : []),
          left('Reason', 2),
        ],
        rows: card.lines.map((one) => [
          one.effectiveOn,
          spelled(one.kind),
          shown(one.change, 1),
          shown(one.balanceAfter, 1),
          ...(money ? [paid(one.cost)] : []),
          one.reason ?? '',
        ]),
      },
      { kind: 'words', text: card.method },
    ],
  };
}

/** Double entries of some days; the whole of them is in the files. */
export function journalDocument(journal: Journal): ReportDocument {
  return {
    title: `Journal: ${journal.operation}`,
    subtitle: `${journal.from ?? 'The beginning'} to ${journal.until}, oldest first`,
    paper: 'letter',
    written: `${journal.until}T00:00:00Z`,
    blocks: [
      ...head(journal),
      ...(journal.items.length === 0 ? [{ kind: 'words', text: 'Nothing moved money in these days.' } as const] : []),
      ...(journal.items.length === 0 ? [] : [entriesTable(journal)]),
      ...(journal.nextCursor === null
        ? []
        : [
            {
              kind: 'words',
              text: 'There are more entries than one page holds; CSV and XLSX have all of them.',
            } as const,
          ]),
    ],
  };
}

function entriesTable({ items }: Journal): Block {
  const side = (money: { amount: string; currency: string }): string => (Number(money.amount) === 0 ? '' : paid(money));
  return {
    kind: 'table',
    columns: [
      left('Day'),
      left('What', 1.4),
      left('Account', 2),
      right('Debit', 1.2),
      right('Credit', 1.2),
      left('With', 1.4),
    ],
    rows: items.flatMap((entry) =>
      entry.lines.map((line, index) => [
        index === 0 ? entry.on : '',
        index === 0 ? spelled(entry.kind) : '',
        `${line.accountNumber} ${line.accountName}`,
        side(line.debit),
        side(line.credit),
        index === 0 ? (entry.vendor ?? entry.buyer ?? entry.memo ?? '') : '',
      ]),
    ),
  };
}
