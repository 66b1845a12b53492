import { calendarDay, figure as number, text } from '../../platform/http/columns.js';
import type { Table } from '../../platform/http/endpoint.js';
import type { CloseoutAnswer } from './closeout.schema.js';

type Row = Table['rows'][number];

/** Lines with their entries, then the figures: one amount a row, with its unit. */
export function closeoutTable(answer: CloseoutAnswer): Table {
  const small = answer.units === 'us' ? 'lb' : 'kg';
  const figure = (name: string, value: string | null, unit: string): Row => [
    'figure',
    name,
    null,
    null,
    null,
    null,
    null,
    null,
    value,
    unit,
  ];
  return {
    columns: [
      text('section'),
      text('line'),
      calendarDay('day'),
      text('record'),
      text('record_id'),
      number('head'),
      number(`mass_${small}`),
      number(`amount_${answer.currency}`),
      number('figure'),
      text('unit'),
    ],
    rows: [
      ...answer.lines.flatMap(({ side, label, amount, entries }): Row[] => [
        [side, label, null, null, null, null, null, amount?.amount ?? null, null, null],
        ...entries.map((one): Row => [
          `${side}-entry`,
          label,
          one.on,
          one.words,
          one.id,
          one.head === null ? null : String(one.head),
          one.mass?.value ?? null,
          one.amount?.amount ?? null,
          null,
          null,
        ]),
      ]),
      ...figuresOf(answer).map(([name, value, unit]) => figure(name, value, unit)),
    ],
  };
}

type Figure = [name: string, value: string | null, unit: string];

/** The figures under the lines, by their names. */
export function figuresOf(answer: CloseoutAnswer): Figure[] {
  const { currency, units } = answer;
  const small = units === 'us' ? 'lb' : 'kg';
  const { breakEven, profit, profitWithHayAtMarket: atMarket, head, hay } = answer;
  const per = breakEven?.deadsIn.per ?? (units === 'us' ? 'cwt' : 'kg');
  return [
    ['Head in', String(head.opening + head.cameIn), 'head'],
    ['Head that died', String(head.died), 'head'],
    ['Head-days', String(head.headDays), 'head-day'],
    ['Hay at cost', hay.atCost.amount, currency],
    ['Hay at market', hay.atMarket?.amount ?? null, currency],
    ...gainFigures('as weighed', answer.gain, small, currency),
    ...gainFigures('at the same fill', answer.gainAtSameFill, small, currency),
    ['Breakeven, deads in', breakEven?.deadsIn.amount ?? null, `${currency}/${per}`],
    ['Breakeven, deads out', breakEven?.deadsOut?.amount ?? null, `${currency}/${per}`],
    ['Profit', profit?.total.amount ?? null, currency],
    ['Profit per head in', profit?.perHeadIn?.amount ?? null, currency],
    ['Profit per head out', profit?.perHeadOut?.amount ?? null, currency],
    ['Profit with hay at market', atMarket?.total.amount ?? null, currency],
  ];
}

function gainFigures(how: string, { figures }: CloseoutAnswer['gain'], small: string, currency: string): Figure[] {
  const price = `${currency}/${small}`;
  return [
    [`Gain ${how}, deads out`, figures?.deadsOut.gain.value ?? null, small],
    [`Gain ${how}, deads in`, figures?.deadsIn?.gain.value ?? null, small],
    [`Feed and yardage per gain ${how}, deads out`, figures?.deadsOut.feedAndYardage.amount ?? null, price],
    [`All costs per gain ${how}, deads out`, figures?.deadsOut.all.amount ?? null, price],
    [`All costs per gain ${how}, deads in`, figures?.deadsIn?.all.amount ?? null, price],
  ];
}
