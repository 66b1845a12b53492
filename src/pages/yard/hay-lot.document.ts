import type { AnswerOf } from '../../platform/http/endpoint.js';
import { counted } from '../../core/units/counted.js';
import type { Block, ReportDocument } from '../document/document.js';
import { grouped, left, right, spelled, shown } from './words.js';
import type { hayLotPage } from './yard.schema.js';

type Lot = AnswerOf<typeof hayLotPage>;
type Plan = Lot['plan'];
type Seen = Lot['observations'][number];

/** What to take to the stack, and what was seen there before: the sampling plan of a lot and its log. */
export function hayLotDocument(lot: Lot): ReportDocument {
  const { plan, invented, onDay } = lot;
  return {
    title: `Sampling plan: ${plan.hayLot}`,
    subtitle: `${onDay}. ${leftWords(plan)}`,
    paper: plan.units === 'us' ? 'letter' : 'a4',
    written: `${onDay}T00:00:00Z`,
    blocks: [
      ...(invented
        ? [{ kind: 'mark', text: 'Invented demo data. No person, ranch or animal in it exists.' } as const]
        : []),
      ...plan.cautions.map(({ severity, title, message, advice }): Block => ({
        kind: severity === 'danger' ? 'mark' : 'words',
        text: `${severity === 'danger' ? 'DANGER. ' : ''}${title}. ${message} ${advice}`,
      })),
      ...toCore(plan),
      ...steps(plan),
      ...log(lot),
      ...sources(plan),
    ],
  };
}

function leftWords({ lotWeight, bales, balesFrom, form }: Plan): string {
  if (Number(lotWeight.value) <= 0 && bales === null) return 'Nothing is left of it.';
  const count =
    bales === null ? '' : `, ${counted(bales, 'bale')} ${balesFrom === 'asked' ? 'as counted' : 'by the books'}`;
  return `${shown(lotWeight, 1)} left${count} (${spelled(form)}).`;
}

/** How many samples and cores, with what probe, and of which bales. */
function toCore(plan: Plan): Block[] {
  const { sampleCount, coresPerSample } = plan;
  if (sampleCount === 0) return [];
  const unit = plan.form === 'silage' ? 'scoops' : 'cores';
  const several = sampleCount === 1 ? '' : ', each of its own part of the lot; average their results';
  return [
    { kind: 'heading', text: 'What to take' },
    {
      kind: 'words',
      strong: true,
      text: `${counted(sampleCount, 'sample')} of ${coresPerSample} ${unit}${several}.`,
    },
    ...probeWords(plan),
    ...balesToCore(plan),
  ];
}

/** The numbers to carry to the stack, large enough to be read there. */
function balesToCore({ samples, seed }: Plan): Block[] {
  if (samples.length === 0) return [];
  return [
    { kind: 'heading', text: 'Bales to core' },
    {
      kind: 'words',
      text:
        'Number the bales from 1 as you walk around the stack. These were drawn; take them as they come, whatever ' +
        'they look like, and strike each out when it is cored.',
    },
    ...samples.map(({ fromBale, untilBale, bales }, index): Block => {
      const part = fromBale === untilBale ? `bale ${fromBale}` : `bales ${grouped(fromBale)} to ${grouped(untilBale)}`;
      return {
        kind: 'words',
        strong: true,
        text: `Sample ${index + 1} (${part}): ${bales.map(baleWords).join('  ·  ')}`,
      };
    }),
    { kind: 'words', text: `Drawn with seed ${seed}: the same seed and number of bales draw the same bales.` },
  ];
}

function probeWords({ probeDepth, probeDiameter, sampleWeight }: Plan): Block[] {
  const range = ({ from, to }: NonNullable<Plan['probeDepth']>): string => `${from.value} to ${to.value} ${to.unit}`;
  const text = [
    ...(probeDiameter === null ? [] : [`A probe with a cutting edge of ${range(probeDiameter)}.`]),
    ...(probeDepth === null ? [] : [`${range(probeDepth)} deep into each bale.`]),
    ...(sampleWeight === null ? [] : [`A sample for the lab weighs about ${shown(sampleWeight, 1)}.`]),
  ].join(' ');
  return text === '' ? [] : [{ kind: 'words', text }];
}

function baleWords({ bale, cores }: Plan['samples'][number]['bales'][number]): string {
  return cores === 1 ? grouped(bale) : `${grouped(bale)} (${cores} cores)`;
}

/** The rules in the order of the work, each with the number of its source. */
function steps({ steps }: Plan): Block[] {
  if (steps.length === 0) return [];
  const numberOf = numbersOf(steps);
  return [
    { kind: 'heading', text: 'How to take it' },
    {
      kind: 'table',
      columns: [left('About', 0.8), left('Rule', 5), right('Source', 0.6)],
      rows: steps.map((step) => [spelled(step.topic), step.words, `[${numberOf(step)}]`]),
    },
  ];
}

/** What other publications say instead, and the sources in the order in which they are cited. */
function sources({ steps }: Plan): Block[] {
  if (steps.length === 0) return [];
  const numberOf = numbersOf(steps);
  const others = steps.flatMap(({ topic, otherSources }) => otherSources.map((other) => ({ topic, ...other })));
  const cited = [...new Set(citationsOf(steps).map(sourceWords))];
  return [
    ...(others.length === 0
      ? []
      : [
          { kind: 'heading', text: 'Other publications say' } as const,
          {
            kind: 'table',
            columns: [left('About', 0.8), left('Instead', 5), right('Source', 0.6)],
            rows: others.map((other) => [spelled(other.topic), other.words, `[${numberOf(other)}]`]),
          } as const,
        ]),
    { kind: 'heading', text: 'Sources' },
    { kind: 'list', items: cited.map((words, index) => `[${index + 1}] ${words}`) },
  ];
}

interface Cited {
  source: string;
  sourceStatus: string;
}

const citationsOf = (steps: Plan['steps']): Cited[] => [...steps, ...steps.flatMap((step) => step.otherSources)];

/** A source that was not read in the cited page says so; practice that nobody published says it by its name. */
function sourceWords({ source, sourceStatus }: Cited): string {
  return sourceStatus === source ? source : `${source} (${sourceStatus})`;
}

function numbersOf(steps: Plan['steps']): (cited: Cited) => number {
  const all = [...new Set(citationsOf(steps).map(sourceWords))];
  return (cited) => all.indexOf(sourceWords(cited)) + 1;
}

/** Looks at the lot and at those that its hay was, or had been, a part of, newest first. */
function log({ observations, elsewhere }: Lot): Block[] {
  const looks = [
    ...observations.map((seen) => ({ seen, where: '' })),
    ...elsewhere.map(({ hayLot, observation }) => ({ seen: observation, where: `In ${hayLot}: ` })),
  ].sort((a, b) => (a.seen.seenOn < b.seen.seenOn ? 1 : -1));
  return [
    { kind: 'heading', text: 'What was seen of it' },
    ...(observations.length === 0
      ? [{ kind: 'words', text: 'Nobody has written down a look at this lot itself yet.' } as const]
      : []),
    ...(looks.length === 0
      ? []
      : [
          {
            kind: 'table',
            columns: [left('Day', 0.9), left('Seen', 3.4), left('Note', 2), left('By', 1)],
            rows: looks.map(({ seen, where }) => [
              seen.seenOn,
              seen.reversal === null ? `${where}${seenWords(seen)}` : `taken back: ${seen.reversal.reason}`,
              seen.note ?? '',
              seen.seenBy ?? '',
            ]),
          } as const,
        ]),
  ];
}

/** "mold light in 4 of 20 bales; smell musty; 131 F at 3 ft; moisture 14.5 %". */
function seenWords(seen: Seen): string {
  const { mold, balesMoldy, balesChecked, dust, balesSpoiled, smell, color, heatFelt, probe, moisturePercent } = seen;
  const of = balesChecked === null ? '' : ` of ${counted(balesChecked, 'bale')}`;
  const moldy = balesMoldy === null ? '' : ` in ${balesMoldy}${of === '' ? ' bales' : of}`;
  const checked = balesChecked === null ? '' : ` in ${counted(balesChecked, 'bale')}`;
  const depth = probe?.depth ?? null;
  return [
    ...(mold === null ? [] : [mold === 'none' ? `no mold${checked}` : `mold ${mold}${moldy}`]),
    ...(dust === null ? [] : [`dust ${dust}`]),
    ...(balesSpoiled === null ? [] : [`${balesSpoiled}${of === '' ? ' bales' : of} spoiled`]),
    ...(smell === null ? [] : [`smell ${smell}`]),
    ...(color === null ? [] : [spelled(color)]),
    ...(heatFelt === null ? [] : [`felt ${heatFelt}`]),
    ...(probe === null
      ? []
      : [
          `probe ${probe.temperature.value} °${probe.temperature.unit}` +
            (depth === null ? '' : ` at ${depth.value} ${depth.unit}`),
        ]),
    ...(moisturePercent === null ? [] : [`moisture ${moisturePercent} %`]),
    ...(balesChecked === null || moldy !== '' || balesSpoiled !== null
      ? []
      : [`${counted(balesChecked, 'bale')} looked at`]),
  ].join('; ');
}
