import { z } from 'zod';
import { calendarDay, figure, text } from '../../platform/http/columns.js';
import { endpoint, type Table } from '../../platform/http/endpoint.js';
import { operationParams } from '../../platform/wire/common.schema.js';
import { unitsQuery } from '../../platform/wire/quantity.schema.js';
import { frozenHead, period } from '../report.schema.js';
import { type CloseoutAnswer, closeoutReport } from './closeout.schema.js';

export const periodCloseoutsReport = z
  .object({
    ...frozenHead,
    from: period.from,
    until: period.until,
    costingMethod: z.string().describe('How hay that left was valued'),
    ended: z
      .array(closeoutReport)
      .describe(
        'Each lot whose last cattle left in the period, closed out over all its days from the first cattle on, with ' +
          'the bills for it that came by the last day of the period',
      ),
    ofThePeriod: z
      .array(closeoutReport)
      .describe('Every herd that had cattle, feed or costs in the period, over exactly its days'),
  })
  .meta({ id: 'PeriodCloseouts', description: 'Herds closed out: lots that ended in a period, and all over its days' });
type Answer = z.output<typeof periodCloseoutsReport>;

/** One line a closeout. */
function table(answer: Answer): Table {
  const { currency } = answer;
  const per = answer.units === 'us' ? 'cwt' : 'kg';
  const cells = (what: string) => (one: CloseoutAnswer) => [
    ...[what, one.herd, one.herdId, one.from, one.until],
    ...[one.head.opening, one.head.cameIn, one.head.died, one.head.wentOut, one.head.closing].map(String),
    ...[one.totals.cattleIn, one.totals.feed, one.totals.costs, one.totals.cattleOut, one.profit?.total].map(
      (money) => money?.amount ?? null,
    ),
    one.breakEven?.deadsIn.amount ?? null,
  ];
  return {
    columns: [
      text('closeout'),
      text('herd'),
      text('herd_id'),
      calendarDay('from'),
      calendarDay('until'),
      ...['opening', 'came_in', 'died', 'went_out', 'closing'].map((name) => figure(`head_${name}`)),
      ...['cattle_in', 'feed', 'costs_with_feed', 'cattle_out', 'profit'].map((name) => figure(`${name}_${currency}`)),
      figure(`breakeven_${currency}_per_${per}`),
    ],
    rows: [...answer.ended.map(cells('lot that ended')), ...answer.ofThePeriod.map(cells('the days of the period'))],
  };
}

export const getHerdCloseouts = endpoint({
  method: 'GET',
  path: '/v1/operations/:operationId/reports/herd-closeouts',
  operationId: 'getHerdCloseouts',
  inThread: 'long-ledger',
  tag: 'Reports',
  access: 'prices',
  summary: 'Closeouts of a period',
  description:
    'Every lot whose last cattle left in these days, closed out over all its days, and every herd over exactly these ' +
    'days; at no stated terms or values. Over exactly a closed period, what was stored at closing. A late bill that ' +
    'came since is in the closeout of its herd, which says so, and not in what was stored.',
  params: operationParams,
  query: z.strictObject({ ...period, ...unitsQuery }),
  answer: periodCloseoutsReport,
  table,
});
