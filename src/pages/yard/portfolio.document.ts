import type { PortfolioAnswer } from '../../desk/portfolio/portfolio.schema.js';
import type { Block, ReportDocument } from '../document/document.js';
import { grouped, spelled, told } from './words.js';

/** Over all clients: which herd to look at first, and why. */
export function portfolioDocument({ items, nextCursor }: PortfolioAnswer, onDay: string): ReportDocument {
  return {
    title: 'Herds that you consult',
    subtitle: `${onDay}; what matters most first`,
    paper: items[0]?.units === 'metric' ? 'a4' : 'letter',
    written: `${onDay}T00:00:00Z`,
    blocks: [
      ...(items.length === 0
        ? [{ kind: 'words', text: 'No operation has engaged you at this moment, or none of them has cattle.' } as const]
        : []),
      ...items.flatMap((herd): Block[] => [
        { kind: 'heading', text: `${herd.herd}, ${herd.operation}` },
        {
          kind: 'words',
          text: [
            `${spelled(herd.cattleClass)}, ${grouped(herd.head)} head.`,
            herd.ration === null
              ? 'No ration is in use.'
              : `${herd.ration.name}, in use from ${herd.ration.inUseFrom}.`,
            herd.expectedDailyGain === null
              ? ''
              : `The ration allows ${told(herd.expectedDailyGain, 2)} a day${herd.targetDailyGain === null ? '' : `, ${told(herd.targetDailyGain, 2)} wanted`}.`,
            herd.measuredGain === null
              ? ''
              : `Weighed from ${herd.measuredGain.from} to ${herd.measuredGain.until}: ${told(herd.measuredGain.dailyGain, 2)} a day.${herd.measuredGain.flags.map((one) => ` ${one.message}`).join('')}`,
            herd.hayLastsDays === null ? '' : `Its hay lasts ${grouped(Math.floor(herd.hayLastsDays))} days.`,
            herd.rationsProposed === 0 ? '' : `${herd.rationsProposed} proposed and not yet answered.`,
          ]
            .filter((part) => part !== '')
            .join(' '),
        },
        ...(herd.concerns.length === 0
          ? [{ kind: 'words', text: 'Nothing stands out.' } as const]
          : [{ kind: 'list', items: herd.concerns.map((one) => one.words) } as const]),
      ]),
      ...(nextCursor === null
        ? []
        : [
            {
              kind: 'words',
              text: 'There are more herds than one page shows; the rest come with ?cursor= and the next cursor of the JSON form.',
            } as const,
          ]),
      {
        kind: 'words',
        text: 'These figures aid a judgement and do not replace it. Before acting on one that warns, ask a veterinarian or the lab.',
      },
    ],
  };
}
