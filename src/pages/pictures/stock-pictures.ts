import type { Budget } from '../../office/hay-budget/hay-budget.schema.js';
import { dayNumber } from '../../core/time/calendar-day.js';
import { type Drawing, GRID, INK, inkOf } from '../document/draw-plot.js';
import { grouped, shown, spelled } from '../yard/words.js';
import { BAND, drawBoth } from './both-widths.js';
import { dayAxis, daySaid } from './day-axis.js';

type Stocked = Pick<Budget, 'from' | 'until' | 'stock' | 'yard' | 'kinds' | 'range'>;

interface Point {
  readonly day: number;
  readonly left: number;
  readonly low: number;
  readonly high: number;
}

/** What is there when the first day begins, then what is left at the end of each day that the budget tells. */
function pointsOf({ from, yard, stock }: Stocked): Point[] {
  const first = Number(yard.onHand.value);
  return [
    { day: dayNumber(from), left: first, low: first, high: first },
    ...stock.map(({ on, onHand, likely }) => ({
      day: dayNumber(on) + 1,
      left: Number(onHand.value),
      low: Number(likely.low.value),
      high: Number(likely.high.value),
    })),
  ];
}

function runOutSaid({ yard }: Stocked): string {
  return yard.runsOutOn === null ? 'the hay lasts' : `runs out ${daySaid(yard.runsOutOn)}`;
}

/** All hay through the winter: as planned, the range of most winters, and the day it runs out. */
export function stockPicture(budget: Stocked): Promise<Drawing> {
  const { from, until, yard, range } = budget;
  const points = pointsOf(budget);
  const { unit } = yard.onHand;
  const out = yard.runsOutOn === null ? [] : [{ day: dayNumber(yard.runsOutOn), words: runOutSaid(budget) }];
  const last = budget.stock.at(-1);
  const top = Math.max(1, ...points.map((one) => one.high)) * 1.12;
  return drawBoth(
    (plot, sheet) => ({
      marginLeft: 48,
      marginRight: 16,
      marginTop: 34,
      marginBottom: 30,
      x: dayAxis(from, until, sheet),
      y: {
        domain: [0, top],
        ticks: 5,
        tickFormat: (value: number) => grouped(value),
        label: `${unit} left`,
        labelArrow: 'none',
      },
      marks: [
        plot.areaY(points, { x: 'day', y1: 'low', y2: 'high', fill: BAND }),
        plot.gridY({ stroke: GRID, strokeOpacity: 1, ticks: 5 }),
        plot.line(points, { x: 'day', y: 'low', stroke: inkOf(3), strokeWidth: 1, strokeDasharray: '2 3' }),
        plot.line(points, { x: 'day', y: 'high', stroke: inkOf(3), strokeWidth: 1, strokeDasharray: '2 3' }),
        plot.line(points, { x: 'day', y: 'left', stroke: INK, strokeWidth: 2 }),
        plot.ruleY([0], { stroke: INK }),
        plot.ruleX(out, { x: 'day', stroke: inkOf(1), strokeWidth: 2, strokeDasharray: '6 3' }),
        plot.text(out, {
          x: 'day',
          text: 'words',
          frameAnchor: 'top',
          textAnchor: out.some(({ day }) => day > (dayNumber(from) + dayNumber(until)) / 2) ? 'end' : 'start',
          dy: -14,
          fill: inkOf(1),
          fontWeight: 'bold',
        }),
      ],
    }),
    {
      height: ({ narrow }) => (narrow ? 260 : 300),
      title: 'Hay left through the winter',
      description:
        `From ${shown(yard.onHand, 0)} on ${from} to ${last === undefined ? '' : shown(last.onHand, 0)} on ${until}; ` +
        `${runOutSaid(budget)}. In ${range.likely.percent} of 100 winters between ` +
        `${last === undefined ? '' : `${shown(last.likely.low, 0)} and ${shown(last.likely.high, 0)}`} at the end.`,
    },
  );
}

const ROW = 64;

/** Each kind in a strip of its own, all to one scale, with its figures in words over it. */
export function kindsPicture(budget: Stocked): Promise<Drawing> {
  const { from, until, kinds, stock, yard } = budget;
  const name = (hayKind: string): string => spelled(hayKind);
  const points = kinds.flatMap(({ hayKind, onHand }) => [
    { kind: name(hayKind), day: dayNumber(from), left: Number(onHand.value) },
    ...stock.map(({ on, byKind }) => ({
      kind: name(hayKind),
      day: dayNumber(on) + 1,
      left: Number(byKind.find((one) => one.hayKind === hayKind)?.onHand.value ?? 0),
    })),
  ]);
  const words = kinds.map(({ hayKind, onHand, surplus, firstShortOn }) => ({
    kind: name(hayKind),
    words:
      `${name(hayKind)}: ${shown(onHand, 0)} to ${shown(surplus, 0)}` +
      (firstShortOn === null ? '' : `, short from ${daySaid(firstShortOn)}`),
  }));
  return drawBoth(
    (plot, sheet) => ({
      marginLeft: 16,
      marginRight: 16,
      marginTop: 8,
      marginBottom: 30,
      x: dayAxis(from, until, sheet),
      y: { domain: [0, Math.max(1, ...points.map((one) => one.left)) * 1.9], axis: null },
      fy: { domain: words.map((one) => one.kind), axis: null },
      marks: [
        plot.areaY(points, { x: 'day', y: 'left', fy: 'kind', fill: BAND }),
        plot.line(points, { x: 'day', y: 'left', fy: 'kind', stroke: INK, strokeWidth: 1.8 }),
        plot.ruleY([0], { stroke: INK }),
        plot.text(words, { text: 'words', fy: 'kind', frameAnchor: 'top-left', dy: 4, fill: INK, fontWeight: 'bold' }),
      ],
    }),
    {
      height: () => 38 + ROW * Math.max(1, kinds.length),
      title: `Hay left of each kind, ${yard.onHand.unit}`,
      description: words.map((one) => one.words).join('; '),
    },
  );
}
