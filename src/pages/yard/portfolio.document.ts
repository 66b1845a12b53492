import type { PortfolioAnswer } from '../../desk/portfolio/portfolio.schema.js';
import type { Block, ReportDocument } from '../document/document.js';
import type { Link } from '../links.js';
import { linesTable } from './nutrient-lines.js';
import { daysSaid, grouped, spelled, shown } from './words.js';

type Herd = PortfolioAnswer['items'][number];

/** All clients: which herd to look at first, and why. */
export function portfolioDocument({ items, nextCursor }: PortfolioAnswer, onDay: string): ReportDocument {
  return {
    title: 'Herds to look at first',
    subtitle: `${onDay}; every herd you may do the desk’s work for, most urgent first`,
    paper: items[0]?.units === 'metric' ? 'a4' : 'letter',
    written: `${onDay}T00:00:00Z`,
    blocks: [
      ...(items.length === 0
        ? [{ kind: 'words', text: 'No operation has engaged you at the moment, or none of them has cattle.' } as const]
        : []),
      ...items.flatMap(herdBlocks),
      ...(nextCursor === null
        ? []
        : [
            {
              kind: 'words',
              text:
                'There are more herds than fit on one page; the rest come with ?cursor= and the next cursor of the ' +
                'JSON form.',
            } as const,
          ]),
      {
        kind: 'words',
        text:
          'These figures aid judgment and do not replace it. Before acting on one that warns, ask a veterinarian ' +
          'or the lab.',
      },
    ],
  };
}

function herdBlocks(herd: Herd): Block[] {
  return [
    { kind: 'heading', text: `${herd.herd}, ${herd.operation}` },
    { kind: 'words', text: herdWords(herd) },
    { kind: 'ways', links: waysOf(herd) },
    ...needs(herd),
    herd.concerns.length === 0
      ? { kind: 'words', text: 'Nothing stands out.' }
      : { kind: 'list', items: herd.concerns.map((one) => one.words) },
  ];
}

function waysOf({ operationId, herdId }: Herd): Link[] {
  const at = `/yard/operations/${operationId}`;
  return [
    { href: `${at}/herds/${herdId}`, words: 'Weight and feedings' },
    { href: `${at}/herds/${herdId}/ration-desk`, words: 'Lay a ration' },
    { href: `${at}/ration-report?herdId=${herdId}`, words: 'Report for the client' },
  ];
}

/** What carries a herd through the winter; of all else only what is not in order. */
const MAIN: readonly string[] = [
  'dryMatter',
  'netEnergyMaintenance',
  'netEnergyGain',
  'metabolizableProtein',
  'crudeProtein',
];

/** Supply against need as the judge has it: what matters in every herd, and what is short, near or too much. */
function needs({ lines }: Herd): Block[] {
  const told = lines.filter(({ nutrient, verdict }) =>
    MAIN.includes(nutrient) ? verdict !== 'no-need' : verdict === 'short' || verdict === 'near' || verdict === 'excess',
  );
  return told.length === 0 ? [] : [linesTable(told)];
}

/** The herd, its ration, its gain and its hay in a few sentences. */
function herdWords({ cattleClass, head, ration, ...herd }: Herd): string {
  const target = herd.targetDailyGain === null ? '' : `; the target is ${shown(herd.targetDailyGain, 2)}`;
  return [
    `${spelled(cattleClass)}, ${grouped(head)} head.`,
    ration === null ? 'No ration is in use.' : `${ration.name}, in use from ${ration.inUseFrom}.`,
    herd.lastFedOn === null ? 'No feeding is on record.' : `Last fed on ${herd.lastFedOn}.`,
    herd.expectedDailyGain === null ? '' : `The ration allows ${shown(herd.expectedDailyGain, 2)} a day${target}.`,
    ...measuredWords(herd.measuredGain),
    herd.hayLastsDays === null ? '' : `Its hay lasts ${daysSaid(Math.floor(herd.hayLastsDays))}.`,
    herd.rationsProposed === 0 ? '' : `Rations proposed and not yet answered: ${herd.rationsProposed}.`,
  ]
    .filter((part) => part !== '')
    .join(' ');
}

function measuredWords(measured: Herd['measuredGain']): string[] {
  if (measured === null) return [];
  const { from, until, dailyGain, flags } = measured;
  return [`Weighed from ${from} to ${until}: ${shown(dailyGain, 2)} a day.`, ...flags.map((one) => one.message)];
}
