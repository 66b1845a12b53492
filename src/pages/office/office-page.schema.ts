import { z } from 'zod';
import { SEASON_GROUPS } from '../../core/season/season-cost.js';
import { lotCard, lotCardTable } from '../../office/balances/balances.schema.js';
import { costOfGainReport, costOfGainTable } from '../../office/cost-of-gain/cost-of-gain.schema.js';
import { journalPage } from '../../office/journal/journal.schema.js';
import { seasonCostReport, seasonCostTable } from '../../office/season-cost/season-cost.schema.js';
import { pageQuery } from '../../platform/http/cursor.js';
import { ROLL_GROUPS, rollForwardReport, rollTable } from '../../office/roll-forward/roll-forward.schema.js';
import {
  budgetAgainstActualReport,
  budgetAgainstActualTable,
  budgetMonth,
} from '../../office/money-budget/money-budget.schema.js';
import { endpoint } from '../../platform/http/endpoint.js';
import { day, id, operationParams } from '../../platform/wire/common.schema.js';
import { unitsQuery } from '../../platform/wire/quantity.schema.js';

const get = { tag: 'Pages', browser: true, method: 'GET', inThread: 'long-ledger' } as const;
const days = { from: day.optional(), until: day.optional() };

/** The accountant's reports for a browser. Each answer is the report itself, so its files are those of the API. */
export const seasonCostPage = endpoint({
  ...get,
  path: '/yard/operations/:operationId/season-cost',
  operationId: 'seasonCostPage',
  access: 'prices',
  summary: 'What feeding the herds cost',
  params: operationParams,
  query: z.strictObject({ ...days, ...unitsQuery, by: z.enum(SEASON_GROUPS).default('herd') }),
  answer: seasonCostReport,
  table: seasonCostTable,
  alsoAs: ['html', 'pdf'],
});
export const costOfGainPage = endpoint({
  ...get,
  path: '/yard/operations/:operationId/cost-of-gain',
  operationId: 'costOfGainPage',
  access: 'prices',
  summary: 'What gain cost, herd by herd',
  params: operationParams,
  query: z.strictObject({ ...days, ...unitsQuery }),
  answer: costOfGainReport.extend({
    betweenWeighings: costOfGainReport.shape.herds.describe(
      'The same report from each weighing of a herd to its next one; the newest where there are many',
    ),
  }),
  table: costOfGainTable,
  alsoAs: ['html', 'pdf'],
});
export const lotCardPage = endpoint({
  ...get,
  path: '/yard/operations/:operationId/hay-lots/:hayLotId/card',
  operationId: 'lotCardPage',
  access: 'read',
  summary: 'Every movement of a lot, with its running balance',
  params: operationParams.extend({ hayLotId: id }),
  query: z.strictObject({ until: day.optional(), ...unitsQuery }),
  answer: lotCard,
  filedUnder: ({ hayLot, until }) => ({ what: 'lot card', of: hayLot, until }),
  table: lotCardTable,
  alsoAs: ['html', 'pdf'],
});
export const journalPageOf = endpoint({
  ...get,
  path: '/yard/operations/:operationId/journal',
  operationId: 'journalPage',
  access: 'prices',
  summary: 'The double entries of the hay books',
  params: operationParams,
  query: z.strictObject({ ...pageQuery, ...days }),
  answer: journalPage,
  paged: true,
  register: { lines: ['lines'] },
  alsoAs: ['html', 'pdf'],
});
export const rollForwardPage = endpoint({
  ...get,
  path: '/yard/operations/:operationId/roll-forward',
  operationId: 'rollForwardPage',
  access: 'prices',
  summary: 'The inventory from one day to another',
  params: operationParams,
  query: z.strictObject({ ...days, ...unitsQuery, by: z.enum(ROLL_GROUPS).default('kind') }),
  answer: rollForwardReport,
  table: rollTable,
  alsoAs: ['html', 'pdf'],
});
export const moneyBudgetPage = endpoint({
  ...get,
  path: '/yard/operations/:operationId/money-budget',
  operationId: 'moneyBudgetPage',
  access: 'prices',
  summary: 'Money planned against the books',
  params: operationParams,
  query: z.strictObject({ from: budgetMonth.optional(), until: budgetMonth.optional(), ...unitsQuery }),
  answer: budgetAgainstActualReport,
  table: budgetAgainstActualTable,
  alsoAs: ['html', 'pdf'],
});
