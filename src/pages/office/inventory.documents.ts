import { ROLL_FLOWS } from '../../core/stock/roll-forward.js';
import type { AnswerOf } from '../../platform/http/endpoint.js';
import type { Block, ReportDocument } from '../document/document.js';
import { left, paid, right, shown, spelled } from '../yard/words.js';
import { head, paperOf } from './office.documents.js';
import type { moneyBudgetPage, rollForwardPage } from './office-page.schema.js';

type RollForward = AnswerOf<typeof rollForwardPage>;
type Row = RollForward['total'];
type MoneyBudget = AnswerOf<typeof moneyBudgetPage>;

/** From the opening inventory to the closing one: the whole first, then each row by itself. */
export function rollForwardDocument(report: RollForward): ReportDocument {
  return {
    title: `Inventory roll-forward: ${report.operation}`,
    subtitle: `${report.from} to ${report.until}, by ${spelled(report.by)}`,
    paper: paperOf(report.units),
    written: `${report.until}T00:00:00Z`,
    blocks: [
      ...head(report),
      { kind: 'heading', text: 'All together' },
      rollTable(report.total),
      ...(Number(report.variances.amount) === 0
        ? []
        : [
            {
              kind: 'words',
              text: `Bills for hay that had left, in no inventory: ${paid(report.variances)}.`,
            } as const,
          ]),
      ...report.rows.flatMap((row): Block[] => [{ kind: 'heading', text: spelled(row.label) }, rollTable(row)]),
      { kind: 'words', text: `Hay is valued by ${spelled(report.costingMethod)}. ${report.method}` },
    ],
  };
}

/** Opening and closing always; of what changed it, what is not nothing. */
function rollTable({ opening, flows, betweenLots, closing }: Row): Block {
  const line = (words: string, { quantity, value }: Row['opening']): string[] => [
    words,
    shown(quantity, 1),
    paid(value),
  ];
  const changed = ROLL_FLOWS.filter(
    (flow) => Number(flows[flow].quantity.value) !== 0 || Number(flows[flow].value.amount) !== 0,
  );
  return {
    kind: 'table',
    columns: [left('What', 2), right('Quantity', 1.2), right('Money', 1.4)],
    rows: [
      line('Opening', opening),
      ...changed.map((flow) => line(spelled(flow), flows[flow])),
      ...(Number(betweenLots.amount) === 0 ? [] : [['shared between lots', '', paid(betweenLots)]]),
      line('Closing', closing),
    ],
  };
}

/** What was planned and what came, by line and then by month and herd. */
export function moneyBudgetDocument(report: MoneyBudget): ReportDocument {
  return {
    title: `Money budget against actual: ${report.operation}`,
    subtitle: `${report.from} to ${report.until}`,
    paper: paperOf(report.units),
    written: `${report.until}-01T00:00:00Z`,
    blocks: [
      ...head(report),
      {
        kind: 'table',
        caption: 'All months and herds',
        columns: [left('Line', 1.6), ...MONEY_COLUMNS],
        rows: [
          ...report.lines.map((one) => [spelled(one.line), ...moneyCells(one)]),
          ['all costs', ...moneyCells(report.costs)],
        ],
      },
      { kind: 'heading', text: 'Month by month' },
      {
        kind: 'table',
        columns: [left('Month'), left('Herd', 1.6), left('Line', 1.3), ...MONEY_COLUMNS],
        rows: report.rows.map((one) => [one.month, one.herd, spelled(one.line), ...moneyCells(one)]),
      },
      ...(report.correctionsOfEarlier.length === 0
        ? []
        : [
            {
              kind: 'list',
              items: report.correctionsOfEarlier.map(
                (one) => `Corrections of earlier months, ${spelled(one.line)}: ${paid(one.amount)}.`,
              ),
            } as const,
          ]),
      { kind: 'words', text: report.method },
    ],
  };
}

const MONEY_COLUMNS = [right('Planned', 1.3), right('Actual', 1.3), right('Difference', 1.3), left('Is it good?', 1.1)];

function moneyCells({ budget, actual, variance, favorable }: MoneyBudget['costs']): string[] {
  const told = favorable === null ? '' : favorable ? 'to the good' : 'to the bad';
  return [budget === null ? 'no plan' : paid(budget), paid(actual), paid(variance), told];
}
