import type { z } from 'zod';
import type { judgement } from '../../desk/trials/trial-judgement.schema.js';
import type { planAnswer } from '../../desk/trials/trial.schema.js';
import { roundedUp } from '../../core/trial/words.js';
import { dashOf, draw, type Drawing, GRID, INK, inkOf } from '../document/draw-plot.js';

export type Judgement = z.output<typeof judgement>;
export type PlanAnswer = z.output<typeof planAnswer>;

const WIDTH = 680;
const number = (mass: { value: string }): number => Number(mass.value);
/** Plain digits: the typographic minus is not in every font. */
const digits = (value: number): string => String(Number(value.toFixed(4)));

/** Labels at their heights, moved apart where they would touch. */
function apart<T extends { at: number }>(labels: readonly T[], gap: number): T[] {
  const placed: T[] = [];
  for (const label of [...labels].sort((one, other) => one.at - other.at)) {
    const below = placed.at(-1);
    placed.push({ ...label, at: below === undefined ? label.at : Math.max(label.at, below.at + gap) });
  }
  return placed;
}

/** One of the three pictures of a report. */
export function reportPicture(picture: 'growth' | 'difference' | 'visible', report: Judgement): Promise<Drawing> {
  switch (picture) {
    case 'growth':
      return growthPicture(report);
    case 'difference':
      return differencePicture(report);
    case 'visible':
      return visiblePicture(report.plan);
  }
}

type GrowthPart = Pick<Judgement, 'growth' | 'arms' | 'units'>;

interface GrowthPoint {
  readonly armId: string;
  readonly day: number;
  readonly weight: number;
  /** One standard error of the mean, drawn on either side. */
  readonly reach: number;
}

function growthPoints(report: GrowthPart): GrowthPoint[] {
  return report.growth.map((point) => ({
    armId: point.armId,
    day: point.day,
    weight: number(point.meanWeight),
    reach: point.sdWeight === null || point.head < 1 ? 0 : number(point.sdWeight) / Math.sqrt(point.head),
  }));
}

/** A line for each arm, set a little apart from the others so that none hides another. */
function growthLines(report: GrowthPart, points: readonly GrowthPoint[]) {
  return report.arms.map((arm, index) => ({
    arm,
    ink: inkOf(index),
    dash: dashOf(index),
    dx: 4 * (index - (report.arms.length - 1) / 2),
    own: points.filter((point) => point.armId === arm.armId),
  }));
}

/** Mean weight of each arm on each weighing day. */
export async function growthPicture(report: GrowthPart): Promise<Drawing> {
  const unit = report.units === 'us' ? 'lb' : 'kg';
  const points = growthPoints(report);
  const low = Math.min(...points.map((point) => point.weight - point.reach));
  const high = Math.max(...points.map((point) => point.weight + point.reach));
  const pad = Math.max(1, (high - low) * 0.08);
  const lastDay = Math.max(1, ...points.map((point) => point.day));
  const lines = growthLines(report, points);
  const labels = apart(
    lines.flatMap(({ arm, ink, own }) =>
      own.length === 0 ? [] : [{ text: arm.arm, ink, at: own.at(-1)?.weight ?? 0 }],
    ),
    (high - low + 2 * pad) * 0.07,
  );
  return draw(
    (plot) => ({
      marginLeft: 56,
      marginRight: 170,
      marginBottom: 44,
      marginTop: 28,
      x: {
        label: 'day of the trial',
        labelAnchor: 'center',
        labelArrow: 'none',
        domain: [0, lastDay],
        tickFormat: digits,
        ticks: 8,
      },
      y: {
        label: `mean weight, ${unit}`,
        labelArrow: 'none',
        domain: [low - pad, high + pad],
        tickFormat: digits,
        ticks: 6,
      },
      marks: [
        plot.gridY({ stroke: GRID, strokeOpacity: 1, ticks: 6 }),
        ...lines.flatMap(({ ink, dash, dx, own }) => [
          plot.ruleX(own, {
            x: 'day',
            y1: (point: GrowthPoint) => point.weight - point.reach,
            y2: (point: GrowthPoint) => point.weight + point.reach,
            stroke: ink,
            strokeWidth: 1,
            dx,
          }),
          plot.line(own, { x: 'day', y: 'weight', stroke: ink, strokeWidth: 1.8, strokeDasharray: dash, dx }),
          plot.dot(own, { x: 'day', y: 'weight', fill: ink, r: 3, dx }),
        ]),
        ...labels.map((label) =>
          plot.text([label], {
            x: () => lastDay,
            y: 'at',
            text: 'text',
            dx: 10,
            textAnchor: 'start',
            fill: label.ink,
            fontWeight: 'bold',
            lineWidth: 13,
          }),
        ),
      ],
    }),
    { width: WIDTH, height: 320, title: 'Mean weight of each arm by day' },
  );
}

type DifferencePart = Pick<Judgement, 'comparisons' | 'units' | 'trial'>;

interface DifferenceRow {
  readonly label: string;
  /** The main answer, in a different color from the others. */
  readonly main: boolean;
  readonly best: number;
  readonly low: number;
  readonly high: number;
}

/** A row for each method that gave a difference. */
function differenceRows({ comparisons }: DifferencePart): DifferenceRow[] {
  return comparisons.flatMap((one) => {
    const name = comparisons.length > 1 ? `${one.change}: ` : '';
    const welch = one.answer?.method === 'welch' ? null : one.asDrawn.welch;
    return [
      { label: `${name}all as drawn`, given: one.answer, main: true },
      { label: `${name}plain means (Welch)`, given: welch, main: false },
      { label: `${name}followed protocol`, given: one.perProtocol.answer, main: false },
      { label: `${name}animals only, no proof`, given: one.animalsOnly, main: false },
    ].flatMap(({ label, given, main }) =>
      given === null
        ? []
        : [{ label, main, best: number(given.difference), low: number(given.low), high: number(given.high) }],
    );
  });
}

/** Range of the axis: zero and the worthwhile difference on both sides always show. */
function differenceDomain(rows: readonly DifferenceRow[], worthwhile: number): [number, number] {
  if (rows.length === 0) return [-worthwhile * 1.15, worthwhile * 1.15];
  return [
    Math.min(-worthwhile * 1.3, ...rows.map((row) => row.low * 1.1)),
    Math.max(worthwhile * 1.3, ...rows.map((row) => row.high * 1.1)),
  ];
}

const inkOfRow = (row: DifferenceRow): string => (row.main ? inkOf(1) : inkOf(0));

/** The difference in daily gain with its interval, by each method; zero and the worthwhile difference as lines. */
export async function differencePicture(report: DifferencePart): Promise<Drawing> {
  const unit = report.units === 'us' ? 'lb' : 'kg';
  const rows = differenceRows(report);
  const worthwhile = number(report.trial.worthwhileDifference);
  return draw(
    (plot) => ({
      marginLeft: 176,
      marginRight: 24,
      marginTop: 40,
      marginBottom: 48,
      x: {
        label: `difference in daily gain, change less usual, ${unit} a day`,
        labelAnchor: 'center',
        labelArrow: 'none',
        domain: differenceDomain(rows, worthwhile),
        tickFormat: digits,
        ticks: 8,
      },
      y: { type: 'point', label: null, domain: rows.map((row) => row.label), padding: 0.6 },
      marks: [
        plot.gridX({ stroke: GRID, strokeOpacity: 1, ticks: 8 }),
        plot.ruleX([0], { stroke: INK, strokeWidth: 1.5 }),
        plot.ruleX([-worthwhile, worthwhile], { stroke: INK, strokeDasharray: '3 3' }),
        plot.text([{ x: 0, words: 'no difference' }], {
          x: 'x',
          text: 'words',
          frameAnchor: 'top',
          dy: -16,
          fill: INK,
        }),
        plot.text([{ x: worthwhile, words: 'worthwhile' }], {
          x: 'x',
          text: 'words',
          frameAnchor: 'top',
          dy: -30,
          fill: INK,
        }),
        plot.ruleY(rows, {
          y: 'label',
          x1: 'low',
          x2: 'high',
          stroke: inkOfRow,
          strokeWidth: 2.5,
        }),
        plot.dot(rows, {
          y: 'label',
          x: 'best',
          fill: inkOfRow,
          r: 4.5,
        }),
        plot.text(rows, {
          y: 'label',
          x: 'best',
          text: (row: DifferenceRow) => row.best.toFixed(2),
          dy: -13,
          fill: INK,
        }),
      ],
    }),
    { width: WIDTH, height: 100 + 44 * Math.max(1, rows.length), title: 'Difference in daily gain with its interval' },
  );
}

/** Head or pens per arm against the smallest difference that they can show. */
export async function visiblePicture(plan: PlanAnswer): Promise<Drawing> {
  const unit = plan.units === 'us' ? 'lb' : 'kg';
  const name = plan.unit === 'pen' ? 'pens' : 'head';
  const most = Math.max(plan.unit === 'pen' ? 20 : 60, plan.unitsPerArm * 1.5);
  const all = plan.curve.map((point) => ({ units: point.unitsPerArm, visible: number(point.visibleDifference) }));
  const own = all.find((point) => point.units === plan.unitsPerArm);
  const worthwhile = number(plan.worthwhileDifference);
  // The first points are so high that they would flatten all others.
  const ceiling = Math.max(3.5 * worthwhile, (own?.visible ?? 0) * 1.6);
  const points = all.filter((point) => point.units <= most && point.visible <= ceiling);
  return draw(
    (plot) => ({
      marginLeft: 56,
      marginRight: 30,
      marginBottom: 44,
      marginTop: 30,
      x: {
        label: `${name} in each arm`,
        labelAnchor: 'center',
        labelArrow: 'none',
        domain: [0, most],
        tickFormat: digits,
      },
      y: {
        label: `smallest difference seen in ${Math.round(plan.powerAimedFor * 100)} % of trials, ${unit} a day`,
        labelArrow: 'none',
        domain: [0, ceiling],
        tickFormat: digits,
        ticks: 6,
      },
      marks: [
        plot.gridY({ stroke: GRID, strokeOpacity: 1, ticks: 6 }),
        plot.ruleY([0], { stroke: INK }),
        plot.ruleY([worthwhile], { stroke: INK, strokeDasharray: '3 3' }),
        plot.text([{ words: `worthwhile: ${worthwhile.toFixed(2)} ${unit} a day` }], {
          x: () => most,
          y: () => worthwhile,
          text: 'words',
          textAnchor: 'end',
          dy: -9,
          fill: INK,
        }),
        plot.line(points, { x: 'units', y: 'visible', stroke: inkOf(2), strokeWidth: 2, curve: 'monotone-x' }),
        plot.dot(points, { x: 'units', y: 'visible', fill: inkOf(2), r: 2.5 }),
        ...(own === undefined
          ? []
          : [
              plot.dot([own], { x: 'units', y: 'visible', fill: inkOf(1), r: 6 }),
              plot.text([own], {
                x: 'units',
                y: 'visible',
                text: () => `this trial: ${own.units} ${name}, ${roundedUp(own.visible, 2)} ${unit} a day`,
                textAnchor: 'start',
                dx: 10,
                dy: -12,
                fill: inkOf(1),
                fontWeight: 'bold',
              }),
            ]),
      ],
    }),
    { width: WIDTH, height: 320, title: `Smallest visible difference by number of ${name}` },
  );
}
