import { counted } from '../../core/units/counted.js';
import { dayNumber } from '../../core/time/calendar-day.js';
import type { rationDriftAt } from '../../desk/rations/ration-drift.schema.js';
import type { AnswerOf } from '../../platform/http/endpoint.js';
import { type Drawing, GRID, INK, inkOf } from '../document/draw-plot.js';
import { grouped, shown } from '../yard/words.js';
import { drawBoth } from './both-widths.js';
import { dayAxis } from './day-axis.js';

type Drift = AnswerOf<typeof rationDriftAt>;

/** What was fed on each day as bars, what was planned as a line over them. */
export function fedPicture({ herd, from, until, days, planned, fed, daysNotFed }: Drift): Promise<Drawing> {
  const bars = days.map((one) => ({
    from: dayNumber(one.onDay),
    until: dayNumber(one.onDay) + 0.85,
    kg: Number(one.fed.value),
  }));
  const meant = days.flatMap((one) =>
    one.planned === null
      ? []
      : [{ from: dayNumber(one.onDay) - 0.05, until: dayNumber(one.onDay) + 0.95, kg: Number(one.planned.value) }],
  );
  const top = Math.max(1, ...[...bars, ...meant].map((one) => one.kg)) * 1.12;
  return drawBoth(
    (plot, sheet) => ({
      marginLeft: 44,
      marginRight: 20,
      marginTop: 30,
      marginBottom: 30,
      x: dayAxis(from, until, sheet),
      y: {
        domain: [0, top],
        ticks: 5,
        tickFormat: (value: number) => grouped(value),
        label: `${fed.unit} of dry matter a head`,
        labelArrow: 'none',
      },
      marks: [
        plot.gridY({ stroke: GRID, strokeOpacity: 1, ticks: 5 }),
        plot.rect(bars, { x1: 'from', x2: 'until', y1: () => 0, y2: 'kg', fill: inkOf(3) }),
        plot.ruleY(meant, { x1: 'from', x2: 'until', y: 'kg', stroke: '#fff', strokeWidth: 5 }),
        plot.ruleY(meant, { x1: 'from', x2: 'until', y: 'kg', stroke: INK, strokeWidth: 2.5 }),
        plot.ruleY([0], { stroke: INK }),
      ],
    }),
    {
      height: ({ narrow }) => (narrow ? 220 : 240),
      title: `${herd}: fed against planned, day by day`,
      description:
        `On the mean of ${counted(days.length, 'day')} ${shown(fed, 1)} of dry matter a head was fed, ` +
        `${shown(planned, 1)} planned; ${counted(daysNotFed, 'day')} with a ration and no feeding.`,
    },
  );
}
