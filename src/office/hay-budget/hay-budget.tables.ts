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
      'month',
      'herd',
      'hay_kind',
      'head_days',
      `dry_matter_eaten_${unit}`,
      `needed_${unit}`,
      `wasted_${unit}`,
      'not_counted_because',
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
      'hay_kind',
      `on_hand_${unit}`,
      `needed_${unit}`,
      `fed_${unit}`,
      `short_${unit}`,
      `surplus_${unit}`,
      'first_short_on',
      `price_${answer.currency}_per_${unit}`,
      `cost_to_buy_${answer.currency}`,
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
      'hay_lot',
      'hay_lot_id',
      'hay_kind',
      'storage_method',
      'season_loss_percent',
      `balance_${unit}`,
      `fed_${unit}`,
      `lost_${unit}`,
      `left_${unit}`,
      'runs_out_on',
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
