import { spelledNutrient } from '../../core/nutrients/nutrients.js';
import { BAR_INKS, type Drawing, INK } from '../document/draw-plot.js';
import { grouped } from '../yard/words.js';
import { figure, type NutrientLine as Line } from '../yard/nutrient-lines.js';
import { drawBoth } from './both-widths.js';

interface Bar {
  readonly nutrient: string;
  readonly percent: number;
  readonly verdict: Line['verdict'];
  readonly words: string;
}

/** A longer bar would show nothing more. */
const MOST_PERCENT = 200;

function barOf({ nutrient, supply, need, verdict, unit }: Line): Bar[] {
  if (supply === null || need === null || need <= 0) return [];
  const percent = (supply / need) * 100;
  return [
    {
      nutrient: spelledNutrient(nutrient),
      percent: Math.min(percent, MOST_PERCENT),
      verdict,
      words: `${grouped(percent)} % (${figure(supply, unit).replace(` ${unit}`, '')} of ${figure(need, unit)})`,
    },
  ];
}

const ROW_BROAD = 24;
const ROW_NARROW = 40;
/** Room for the words beside the longest bar, in points. */
const LABEL_MARGIN = 12;
const LETTER_WIDTH = 6;
const labelOf = ({ words, verdict }: Bar): string => `${words}${verdict === 'meets' ? '' : `, ${verdict}`}`;

function inkOfBar({ verdict }: Bar): string {
  return verdict in BAR_INKS ? BAR_INKS[verdict as keyof typeof BAR_INKS] : BAR_INKS.meets;
}

/** Supply as a share of the need, a bar for each nutrient with its figures; none where no need is known. */
export async function needBars(of: string, lines: readonly Line[]): Promise<Drawing | null> {
  const bars = lines.flatMap(barOf);
  if (bars.length === 0) return null;
  return drawBoth(
    (plot, { narrow }) => ({
      marginLeft: narrow ? 4 : 170,
      marginRight: narrow ? 16 : LABEL_MARGIN + LETTER_WIDTH * Math.max(...bars.map((bar) => labelOf(bar).length)),
      marginBottom: 34,
      x: { domain: [0, MOST_PERCENT], label: '% of the need', labelArrow: 'none', ticks: 5 },
      y: {
        domain: bars.map((bar) => bar.nutrient),
        label: null,
        tickSize: 0,
        padding: 0,
        ...(narrow ? { axis: null } : {}),
      },
      marks: [
        plot.barX(bars, {
          x: 'percent',
          y: 'nutrient',
          fill: inkOfBar,
          insetTop: narrow ? 20 : 4,
          insetBottom: narrow ? 6 : 4,
        }),
        plot.tickX(bars, {
          x: () => 100,
          y: 'nutrient',
          stroke: INK,
          strokeWidth: 1.5,
          insetTop: narrow ? 17 : 0,
          insetBottom: narrow ? 3 : 0,
        }),
        plot.text(bars, {
          x: narrow ? () => 0 : 'percent',
          y: 'nutrient',
          text: (bar: Bar) => (narrow ? `${bar.nutrient}: ${labelOf(bar)}` : labelOf(bar)),
          textAnchor: 'start',
          dx: narrow ? 0 : 4,
          dy: narrow ? -9 : 0,
          fill: INK,
          stroke: '#fff',
          strokeWidth: 4,
        }),
      ],
    }),
    {
      height: ({ narrow }) => 50 + (narrow ? ROW_NARROW : ROW_BROAD) * bars.length,
      title: `${of}: fed as a share of the need`,
      description: bars.map((bar) => `${bar.nutrient} ${labelOf(bar)}`).join('; '),
    },
  );
}
