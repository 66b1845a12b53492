import { counted } from '../../core/units/counted.js';
import { roundedOutward } from '../../core/trial/words.js';
import type { Block, Column, ReportDocument } from '../document/document.js';
import { differencePicture, growthPicture, type Judgement, visiblePicture } from './trial-pictures.js';

interface Measured {
  value: string;
  unit: string;
}
interface Priced {
  amount: string;
  currency: string;
}

const MOST_GAPS = 40;
const MOST_INFLUENCE = 5;

const fixed = (value: string | number, places: number): string => {
  const text = Number(value).toFixed(places);
  return /^-0(\.0*)?$/.test(text) ? text.slice(1) : text;
};
const mass = (given: Measured | null, places = 2): string =>
  given === null ? 'not known' : `${fixed(given.value, places)} ${given.unit}`;
/** Rounded outward: what is printed is never narrower than what was found. */
const interval = (low: Measured, high: Measured): string => {
  const rounded = roundedOutward({ low: Number(low.value), high: Number(high.value), places: 2 });
  return `${rounded.low} to ${rounded.high} ${high.unit}`;
};
const grouped = (given: Measured): string =>
  `${Number(given.value).toLocaleString('en-US', { maximumFractionDigits: 0 })} ${given.unit}`;
const ratio = (given: number | null): string => (given === null ? 'no meaning' : given.toFixed(1));
const share = (given: number): string => `${(given * 100).toFixed(1)} %`;
const money = (given: Priced): string => `${given.amount} ${given.currency}`;
const moneyOrNot = (given: Priced | null): string => (given === null ? 'not known' : money(given));
const price = (given: (Priced & { per: string }) | null): string =>
  given === null ? 'no meaning' : `${fixed(given.amount, 2)} ${given.currency} per ${given.per}`;
const pValue = (p: number | null): string => (p === null ? '' : p < 0.001 ? 'below 0.001' : p.toFixed(3));
const VERDICTS = {
  favours: 'favors one feeding',
  'no-clear-difference': 'no clear difference',
  'too-small-to-tell': 'too small to tell',
} as const;
const METHODS = {
  welch: 'Welch',
  pooled: 'pooled',
  'analysis-of-covariance': 'allowing for start weight',
  'mixed-model': 'pens or blocks held against themselves',
} as const;

export async function trialReport(report: Judgement): Promise<ReportDocument> {
  const { trial } = report;
  return {
    title: `Feeding trial: ${trial.name}`,
    subtitle: trial.question,
    paper: report.units === 'us' ? 'letter' : 'a4',
    written: report.recordedAt,
    blocks: [
      ...(report.invented
        ? [{ kind: 'mark', text: 'Invented demo data. No person, ranch or animal in it exists.' } as const]
        : []),
      {
        kind: 'words',
        text: [
          `${report.operation}. Day 0 was ${trial.beginsOn}; judged as of ${report.asOf}, day ${report.dayOfTrial}`,
          `of a trial of ${counted(trial.lengthDays, 'day')}. Look ${report.look.number},`,
          report.look.final ? 'with the trial over.' : 'with the trial still running.',
        ].join(' '),
      },
      ...answer(report),
      ...(await difference(report)),
      ...(await growth(report)),
      ...worth(report),
      ...soundness(report),
      ...departures(report),
      ...(await planned(report)),
      ...origin(report),
    ],
  };
}

function answer(report: Judgement): Block[] {
  const { look } = report;
  return [
    { kind: 'heading', text: 'The answer' },
    ...(look.peeking
      ? [
          {
            kind: 'mark',
            text: [
              look.final ? 'The trial was looked at before its end without a plan for it.' : 'An unplanned look.',
              `The interval is given at ${share(look.intervalConfidence)} instead of ${share(look.confidence)},`,
              'because looking often finds differences that are not there.',
            ].join(' '),
          } as const,
        ]
      : []),
    ...report.words.map((words, index): Block => ({ kind: 'words', text: words, strong: index === 0 })),
    ...report.limits.map((words): Block => ({ kind: 'words', text: words })),
  ];
}

async function difference(report: Judgement): Promise<Block[]> {
  const columns: Column[] = [
    { title: 'Estimated by', width: 2.4 },
    { title: 'Difference per day', numbers: true, width: 1.3 },
    { title: 'Interval', numbers: true, width: 2 },
    { title: 'Confidence', numbers: true, width: 1.4 },
    { title: 'p', numbers: true, width: 1.1 },
    { title: 'Verdict', width: 1.9 },
  ];
  const blocks: Block[] = [
    { kind: 'heading', text: 'Difference in daily gain' },
    {
      kind: 'picture',
      drawing: await differencePicture(report),
      caption:
        'Best single figure (dot) and interval (bar). Right of the full line the change gained more, left of it ' +
        'less. The dashed lines are the difference named as worthwhile before the trial.',
    },
  ];
  for (const one of report.comparisons) {
    const line = (name: string, given: (typeof one)['answer'], verdict: keyof typeof VERDICTS | null): string[][] =>
      given === null
        ? []
        : [
            [
              `${name} (${METHODS[given.method]})`,
              mass(given.difference),
              interval(given.low, given.high),
              share(given.confidence),
              pValue(given.p),
              verdict === null ? '' : VERDICTS[verdict],
            ],
          ];
    blocks.push({
      kind: 'table',
      columns,
      caption: `${one.change}, less ${one.usual}`,
      rows: [
        ...line('All as drawn', one.answer, one.verdict),
        ...(one.answer?.method === 'welch' ? [] : line('All as drawn', one.asDrawn.welch, null)),
        ...line('With what lingers from the period before', one.designed?.carryOver?.allowedFor ?? null, null),
        ...line('Followed the protocol', one.perProtocol.answer, one.perProtocol.verdict),
        ...line('Animals only, which proves nothing', one.animalsOnly, null),
        ...(one.missing === null
          ? []
          : [
              ...line(
                `If the ${one.missing.head} missing had gained least on the change`,
                one.missing.againstChange,
                null,
              ),
              ...line(
                `If the ${one.missing.head} missing had gained most on the change`,
                one.missing.againstUsual,
                null,
              ),
            ]),
      ],
    });
  }
  return blocks;
}

const hasPeriods = ({ animals }: Judgement): boolean => animals.some((animal) => animal.period !== null);
const headTitle = (report: Judgement): string =>
  hasPeriods(report) ? 'Head, once for each period begun' : 'Head drawn';

async function growth(report: Judgement): Promise<Block[]> {
  const { arms } = report;
  const columns: Column[] = [
    { title: '', width: 2.2 },
    ...arms.map((arm): Column => ({ title: arm.arm, numbers: true, width: 1.6 })),
  ];
  const row = (title: string, cell: (arm: Judgement['arms'][number]) => string): string[] => [title, ...arms.map(cell)];
  const hay = (title: string, cell: (hay: NonNullable<Judgement['arms'][number]['hay']>) => string): string[] =>
    row(title, (arm) => (arm.hay === null ? 'not recorded' : cell(arm.hay)));
  const cost = (title: string, cell: (cost: NonNullable<Judgement['arms'][number]['cost']>) => string): string[] =>
    row(title, (arm) => (arm.cost === null ? '' : cell(arm.cost)));
  const unit = arms.find((arm) => arm.dailyGain !== null)?.dailyGain?.unit ?? '';
  return [
    { kind: 'heading', text: 'Growth, hay and cost by arm' },
    ...(report.growth.length === 0
      ? []
      : [
          {
            kind: 'picture',
            drawing: await growthPicture(report),
            caption:
              'Mean weight of the animals weighed on each day; the bars are one standard error of the mean either way.',
          } as const,
        ]),
    {
      kind: 'table',
      columns,
      rows: [
        row('Feeding', (arm) => arm.feeding),
        row(headTitle(report), (arm) => String(arm.headDrawn)),
        row('Head with a gain', (arm) => String(arm.headWithGain)),
        row('Head that died', (arm) => String(arm.headDied)),
        row('Head that finished', (arm) => (arm.headFinished === null ? 'not kept' : String(arm.headFinished))),
        row('Head-days', (arm) => String(arm.headDays)),
        row('Daily gain, mean', (arm) => mass(arm.dailyGain)),
        row('Daily gain with the dead counted in', (arm) => mass(arm.dailyGainDeadsIn)),
        row('Gain per head started, the dead counted in', (arm) =>
          mass(arm.gainOverTrial?.deadsInPerHeadStarted ?? null, 1),
        ),
        row('Gain per head finished, the dead counted in', (arm) =>
          mass(arm.gainOverTrial?.deadsInPerHeadFinished ?? null, 1),
        ),
        row('Gain per head finished, the dead left out', (arm) =>
          mass(arm.gainOverTrial?.deadsOutPerHeadFinished ?? null, 1),
        ),
        hay('Hay fed per head per day', (one) => mass(one.fedPerHeadDay, 1)),
        hay('Hay eaten per head per day', (one) => mass(one.eatenPerHeadDay, 1)),
        hay('Hay wasted per head per day', (one) => mass(one.wastedPerHeadDay, 1)),
        hay('Wasted, of what was fed', (one) => share(one.wastedShare)),
        hay(`Hay fed for 1 ${unit} of gain, ${unit}`, (one) => ratio(one.fedPerGain)),
        hay(`Hay wasted for 1 ${unit} of gain, ${unit}`, (one) => ratio(one.wastedPerGain)),
        hay(`Dry matter eaten for 1 ${unit} of gain, ${unit}`, (one) => ratio(one.conversion)),
        ...overPens(arms, unit),
        ...(arms.some((arm) => arm.cost !== null)
          ? [
              cost('Hay, all of it', (one) => money(one.feed)),
              cost('Yardage', (one) => money(one.other)),
              cost('Cost per head per day', (one) => money(one.perHeadDay)),
              cost('Cost per head started', (one) => moneyOrNot(one.perHeadStarted)),
              cost('Cost per head finished', (one) => moneyOrNot(one.perHeadFinished)),
              cost('Hay cost of gain', (one) => price(one.feedCostOfGain)),
              cost('Cost of gain', (one) => price(one.totalCostOfGain)),
              cost('Cost of gain with the dead counted in', (one) => price(one.totalCostOfGainDeadsIn)),
            ]
          : []),
      ],
    },
    ...notesByArm(arms),
  ];
}

function notesByArm(arms: Judgement['arms']): Block[] {
  const notes = arms.flatMap((arm) => arm.notes.map((note) => `${arm.arm}: ${note}`));
  return notes.length === 0 ? [] : [{ kind: 'list', items: notes }];
}

/** Rows of what pens tell of feed, where any arm has several. */
function overPens(arms: Judgement['arms'], unit: string): string[][] {
  if (!arms.some((arm) => arm.byPen !== null && arm.byPen.pens.length > 1)) return [];
  const row = (title: string, cell: (pens: Judgement['arms'][number]['byPen']) => string): string[] => [
    title,
    ...arms.map((arm) => cell(arm.byPen)),
  ];
  return [
    row('Hay eaten per head per day, interval over pens', (pens) => massInterval(pens?.eatenPerHeadDay ?? null)),
    row('Hay wasted per head per day, interval over pens', (pens) => massInterval(pens?.wastedPerHeadDay ?? null)),
    row(`Dry matter eaten for 1 ${unit} of gain, interval over pens`, (pens) =>
      pens?.conversion ? `${ratio(pens.conversion.low)} to ${ratio(pens.conversion.high)}` : 'not known',
    ),
  ];
}

function massInterval(found: NonNullable<Judgement['arms'][number]['byPen']>['eatenPerHeadDay']): string {
  return found === null ? 'not known' : `${mass(found.low, 1)} to ${mass(found.high, 1)}`;
}

type Comparison = Judgement['comparisons'][number];

function worth(report: Judgement): Block[] {
  const blocks = report.comparisons.flatMap((one) => [...deaths(one), ...ifItHeld(one), ...partialBudget(one)]);
  return blocks.length === 0 ? [] : [{ kind: 'heading', text: 'What it would be worth' }, ...blocks];
}

function deaths({ change, usual, deaths: found }: Comparison): Block[] {
  if (found === null) return [];
  const points = (value: number): string => `${fixed(100 * value, 1)}`;
  return [
    {
      kind: 'words',
      text:
        `Deaths, ${change} less ${usual}: ${points(found.difference)} in 100 head, and by an exact interval between ` +
        `${points(found.low)} and ${points(found.high)} in 100 (${share(found.confidence)} confidence).`,
    },
  ];
}

function ifItHeld({ change, ifItHeld: held }: Comparison): Block[] {
  if (held === null) return [];
  const { low, estimate, high } = held.addedGain;
  return [
    {
      kind: 'words',
      text:
        `If ${change} held over ${held.head} head for ${held.days} days: ${grouped(low)} to ${grouped(high)} of ` +
        `gain with the dead counted in, best single figure ${grouped(estimate)}. That is a sum, not a finding.`,
    },
  ];
}

function partialBudget({ change, usual, partialBudget: budget }: Comparison): Block[] {
  if (budget === null) return [];
  const { overHerd, addedReturnsPerHead, addedDeathLossPerHead: died, addedCostsPerHead: cost, netPerHead } = budget;
  const row = (title: string, { low, estimate, high }: Record<'low' | 'estimate' | 'high', Priced>): string[] => [
    title,
    money(low),
    money(estimate),
    money(high),
  ];
  return [
    {
      kind: 'table',
      caption: [
        `Partial budget, ${change} less ${usual}, over ${budget.days} days`,
        `gain at ${price(budget.valueOfGain)}`,
        ...(budget.valueOfCattle === null ? [] : [`live cattle at ${price(budget.valueOfCattle)}`]),
      ].join('; '),
      columns: [
        { title: '', width: 2 },
        { title: 'Low', numbers: true },
        { title: 'Best single figure', numbers: true },
        { title: 'High', numbers: true },
      ],
      rows: [
        row('Added gain per head started', addedReturnsPerHead),
        // Low and high of what deaths took are in the net, together with those of the gain.
        ...(died === null ? [] : [['Lost to more deaths per head started', '', money(died), '']]),
        row('Added cost per head started', { low: cost, estimate: cost, high: cost }),
        row('Net per head started', netPerHead),
        ...(overHerd === null ? [] : [row(`Net, ${overHerd.head} head, if it held`, overHerd.net)]),
      ],
    },
    { kind: 'list', items: budget.words },
  ];
}

function soundness(report: Judgement): Block[] {
  const checks = report.comparisons.flatMap((one) => checkWords(one.checks));
  return [
    { kind: 'heading', text: 'How far to trust it' },
    ...cautionTable(report),
    ...(checks.length === 0 ? [] : [{ kind: 'list', items: checks } as const]),
    ...influenceTable(report),
    {
      kind: 'words',
      text:
        'These figures aid judgment and do not replace it. Take sick cattle, deaths and changes of feed to a ' +
        'veterinarian and a licensed nutritionist.',
    },
  ];
}

/** The assumptions of the method, each with its test. */
function checkWords(checks: Comparison['checks']): string[] {
  if (checks === null) return [];
  const { normality, equalSpread, equalSlopes } = checks;
  const tested = (what: string, test: { f: number; p: number | null } | null): string[] =>
    test === null ? [] : [`${what}: F ${test.f.toFixed(2)}, p ${pValue(test.p)}.`];
  return [
    ...(normality === null
      ? []
      : [`Scatter about the fit, Shapiro-Francia: W ${normality.w.toFixed(3)}, p ${pValue(normality.p)}.`]),
    ...tested('Equal spread in the arms, Brown-Forsythe', equalSpread),
    ...tested('Same slope on start weight in all arms', equalSlopes),
  ];
}

function cautionTable({ cautions }: Judgement): Block[] {
  if (cautions.length === 0) return [];
  return [
    {
      kind: 'table',
      columns: [
        { title: 'Caution', width: 3.4 },
        { title: 'Number', numbers: true, width: 1.3 },
        { title: 'Threshold from', width: 2.2 },
      ],
      rows: cautions.map((one) => [
        one.words,
        one.number === null ? '' : `${Number(one.number.value.toPrecision(3))} ${one.number.unit}`,
        one.source,
      ]),
    },
  ];
}

/** The animals or pens whose removal would change the answer most. */
function influenceTable({ comparisons, trial }: Judgement): Block[] {
  const most = comparisons
    .flatMap(({ checks }) => checks?.influence ?? [])
    .filter((one) => one.shift !== null)
    .sort((one, other) => Math.abs(other.shift ?? 0) - Math.abs(one.shift ?? 0))
    .slice(0, MOST_INFLUENCE);
  if (most.length === 0) return [];
  return [
    {
      kind: 'table',
      caption: 'The answer without one animal or pen, where it moves most',
      columns: [
        { title: trial.unit === 'pen' ? 'Pen' : 'Animal' },
        { title: 'Difference without it, per day', numbers: true },
        { title: 'Moves by, standard errors', numbers: true },
        { title: "Cook's distance", numbers: true },
      ],
      rows: most.map((one) => [
        one.unit,
        mass(one.differenceWithout),
        fixed(one.shift ?? 0, 2),
        one.cooksDistance === null ? '' : one.cooksDistance.toFixed(2),
      ]),
    },
  ];
}

function departures(report: Judgement): Block[] {
  return [
    { kind: 'heading', text: 'Animals, and where the records depart from the protocol' },
    departedTable(report),
    gapTable(report),
    animalTable(report),
  ];
}

function armNamer({ arms }: Judgement): (armId: string) => string {
  return (armId) => arms.find((arm) => arm.armId === armId)?.arm ?? '';
}

function departedTable(report: Judgement): Block {
  const nameOf = armNamer(report);
  const rows = report.animals.flatMap(({ animal, armId, departures: all }) =>
    all.map((one) => [
      animal,
      nameOf(armId),
      one.day === null ? '' : String(Math.floor(one.day)),
      one.words,
      one.asDrawn,
      one.perProtocol,
    ]),
  );
  if (rows.length === 0) return { kind: 'words', text: 'Every animal followed the protocol.' };
  return {
    kind: 'table',
    caption: 'No animal is dropped; how each one counts is shown beside it',
    columns: [
      { title: 'Animal', width: 0.8 },
      { title: 'Arm', width: 1.2 },
      { title: 'Day', numbers: true, width: 0.5 },
      { title: 'What happened', width: 2.4 },
      { title: 'Among all as drawn', width: 1.4 },
      { title: 'Among those that followed', width: 1.2 },
    ],
    rows,
  };
}

function gapTable({ gaps: all }: Judgement): Block {
  const gaps = gathered(all.filter((gap) => gap.animal === null));
  if (gaps.length === 0) return { kind: 'words', text: 'Every day has its record of feed, refusals and waste.' };
  const shown = gaps.length > MOST_GAPS ? `: the first ${MOST_GAPS} of ${gaps.length}` : '';
  return {
    kind: 'table',
    caption: `Gaps in the records of feeding${shown}`,
    columns: [
      { title: 'Date', width: 1.1 },
      { title: 'What is missing', width: 2 },
      { title: 'Where', width: 2.2 },
      { title: 'How it is treated', width: 2.4 },
    ],
    rows: gaps.slice(0, MOST_GAPS).map((gap) => [gap.on, gap.words, gap.where.join('; '), gap.treatment]),
  };
}

function animalTable(report: Judgement): Block {
  const nameOf = armNamer(report);
  const byPeriod = hasPeriods(report);
  return {
    kind: 'table',
    columns: [
      { title: 'Animal' },
      ...(byPeriod ? [{ title: 'Period', numbers: true } as const] : []),
      { title: 'Arm', width: 1.6 },
      { title: 'Pen', width: 1.6 },
      { title: 'Start weight', numbers: true },
      { title: 'End weight', numbers: true },
      { title: 'Daily gain', numbers: true },
    ],
    rows: report.animals.map((animal) => [
      animal.animal,
      ...(byPeriod ? [String(animal.period ?? '')] : []),
      nameOf(animal.armId),
      animal.pen ?? '',
      animal.startWeight === null ? '' : mass(animal.startWeight, 0),
      animal.endWeight === null ? '' : mass(animal.endWeight, 0),
      animal.dailyGain === null ? 'not known' : mass(animal.dailyGain),
    ]),
  };
}

/** The same one-day gap in several arms or pens is one line. */
function gathered(gaps: Judgement['gaps']): { on: string; words: string; where: string[]; treatment: string }[] {
  const lines = new Map<string, { on: string; words: string; where: string[]; treatment: string }>();
  for (const gap of gaps) {
    const cut = gap.words.lastIndexOf(': ');
    const [where, words] = cut < 0 ? [gap.pen ?? '', gap.words] : [gap.words.slice(0, cut), gap.words.slice(cut + 2)];
    const key = `${gap.on ?? ''} ${words}`;
    const known = lines.get(key);
    if (known === undefined) lines.set(key, { on: gap.on ?? '', words, where: [where], treatment: gap.treatment });
    else known.where.push(where);
  }
  return [...lines.values()];
}

async function planned(report: Judgement): Promise<Block[]> {
  const { plan, trial } = report;
  return [
    { kind: 'heading', text: 'What the plan promised' },
    ...plan.words.map((words): Block => ({ kind: 'words', text: words })),
    {
      kind: 'picture',
      drawing: await visiblePicture(plan),
      caption: `Spread of daily gain between animals: ${mass(plan.spread.ofAnimals)} a day. ${plan.spread.source}`,
    },
    {
      kind: 'words',
      text: [
        plan.design === null
          ? `The arms were drawn at random, blocked by start weight, with seed ${trial.seed}`
          : `What each pen or herd is fed was drawn at random, with seed ${trial.seed}`,
        ...(trial.draws > 1 ? [`drawn ${trial.draws} times, the last draw counts`] : []),
      ]
        .join('; ')
        .concat('.'),
    },
    ...(trial.amendments.length === 0
      ? []
      : [
          { kind: 'list', items: trial.amendments.map((one) => `Amended on ${one.amendedOn}: ${one.reason}`) } as const,
        ]),
  ];
}

function origin(report: Judgement): Block[] {
  const { inputs } = report;
  return [
    { kind: 'heading', text: 'Where it comes from' },
    {
      kind: 'words',
      text:
        `${counted(inputs.animals, 'animal')}, ${counted(inputs.weighIns, 'weigh-in')} and ` +
        `${counted(inputs.feedings, 'feeding')} went in. The inputs are kept with the answer; its SHA-256 is ` +
        `${inputs.hash}. Judgement ${report.number}, recorded ${report.recordedAt}.`,
    },
    ...(report.look.repeats === null
      ? []
      : [
          {
            kind: 'words',
            text:
              `Judged from the weights of judgment ${report.look.repeats}, or of a trial that was over by then: ` +
              'not a new look.',
          } as const,
        ]),
  ];
}
