/**
 * Hay wasted at feeding, by method, as published: shares of the hay that disappeared or was fed (0.061 is 6.1 %).
 * Sources differ with the hay and the herd; a ranch's own measurement replaces them.
 */
export interface FeedingWasteRow {
  readonly code: string;
  readonly method:
    | 'cone ring'
    | 'open ring'
    | 'trailer'
    | 'rack'
    | 'no feeder'
    | 'unrolled on the ground'
    | 'shredded on the ground'
    | 'shredded into a bunk';
  readonly hay: string;
  readonly low: string;
  readonly high: string;
  readonly source: string;
}

const MSU = 'Buskirk, D.D. et al. 2003. Journal of Animal Science 81:109-115 (Michigan State University)';
const OSU = 'Lalman, D. et al., Oklahoma State University, bale-feeder trial';
const KSU = 'Kansas State University, large round bale feeding methods, wheat and hybrid sudan hay';
const MU =
  'Bell, S. and Martz, F.A. 1973, University of Missouri, quoted by Boyles, S., Ohio State University Extension, 2019';
const ALABAMA =
  'Alabama Agricultural Experiment Station study, reported by Hobbs, J., University of Missouri Extension, 2011';

export const FEEDING_WASTES = [
  { code: 'msu-cone', method: 'cone ring', hay: 'good round-bale hay', low: '0.035', high: '0.035', source: MSU },
  { code: 'msu-ring', method: 'open ring', hay: 'good round-bale hay', low: '0.061', high: '0.061', source: MSU },
  { code: 'msu-trailer', method: 'trailer', hay: 'good round-bale hay', low: '0.114', high: '0.114', source: MSU },
  { code: 'osu-cone', method: 'cone ring', hay: 'poorer round-bale hay', low: '0.053', high: '0.053', source: OSU },
  {
    code: 'osu-open-ring',
    method: 'open ring',
    hay: 'poorer round-bale hay',
    low: '0.205',
    high: '0.205',
    source: OSU,
  },
  {
    code: 'ksu-wheat-unrolled',
    method: 'unrolled on the ground',
    hay: 'wheat hay',
    low: '0.23',
    high: '0.23',
    source: KSU,
  },
  {
    code: 'ksu-wheat-shredded-ground',
    method: 'shredded on the ground',
    hay: 'wheat hay',
    low: '0.13',
    high: '0.13',
    source: KSU,
  },
  {
    code: 'ksu-wheat-shredded-bunk',
    method: 'shredded into a bunk',
    hay: 'wheat hay',
    low: '0.08',
    high: '0.08',
    source: KSU,
  },
  { code: 'mu-rack', method: 'rack', hay: 'round bales', low: '0.09', high: '0.09', source: MU },
  { code: 'mu-no-rack', method: 'no feeder', hay: 'round bales', low: '0.45', high: '0.45', source: MU },
  { code: 'alabama-no-ring', method: 'no feeder', hay: 'round bales', low: '0.36', high: '0.36', source: ALABAMA },
] as const satisfies readonly FeedingWasteRow[];

export type FeedingWasteCode = (typeof FEEDING_WASTES)[number]['code'];
