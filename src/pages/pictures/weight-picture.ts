import { counted } from '../../core/units/counted.js';
import { dayNumber } from '../../core/time/calendar-day.js';
import type { AnswerOf } from '../../platform/http/endpoint.js';
import type { getHerdWeightTrend } from '../../records/cattle/standing/herd-state.schema.js';
import { type Drawing, GRID, INK, inkOf } from '../document/draw-plot.js';
import { grouped, shown } from '../yard/words.js';
import { BAND, drawBoth } from './both-widths.js';
import { dayAxis } from './day-axis.js';

type Trend = AnswerOf<typeof getHerdWeightTrend>;

interface Point {
  readonly day: number;
  readonly mean: number;
  readonly low: number;
  readonly high: number;
  readonly weighed: boolean;
  readonly told: boolean;
}

function pointOf({ on, mean, plusMinus, takenOn, taken }: Trend['weights'][number]): Point {
  return {
    day: dayNumber(on),
    mean: Number(mean.value),
    low: Number(mean.value) - Number(plusMinus.value),
    high: Number(mean.value) + Number(plusMinus.value),
    weighed: takenOn === on && taken === 'weigh-in',
    told: takenOn === on && taken !== 'weigh-in',
  };
}

/** Mean weight as taken and as carried forward: a line with how far off it may be, and a dot for each weight taken. */
export function weightPicture({ herd, from, until, weights, targetDailyGain }: Trend, asOf: string): Promise<Drawing> {
  const points = weights.map(pointOf);
  const [first, last] = [weights[0], weights.at(-1)];
  const unit = first?.mean.unit ?? '';
  const asOfDay = dayNumber(asOf);
  const pad = Math.max(10, ...points.map((one) => one.high - one.low)) * 0.4;
  const scaled = [Math.min(...points.map((one) => one.low)) - pad, Math.max(...points.map((one) => one.high)) + pad];
  const weighed = points.filter((one) => one.weighed);
  const isAhead = asOfDay < dayNumber(until) && !points.some((one) => one.day > asOfDay && (one.weighed || one.told));
  const ahead = isAhead ? [{ day: asOfDay, words: 'projected' }] : [];
  return drawBoth(
    (plot, sheet) => ({
      marginLeft: 52,
      marginRight: 20,
      marginTop: 34,
      marginBottom: 30,
      x: dayAxis(from, until, sheet),
      y: {
        domain: scaled,
        ticks: 5,
        tickFormat: (value: number) => grouped(value),
        label: `${unit} a head`,
        labelArrow: 'none',
      },
      marks: [
        plot.areaY(points, { x: 'day', y1: 'low', y2: 'high', fill: BAND }),
        plot.gridY({ stroke: GRID, strokeOpacity: 1, ticks: 5 }),
        plot.line(points, { x: 'day', y: 'mean', stroke: INK, strokeWidth: 2 }),
        plot.dot(weighed, { x: 'day', y: 'mean', fill: INK, r: 5 }),
        plot.dot(
          points.filter((one) => one.told),
          { x: 'day', y: 'mean', fill: 'white', stroke: INK, strokeWidth: 2, r: 5 },
        ),
        plot.text(weighed, {
          x: 'day',
          y: 'mean',
          text: (one: Point) => grouped(one.mean),
          dy: -14,
          fill: INK,
          fontWeight: 'bold',
          stroke: '#fff',
          strokeWidth: 4,
        }),
        plot.ruleX(ahead, { x: 'day', stroke: inkOf(1), strokeWidth: 1.5, strokeDasharray: '6 3' }),
        plot.text(ahead, {
          x: 'day',
          text: 'words',
          frameAnchor: 'top',
          textAnchor: 'middle',
          dy: -14,
          fill: inkOf(1),
        }),
      ],
    }),
    {
      height: ({ narrow }) => (narrow ? 250 : 280),
      title: `${herd}: mean weight`,
      description:
        `${shown(first?.mean ?? null, 0)} on ${from}, ${shown(last?.mean ?? null, 0)} on ${until}, ` +
        `projected from ${asOf}` +
        `${targetDailyGain === null ? '' : `; the target is ${shown(targetDailyGain, 2)} a day`}. ` +
        `Weighed ${counted(weighed.length, 'time')} in these days.`,
    },
  );
}
