import { figuresOf } from '../../office/closeout/closeout.table.js';
import type { CloseoutAnswer } from '../../office/closeout/closeout.schema.js';
import type { Block, ReportDocument } from '../document/document.js';
import { grouped, headDaysSaid, left, paid, right, shown } from './words.js';

type Line = CloseoutAnswer['lines'][number];

const SIDES = {
  'cattle-in': 'Laid out for cattle',
  'cattle-out': 'Received and standing',
  cost: 'Their keep',
} as const;

/** A herd closed out: the lines, what they are made of, and the figures. */
export function closeoutDocument(report: CloseoutAnswer): ReportDocument {
  return {
    title: `Closeout: ${report.herd}, ${report.operation}`,
    subtitle: `${report.from} to ${report.until}`,
    paper: report.units === 'us' ? 'letter' : 'a4',
    written: `${report.until}T00:00:00Z`,
    blocks: [
      ...(report.invented
        ? [{ kind: 'mark', text: 'Invented demo data. No person, ranch or animal in it exists.' } as const]
        : []),
      ...(report.flags.length === 0 ? [] : [{ kind: 'list', items: report.flags.map((one) => one.message) } as const]),
      { kind: 'words', strong: true, text: profitWords(report) },
      { kind: 'words', text: headWords(report) },
      ...(['cattle-in', 'cattle-out', 'cost'] as const).flatMap((side) => linesOf(report, side)),
      { kind: 'heading', text: 'Figures' },
      {
        kind: 'table',
        columns: [left('Figure', 3), right('Value'), left('Unit', 1.2)],
        rows: figuresOf(report).map(([name, value, unit]) => [name, value ?? 'not known', unit]),
      },
      ...refusals(report),
      { kind: 'heading', text: 'What each line is made of' },
      entriesTable(report),
      { kind: 'words', text: `${report.method} ${report.sameFill} ${report.interest.terms}.` },
    ],
  };
}

function profitWords({ profit, breakEven }: CloseoutAnswer): string {
  const evens =
    breakEven === null
      ? ''
      : ` It breaks even at ${grouped(breakEven.deadsIn.amount, 2)} ${breakEven.deadsIn.currency} per ` +
        `${breakEven.deadsIn.per} over ${shown(breakEven.saleWeight, 0)}.`;
  if (profit === null) return `A price is missing, so no profit can be told.${evens}`;
  const each = profit.perHeadIn === null ? '' : `, ${paid(profit.perHeadIn)} a head in`;
  return `${Number(profit.total.amount) < 0 ? 'Loss' : 'Profit'}: ${paid(profit.total)}${each}.${evens}`;
}

function headWords({ head }: CloseoutAnswer): string {
  return (
    `${grouped(head.opening)} head at first, ${grouped(head.cameIn)} came, ${grouped(head.died)} died, ` +
    `${grouped(head.wentOut)} left, ${grouped(head.closing)} stand; ${headDaysSaid(head.headDays)}.`
  );
}

function linesOf({ lines }: CloseoutAnswer, side: Line['side']): Block[] {
  const own = lines.filter((one) => one.side === side);
  if (own.length === 0) return [];
  return [
    { kind: 'heading', text: SIDES[side] },
    {
      kind: 'table',
      columns: [left('Line', 2.6), right('Amount', 1.4), right('A head in', 1.2), right('Entries', 0.8)],
      rows: own.map((one) => [
        one.label,
        one.amount === null ? 'not known' : paid(one.amount),
        paid(one.perHeadIn),
        grouped(one.entries.length),
      ]),
    },
  ];
}

function refusals({ gain, gainAtSameFill }: CloseoutAnswer): Block[] {
  const items = [...new Set([...gain.refusedBecause, ...gainAtSameFill.refusedBecause].map((one) => one.message))];
  return items.length === 0 ? [] : [{ kind: 'list', items }];
}

function entriesTable({ lines }: CloseoutAnswer): Block {
  return {
    kind: 'table',
    columns: [left('Line', 1.8), left('Day'), left('What', 2), right('Head', 0.7), right('Mass'), right('Amount', 1.3)],
    rows: lines.flatMap(({ label, entries }) =>
      entries.map((one) => [
        label,
        one.on,
        one.words,
        one.head === null ? '' : grouped(one.head),
        shown(one.mass, 0),
        one.amount === null ? 'not known' : paid(one.amount),
      ]),
    ),
  };
}
