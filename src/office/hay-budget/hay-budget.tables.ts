import { calendarDay, figure, text } from '../../platform/http/columns.js';
import type { Table } from '../../platform/http/endpoint.js';
import type { Budget } from './hay-budget.schema.js';

/** The budget as a table, listing the view that was asked for. */
export function budgetTable(answer: Budget): Table {
  switch (answer.view) {
    case 'months':
      return monthsTable(answer);
    case 'kinds':
      return kindsTable(answer);
    case 'lots':
      return lotsTable(answer);
  }
}

/** For each herd and month a row for all kinds, then one for each kind; last, the herds that are not counted. */
function monthsTable(answer: Budget): Table {
  const unit = answer.yard.needed.unit;
  return {
    columns: [
      text('month'),
      text('herd'),
      text('hay_kind'),
      figure('head_days'),
      figure(`dry_matter_eaten_${unit}`),
      figure(`needed_${unit}`),
      figure(`wasted_${unit}`),
      text('not_counted_because'),
    ],
    rows: [
      ...answer.months.flatMap((row) => [
        [
          row.month,
          row.herd,
          'all',
          String(row.headDays),
          row.dryMatterEaten.value,
          row.needed.value,
          row.wasted.value,
          null,
        ],
        ...row.byKind.map((kind) => [row.month, row.herd, kind.hayKind, null, null, kind.needed.value, null, null]),
      ]),
      ...answer.notCounted.map((one) => [null, one.herd, null, String(one.headDays), null, null, null, one.because]),
    ],
  };
}

function kindsTable(answer: Budget): Table {
  const unit = answer.yard.needed.unit;
  return {
    columns: [
      text('hay_kind'),
      figure(`on_hand_${unit}`),
      figure(`needed_${unit}`),
      figure(`fed_${unit}`),
      figure(`short_${unit}`),
      figure(`surplus_${unit}`),
      calendarDay('first_short_on'),
      figure(`price_${answer.currency}_per_${unit}`),
      figure(`cost_to_buy_${answer.currency}`),
    ],
    rows: answer.kinds.map((row) => {
      const buy = answer.toBuy.find((one) => one.hayKind === row.hayKind);
      return [
        row.hayKind,
        row.onHand.value,
        row.needed.value,
        row.fed.value,
        row.short.value,
        row.surplus.value,
        row.firstShortOn,
        buy?.price?.amount ?? null,
        buy?.cost?.amount ?? null,
      ];
    }),
  };
}

function lotsTable(answer: Budget): Table {
  const unit = answer.yard.needed.unit;
  return {
    columns: [
      text('hay_lot'),
      text('hay_lot_id'),
      text('hay_kind'),
      text('storage_method'),
      figure('season_loss_percent'),
      figure(`balance_${unit}`),
      figure(`fed_${unit}`),
      figure(`lost_${unit}`),
      figure(`left_${unit}`),
      calendarDay('runs_out_on'),
    ],
    rows: answer.lots.map((row) => [
      row.hayLot,
      row.hayLotId,
      row.hayKind,
      row.storageMethod,
      row.storageLoss.percent,
      row.balance.value,
      row.fed.value,
      row.lost.value,
      row.left.value,
      row.runsOutOn,
    ]),
  };
}
