import type { z } from 'zod';
import type { protocolAnswer } from '../../desk/trials/trial.schema.js';
import type { Block, ReportDocument } from '../document/document.js';
import { type PlanAnswer, visiblePicture } from './trial-pictures.js';

type Protocol = z.output<typeof protocolAnswer>;

/** The sheet for the people who feed. */
export function protocolDocument(sheet: Protocol): ReportDocument {
  const nameOf = (armId: string): string => sheet.arms.find((arm) => arm.id === armId)?.name ?? '';
  const dated = sheet.steps.filter((step) => step.day !== null);
  const always = sheet.steps.filter((step) => step.day === null);
  return {
    title: `Protocol: ${sheet.trial}`,
    subtitle: sheet.question,
    paper: 'letter',
    written: `${sheet.beginsOn ?? '2000-01-01'}T00:00:00Z`,
    blocks: [
      { kind: 'heading', text: 'Arms' },
      {
        kind: 'table',
        columns: [{ title: 'Arm' }, { title: 'Feeding', width: 3 }],
        rows: sheet.arms.map((arm) => [
          `${arm.name}${arm.role === 'usual' ? ' (the usual feeding)' : ''}`,
          arm.feeding,
        ]),
      },
      ...penTable(sheet, nameOf),
      { kind: 'heading', text: 'Day by day' },
      {
        kind: 'table',
        columns: [
          { title: 'Day', numbers: true, width: 0.5 },
          { title: 'Date', width: 0.9 },
          { title: 'What to do', width: 5 },
        ],
        rows: dated.map((step) => [String(step.day), step.on ?? '', step.words]),
      },
      { kind: 'heading', text: 'Always' },
      { kind: 'list', items: always.map((step) => step.words) },
      { kind: 'heading', text: 'To record each day' },
      { kind: 'list', items: sheet.dailyRecord },
      ...(sheet.animals.length === 0
        ? []
        : ([
            { kind: 'heading', text: 'Where each animal goes, as drawn' },
            {
              kind: 'table',
              columns: [{ title: 'Animal' }, { title: 'Arm' }, { title: 'Pen' }],
              rows: [...sheet.animals]
                .sort((one, other) => (one.animal < other.animal ? -1 : 1))
                .map((one) => [one.animal, nameOf(one.armId), one.pen ?? '']),
            },
          ] as Block[])),
    ],
  };
}

/** What each pen is fed in each period, where the trial has periods or blocks and they are drawn. */
function penTable({ pens }: Protocol, nameOf: (armId: string) => string): Block[] {
  const [first] = pens;
  if (first === undefined) return [];
  const inBlocks = pens.some((pen) => pen.block !== null);
  return [
    { kind: 'heading', text: 'What each pen is fed' },
    {
      kind: 'table',
      columns: [
        { title: 'Pen' },
        ...(inBlocks ? [{ title: 'Block' }] : []),
        ...first.feedings.map(({ fromDay, on }) => ({
          title: first.feedings.length === 1 ? 'Feeding' : `From day ${fromDay}${on === null ? '' : `, ${on}`}`,
        })),
      ],
      rows: pens.map((pen) => [
        pen.pen,
        ...(inBlocks ? [pen.block ?? ''] : []),
        ...pen.feedings.map((feeding) => nameOf(feeding.armId)),
      ]),
    },
  ];
}

export async function planDocument(plan: PlanAnswer): Promise<ReportDocument> {
  const shown = (mass: { value: string; unit: string } | null): string =>
    mass === null ? 'none' : `${Number(mass.value).toFixed(2)} ${mass.unit} a day`;
  return {
    title: `What this trial can see: ${plan.trial}`,
    subtitle: plan.question,
    paper: plan.units === 'us' ? 'letter' : 'a4',
    written: '2000-01-01T00:00:00Z',
    blocks: [
      ...plan.words.map((words, index): Block => ({ kind: 'words', text: words, strong: index === 0 })),
      {
        kind: 'picture',
        drawing: await visiblePicture(plan),
        caption:
          'With fewer head only larger differences show. What lies below the curve will mostly be missed, even if it ' +
          'is there.',
      },
      { kind: 'heading', text: 'Ten and twenty head over thirty days, for comparison' },
      { kind: 'list', items: plan.overThirtyDays.map((one) => one.words.join(' ')) },
      { kind: 'heading', text: 'What it is based on' },
      {
        kind: 'table',
        columns: [
          { title: 'Spread of daily gain', width: 2 },
          { title: '', width: 1.4 },
        ],
        rows: [
          ['One unit, all parts together', shown(plan.spread.perDay)],
          ['Between animals fed alike', shown(plan.spread.ofAnimals)],
          ['From fill and scale', shown(plan.spread.ofWeighing)],
          ['Between pens fed alike', shown(plan.spread.ofPens)],
        ],
      },
      {
        kind: 'words',
        text: [
          `Source: ${plan.spread.source}.`,
          ...(plan.spread.isDefault && plan.spread.why !== null ? [plan.spread.why] : []),
          ...(plan.spread.weighing === null
            ? []
            : [
                `Fill and scale: ${plan.spread.weighing.source}.`,
                ...(plan.spread.weighing.why === null ? [] : [plan.spread.weighing.why]),
              ]),
        ].join(' '),
      },
      { kind: 'heading', text: 'Cautions' },
      { kind: 'list', items: plan.cautions.map((one) => `${one.words} (${one.source})`) },
      ...plan.limits.map((words): Block => ({ kind: 'words', text: words })),
    ],
  };
}
