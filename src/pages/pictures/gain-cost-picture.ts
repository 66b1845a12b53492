import type { costOfGainPage } from '../office/office-page.schema.js';
import type { AnswerOf } from '../../platform/http/endpoint.js';
import { type Drawing, INK, inkOf } from '../document/draw-plot.js';
import { grouped } from '../yard/words.js';
import { dayNumber } from '../../core/time/calendar-day.js';
import { dayAxis } from './day-axis.js';
import { drawBoth } from './both-widths.js';

type Report = AnswerOf<typeof costOfGainPage>;

interface Bar {
  readonly herd: string;
  readonly from: number;
  readonly until: number;
  readonly cost: number;
  readonly words: string;
}

const ROW = 96;

function barsOf({ betweenWeighings }: Report): Bar[] {
  return betweenWeighings.flatMap(({ herd, figures }) => {
    if (figures === null) return [];
    const [from, until] = [figures.opening.day, figures.closing.day];
    const cost = Number(figures.totalCostOfGain.amount);
    const words = `${herd} from ${from} to ${until}: ${grouped(cost, 2)}`;
    return [{ herd, from: dayNumber(from), until: dayNumber(until), cost, words }];
  });
}

/** What a unit of gain cost from weighing to weighing: a strip for each herd, with the figure over each bar. */
export async function gainCostPicture(report: Report): Promise<Drawing | null> {
  const bars = barsOf(report);
  const price = report.betweenWeighings.find(({ figures }) => figures !== null)?.figures?.totalCostOfGain;
  if (price === undefined) return null;
  const herds = [...new Set(bars.map((bar) => bar.herd))];
  const highest = Math.max(0.01, ...bars.map((bar) => bar.cost));
  const lowest = Math.min(0, ...bars.map((bar) => bar.cost));
  return drawBoth(
    (plot, sheet) => ({
      marginLeft: 16,
      marginRight: 16,
      marginTop: 10,
      marginBottom: 28,
      x: dayAxis(report.from, report.until, sheet),
      y: { domain: [lowest * 1.3, highest * 1.9], axis: null },
      fy: { domain: herds, axis: null, padding: 0.08 },
      marks: [
        plot.rect(bars, {
          x1: 'from',
          x2: 'until',
          y1: () => 0,
          y2: 'cost',
          fy: 'herd',
          fill: inkOf(3),
          insetLeft: 2,
          insetRight: 2,
        }),
        plot.ruleY([0], { stroke: INK }),
        plot.text(bars, {
          x: (bar: Bar) => (bar.from + bar.until) / 2,
          y: 'cost',
          fy: 'herd',
          text: (bar: Bar) => grouped(bar.cost, 2),
          dy: -9,
          fill: INK,
        }),
        plot.text(herds, {
          fy: (herd: string) => herd,
          text: (herd: string) => herd,
          frameAnchor: 'top-left',
          dy: 2,
          fill: INK,
          fontWeight: 'bold',
        }),
      ],
    }),
    {
      height: () => 40 + ROW * herds.length,
      title: `Cost of gain from weighing to weighing, ${price.currency} per ${price.per}`,
      description: bars.map((bar) => bar.words).join('; '),
    },
  );
}
