import { counted } from '../../core/units/counted.js';
import type { AnswerOf } from '../../platform/http/endpoint.js';
import type { Block, ReportDocument } from '../document/document.js';
import { fedPicture } from '../pictures/fed-picture.js';
import { weightPicture } from '../pictures/weight-picture.js';
import { grouped, left, right, shown, spelled } from '../yard/words.js';
import type { herdPage } from './herd-page.schema.js';

type Page = AnswerOf<typeof herdPage>;

/** A herd: what it is today, how its weight goes, and what it was fed against what was planned. */
export async function herdDocument(page: Page): Promise<ReportDocument> {
  const { state, trend, fed, from, until, units } = page;
  return {
    title: `${state.herd}, ${page.operation}`,
    subtitle: `${from} to ${until}`,
    paper: units === 'us' ? 'letter' : 'a4',
    written: `${until}T00:00:00Z`,
    blocks: [
      ...(page.invented
        ? [{ kind: 'mark', text: 'Invented demo data. No person, ranch or animal in it exists.' } as const]
        : []),
      { kind: 'words', strong: true, text: standingWords(page) },
      { kind: 'heading', text: 'Weight' },
      {
        kind: 'picture',
        drawing: await weightPicture(trend, until),
        caption:
          'Full weight of the mean animal, without the calf carried. Filled dots were weighed, open ones stated; ' +
          'the shaded range is how far off the mean may be.',
      },
      weightTable(page),
      { kind: 'heading', text: 'Fed against planned' },
      { kind: 'words', text: fedWords(page) },
      ...(fed.days.length === 0
        ? []
        : [
            {
              kind: 'picture',
              drawing: await fedPicture(fed),
              caption: 'Bars are what was fed, the black line over them what the ration in use plans.',
            } as const,
            fedTable(page),
          ]),
      { kind: 'heading', text: 'What it is based on' },
      { kind: 'list', items: state.restsOn.map((one) => one.message) },
    ],
  };
}

function standingWords({ state, until }: Page): string {
  const { weight, targetDailyGain, condition, parts } = state;
  return [
    `On ${until}: ${[...new Set(parts.map((part) => spelled(part.cattleClass)))].join(', ')}.`,
    `${shown(weight.mean, 0)} each, plus or minus ${shown(weight.plusMinus, 0)}, from ${weight.from}.`,
    targetDailyGain === null ? '' : `The target gain is ${shown(targetDailyGain, 2)} a day.`,
    condition === null ? '' : `Condition ${condition.score}, scored on ${condition.scoredOn}.`,
  ]
    .filter((one) => one !== '')
    .join(' ');
}

const TAKEN = { 'weigh-in': 'weighed', 'stated-weight': 'stated', entry: 'as entered' } as const;

function weightTable({ trend, until }: Page): Block {
  return {
    kind: 'table',
    columns: [left('Day', 1.2), right('Mean weight'), right('Plus or minus'), left('From', 1.6)],
    rows: trend.weights.map(({ on, mean, plusMinus, taken, takenOn }) => [
      on,
      shown(mean, 0),
      shown(plusMinus, 0),
      takenOn === on ? TAKEN[taken] : `${on > until ? 'projected' : 'carried on'} from ${takenOn}`,
    ]),
  };
}

function fedWords({ fed }: Page): string {
  if (fed.daysFed === 0) return 'No feeding is on record in these days.';
  const apart = fed.differencePercent === null ? '' : ` (${grouped(fed.differencePercent, 1)} %)`;
  const other =
    fed.misplacedSharePercent === null ? '' : ` ${grouped(fed.misplacedSharePercent, 1)} % was other hay than planned.`;
  return (
    `A head got ${shown(fed.fed, 1)} of dry matter a day, ${shown(fed.planned, 1)} was planned${apart}.${other} ` +
    `Fed on ${counted(fed.daysFed, 'day')}, not fed on ${counted(fed.daysNotFed, 'day')} with a ration in use, ` +
    `without a ration on ${grouped(fed.daysWithoutRation)}.`
  );
}

function fedTable({ fed }: Page): Block {
  return {
    kind: 'table',
    columns: [
      left('Day', 1.2),
      left('Ration', 2),
      right('Fed'),
      right('Planned'),
      right('Difference'),
      right('Other hay than planned', 1.3),
      left('Order', 1.2),
    ],
    rows: fed.days.map((one) => [
      one.onDay,
      one.ration ?? 'none in use',
      shown(one.fed, 1),
      shown(one.planned, 1),
      one.differencePercent === null ? '' : `${grouped(one.differencePercent, 1)} %`,
      one.misplacedSharePercent === null ? '' : `${grouped(one.misplacedSharePercent, 1)} %`,
      one.blended ? 'mixed' : one.outOfOrder ? 'other than planned' : 'as planned',
    ]),
  };
}
