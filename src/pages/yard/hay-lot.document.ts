import type { AnswerOf } from '../../platform/http/endpoint.js';
import { counted } from '../../core/units/counted.js';
import type { Block, ReportDocument } from '../document/document.js';
import { grouped, left, right, spelled, told } from './words.js';
import type { hayLotPage } from './yard.schema.js';

type Lot = AnswerOf<typeof hayLotPage>;
type Plan = Lot['plan'];
type Seen = Lot['observations'][number];

/** The query of the same page, with what is to be other. */
export function hayLotQuery({ plan }: Lot, more: Readonly<Record<string, string>>): string {
  const asked = plan.balesFrom === 'asked' ? { bales: String(plan.bales) } : {};
  return new URLSearchParams({ seed: plan.seed, ...asked, units: plan.units, ...more }).toString();
}

/** What to take to the stack, and what was seen there before: the sampling plan of a lot and its log. */
export function hayLotDocument(lot: Lot): ReportDocument {
  const { plan, invented, onDay, observations } = lot;
  return {
    title: plan.hayLot,
    subtitle: `Sampling plan and log, ${onDay}. ${leftWords(plan)}`,
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
      ...log(observations),
    ],
  };
}

function leftWords({ lotWeight, bales, balesFrom, form }: Plan): string {
  if (Number(lotWeight.value) <= 0 && bales === null) return 'Nothing is left of it.';
  const count =
    bales === null ? '' : `, ${counted(bales, 'bale')} ${balesFrom === 'asked' ? 'as counted' : 'by the books'}`;
  return `${told(lotWeight, 1)} left${count} (${spelled(form)}).`;
}

/** How many samples and cores, with what probe, and of which bales. */
function toCore(plan: Plan): Block[] {
  const { sampleCount, coresPerSample, samples } = plan;
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
    ...(samples.length === 0
      ? []
      : [
          { kind: 'heading', text: 'Bales to core' } as const,
          {
            kind: 'words',
            text:
              'Number the bales from 1 as you walk around the stack. These were drawn; take them as they come, ' +
              'whatever they look like, and strike each out when it is cored.',
          } as const,
          {
            kind: 'table',
            caption: `Drawn with seed ${plan.seed}: the same seed and number of bales draw the same bales`,
            columns: [right('Sample', 0.6), left('Part of the walk', 1.1), left('Core these bales', 4.3)],
            rows: samples.map(({ fromBale, untilBale, bales }, index) => [
              String(index + 1),
              fromBale === untilBale ? `bale ${fromBale}` : `bales ${grouped(fromBale)} to ${grouped(untilBale)}`,
              bales.map(baleWords).join('  ·  '),
            ]),
          } as const,
        ]),
  ];
}

function probeWords({ probeDepth, probeDiameter, sampleWeight }: Plan): Block[] {
  const range = ({ from, to }: NonNullable<Plan['probeDepth']>): string => `${from.value} to ${to.value} ${to.unit}`;
  const text = [
    ...(probeDiameter === null ? [] : [`A probe with a cutting edge of ${range(probeDiameter)}.`]),
    ...(probeDepth === null ? [] : [`${range(probeDepth)} deep into each bale.`]),
    ...(sampleWeight === null ? [] : [`A sample for the lab weighs about ${told(sampleWeight, 1)}.`]),
  ].join(' ');
  return text === '' ? [] : [{ kind: 'words', text }];
}

function baleWords({ bale, cores }: Plan['samples'][number]['bales'][number]): string {
  return cores === 1 ? grouped(bale) : `${grouped(bale)} (${cores} cores)`;
}

/** The rules in the order of the work; publications that say otherwise stand under the rule. */
function steps({ steps }: Plan): Block[] {
  if (steps.length === 0) return [];
  return [
    { kind: 'heading', text: 'How to take it' },
    {
      kind: 'table',
      columns: [left('About', 0.7), left('Rule', 3.4), left('Source', 2.2)],
      rows: steps.map(({ topic, words, source, otherSources }) => [
        spelled(topic),
        [words, ...otherSources.map((other) => `(${other.source}: ${other.words}.)`)].join(' '),
        source,
      ]),
    },
  ];
}

function log(observations: readonly Seen[]): Block[] {
  return [
    { kind: 'heading', text: 'What was seen of it' },
    observations.length === 0
      ? { kind: 'words', text: 'Nobody has written down a look at this lot yet.' }
      : {
          kind: 'table',
          columns: [left('Day', 0.9), left('Seen', 3.4), left('Note', 2), left('By', 1)],
          rows: observations.map((one) => [
            one.seenOn,
            one.reversal === null ? seenWords(one) : `taken back: ${one.reversal.reason}`,
            one.note ?? '',
            one.seenBy ?? '',
          ]),
        },
  ];
}

/** "mold light in 4 of 20 bales; smell musty; 131 F at 3 ft; moisture 14.5 %". */
function seenWords(seen: Seen): string {
  const { mold, balesMoldy, balesChecked, dust, balesSpoiled, smell, color, heatFelt, probe, moisturePercent } = seen;
  const of = balesChecked === null ? '' : ` of ${counted(balesChecked, 'bale')}`;
  const moldy = balesMoldy === null ? '' : ` in ${balesMoldy}${of === '' ? ' bales' : of}`;
  const depth = probe?.depth ?? null;
  return [
    ...(mold === null ? [] : [`mold ${mold}${moldy}`]),
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
