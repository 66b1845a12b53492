import type { AnswerOf } from '../../platform/http/endpoint.js';
import { counted } from '../../core/units/counted.js';
import type { Block, ReportDocument } from '../document/document.js';
import { daysSaid, grouped, left, paid, right, shown, perHeadShown } from './words.js';
import { needBars } from '../pictures/need-bars.js';
import { linesTable } from './nutrient-lines.js';
import type { rationReportPage } from './yard.schema.js';

type Report = AnswerOf<typeof rationReportPage>;
type Review = Report['reviews'][number];

/** What each herd is fed at present against what it needs, for the rancher who pays for the advice. */
export async function rationReportDocument(report: Report): Promise<ReportDocument> {
  const herds: Block[][] = [];
  for (const review of report.reviews) herds.push(await herdBlocks(review));
  return {
    title: `Ration report: ${report.operation}`,
    subtitle: `Fed against needed, ${report.onDay}`,
    paper: report.units === 'us' ? 'letter' : 'a4',
    written: `${report.onDay}T00:00:00Z`,
    blocks: [
      ...(report.invented
        ? [{ kind: 'mark', text: 'Invented demo data. No person, ranch or animal in it exists.' } as const]
        : []),
      ...(herds.length === 0 ? [{ kind: 'words', text: 'No herd has cattle on this day.' } as const] : herds.flat()),
      {
        kind: 'words',
        text:
          'Needs come from published equations, contents from lab tests or, where it says so, from a book. These ' +
          'figures aid the judgment of a licensed nutritionist and do not replace it. Before acting on a caution, ' +
          'ask the people it names, and the lab.',
      },
    ],
  };
}

const BARS_SAID = 'Fed as a share of the need; the line is the need itself.';

async function herdBlocks(review: Review): Promise<Block[]> {
  const bars = await needBars(review.herd, review.lines);
  return [
    { kind: 'heading', text: `${review.herd}, ${grouped(review.head)} head` },
    { kind: 'words', text: herdWords(review) },
    ...(review.refusedBecause.length === 0
      ? []
      : [{ kind: 'list', items: review.refusedBecause.map((one) => `Not judged: ${one.message}`) } as const]),
    ...(review.layers.length === 0 ? [] : [layersTable(review)]),
    ...(bars === null ? [] : [{ kind: 'picture', drawing: bars, caption: BARS_SAID } as const]),
    ...(bars === null ? [] : [linesTable(review.lines)]),
    ...(review.cautions.length === 0
      ? []
      : [
          { kind: 'words', strong: true, text: 'Cautions' } as const,
          {
            kind: 'list',
            items: review.cautions.map(
              (one) =>
                `${one.severity === 'danger' ? 'DANGER. ' : ''}${one.title}. ${one.message} ${one.advice} ` +
                `Ask: ${one.consult.join(', ')}.`,
            ),
          } as const,
        ]),
    ...(review.notes.length === 0
      ? []
      : [
          { kind: 'words', strong: true, text: 'What the figures rest on' } as const,
          { kind: 'list', items: review.notes.map((one) => one.message) } as const,
        ]),
    ...(review.bookValues.length === 0
      ? []
      : [{ kind: 'words', text: `On book values, not on a test: ${bookWords(review)}.` } as const]),
  ];
}

const WEATHER_SAID: Record<NonNullable<Review['weather']>['from'], (onDay: string) => string> = {
  recorded: (onDay) => `Weather of ${onDay} counted.`,
  usual: (onDay) => `The usual weather of the month of ${onDay} counted.`,
  'last-week': () => 'The mean of the last recorded week counted; a note names its days.',
  stated: () => 'Weather as it was stated counted.',
};

function fedWords({ from, until, daysAgo }: NonNullable<Review['feedings']>): string {
  return `Fed from ${from} to ${until}${daysAgo === 0 ? '' : `, ${daysSaid(daysAgo)} before this day`}.`;
}

/** What the judgement rests on: what was fed or, where nothing is fed at present, the ration in use. */
function judgedWords({ feedings, byRation }: Review): string {
  const fed = feedings === null ? 'Nothing fed is on record.' : fedWords(feedings);
  return byRation === null ? fed : `${fed} Judged by the ration in use, "${byRation}", as if it were fed.`;
}

function herdWords(review: Review): string {
  const { expectedDailyGain, weather, costPerHeadDay } = review;
  const direction = review.conditionDirection ?? 'change';
  return [
    `${shown(review.bodyWeight, 0)} each, from ${review.bodyWeightFrom}.`,
    judgedWords(review),
    review.wastedPercent === 0
      ? 'Nothing is taken off for waste.'
      : `${grouped(review.wastedPercent, 1)} % taken off for waste (${review.wastedRestsOn}).`,
    weather === null ? 'No weather of these days is on record.' : WEATHER_SAID[weather.from](weather.onDay),
    expectedDailyGain === null ? '' : `Gain to expect: ${shown(expectedDailyGain, 2)} a day.`,
    review.daysToOneConditionScore === null || review.conditionDirection === 'steady'
      ? ''
      : `Condition: one score of ${direction} in ${daysSaid(review.daysToOneConditionScore)}.`,
    costPerHeadDay === null ? '' : `Hay costs ${paid(costPerHeadDay)} per head per day.`,
  ]
    .filter((part) => part !== '')
    .join(' ');
}

function layersTable({ layers }: Review): Block {
  return {
    kind: 'table',
    columns: [left('Layer'), left('Lot', 2), right('Per head'), left('Tested')],
    rows: layers.map((one) => [one.role, one.hayLot, perHeadShown(one.perHead), one.testedOn ?? 'no test']),
  };
}

function bookWords({ bookValues }: Review): string {
  return bookValues.map((one) => `${one.hayLot} (${counted(one.fields.length, 'value')})`).join(', ');
}
