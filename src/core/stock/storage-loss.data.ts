/**
 * Dry matter lost in storage, by method, as published. Shares of the hay put in storage (0.05 is 5 %). `low` and `high`
 * are the printed range, or both the one printed figure. Sources disagree, so each row keeps its own; a ranch's own
 * measurement replaces them all.
 */
export interface StorageLossRow {
  readonly code: string;
  readonly cover: 'inside' | 'tarp' | 'none';
  readonly base: 'ground' | 'stone' | 'pallets' | 'any';
  readonly wrap: 'any' | 'net' | 'plastic twine' | 'sisal twine' | 'twine' | 'solid plastic';
  readonly hay: string;
  readonly low: string;
  readonly high: string;
  /** How long the hay was stored, in months, where the source says so. */
  readonly months: { readonly from: number; readonly to: number } | null;
  readonly source: string;
}

const ISU = 'Barnhart, S., Iowa State University, citing University of Kentucky figures (Hay & Forage Grower)';
const UT =
  'University of Tennessee storage research, with Huhnke, R.L., Oklahoma State University (Hay & Forage Grower, 2018)';
const UNL = 'Schick, B. and Beckman, B., Nebraska Extension, Store hay right';
const ROTZ = 'Rotz, C.A. and Abrams, S.M. 1988. Transactions of the ASAE 31(2):350-355';
const UKY = 'University of Kentucky Extension, winter hay supply, 2012';
const HARRIGAN = 'Harrigan, T.M. and Rotz, C.A. 1994. Applied Engineering in Agriculture 10(2):188-194';
const FESCUE =
  'Storage method effects on dry matter and quality losses of tall fescue round bales. ' +
  '1995. Journal of Production Agriculture (trials of 1990 and 1991)';
const SHINNERS =
  'Shinners, K., University of Wisconsin, two years of alfalfa and alfalfa-grass round bales, outdoors 5 to 12 ' +
  'months (Hay & Forage Grower)';

const SEASON = { from: 6, to: 9 } as const;
const YEAR = { from: 12, to: 12 } as const;

export const STORAGE_LOSSES = [
  {
    code: 'isu-ground',
    cover: 'none',
    base: 'ground',
    wrap: 'any',
    hay: 'round bales',
    low: '0.25',
    high: '0.35',
    months: null,
    source: ISU,
  },
  {
    code: 'isu-gravel-pad',
    cover: 'none',
    base: 'stone',
    wrap: 'any',
    hay: 'round bales',
    low: '0.20',
    high: '0.20',
    months: null,
    source: ISU,
  },
  {
    code: 'isu-plastic-wrap',
    cover: 'none',
    base: 'any',
    wrap: 'solid plastic',
    hay: 'round bales',
    low: '0.07',
    high: '0.07',
    months: null,
    source: ISU,
  },
  {
    code: 'isu-inside',
    cover: 'inside',
    base: 'any',
    wrap: 'any',
    hay: 'round bales',
    low: '0.05',
    high: '0.05',
    months: null,
    source: ISU,
  },
  {
    code: 'ut-ground',
    cover: 'none',
    base: 'ground',
    wrap: 'any',
    hay: 'round bales',
    low: '0.37',
    high: '0.37',
    months: null,
    source: UT,
  },
  {
    code: 'ut-net-plastic-wrapped-on-ground',
    cover: 'none',
    base: 'ground',
    wrap: 'net',
    hay: 'round bales',
    low: '0.19',
    high: '0.19',
    months: null,
    source: UT,
  },
  {
    code: 'ut-inside',
    cover: 'inside',
    base: 'any',
    wrap: 'any',
    hay: 'round bales',
    low: '0.06',
    high: '0.06',
    months: null,
    source: UT,
  },
  {
    code: 'unl-inside-nine-months',
    cover: 'inside',
    base: 'any',
    wrap: 'any',
    hay: 'hay',
    low: '0',
    high: '0.02',
    months: { from: 0, to: 9 },
    source: UNL,
  },
  {
    code: 'unl-inside-longer',
    cover: 'inside',
    base: 'any',
    wrap: 'any',
    hay: 'hay',
    low: '0.02',
    high: '0.08',
    months: { from: 9, to: 24 },
    source: UNL,
  },
  {
    code: 'rotz-11-20-moisture',
    cover: 'inside',
    base: 'any',
    wrap: 'any',
    hay: 'alfalfa baled at 11-20 % moisture',
    low: '0.042',
    high: '0.042',
    months: null,
    source: ROTZ,
  },
  {
    code: 'rotz-25-34-moisture',
    cover: 'inside',
    base: 'any',
    wrap: 'any',
    hay: 'alfalfa baled at 25-34 % moisture',
    low: '0.109',
    high: '0.109',
    months: null,
    source: ROTZ,
  },
  {
    code: 'uky-inside-stone',
    cover: 'inside',
    base: 'stone',
    wrap: 'any',
    hay: 'hay',
    low: '0.03',
    high: '0.05',
    months: null,
    source: UKY,
  },
  {
    code: 'uky-inside-ground',
    cover: 'inside',
    base: 'ground',
    wrap: 'any',
    hay: 'hay',
    low: '0.05',
    high: '0.07',
    months: null,
    source: UKY,
  },
  {
    code: 'uky-covered-stone',
    cover: 'tarp',
    base: 'stone',
    wrap: 'any',
    hay: 'hay',
    low: '0.10',
    high: '0.17',
    months: null,
    source: UKY,
  },
  {
    code: 'uky-covered-ground',
    cover: 'tarp',
    base: 'ground',
    wrap: 'any',
    hay: 'hay',
    low: '0.15',
    high: '0.35',
    months: null,
    source: UKY,
  },
  {
    code: 'uky-uncovered-stone',
    cover: 'none',
    base: 'stone',
    wrap: 'any',
    hay: 'hay',
    low: '0.13',
    high: '0.20',
    months: null,
    source: UKY,
  },
  {
    code: 'harrigan-inside-pallets',
    cover: 'inside',
    base: 'pallets',
    wrap: 'twine',
    hay: 'large round alfalfa',
    low: '0.060',
    high: '0.060',
    months: SEASON,
    source: HARRIGAN,
  },
  {
    code: 'harrigan-outside-plastic',
    cover: 'none',
    base: 'pallets',
    wrap: 'solid plastic',
    hay: 'large round alfalfa',
    low: '0.096',
    high: '0.096',
    months: SEASON,
    source: HARRIGAN,
  },
  {
    code: 'harrigan-outside-net',
    cover: 'none',
    base: 'pallets',
    wrap: 'net',
    hay: 'large round alfalfa',
    low: '0.163',
    high: '0.163',
    months: SEASON,
    source: HARRIGAN,
  },
  {
    code: 'harrigan-outside-twine',
    cover: 'none',
    base: 'pallets',
    wrap: 'twine',
    hay: 'large round alfalfa',
    low: '0.165',
    high: '0.165',
    months: SEASON,
    source: HARRIGAN,
  },
  {
    code: 'fescue-sod-twine',
    cover: 'none',
    base: 'ground',
    wrap: 'sisal twine',
    hay: 'round tall fescue',
    low: '0.182',
    high: '0.182',
    months: YEAR,
    source: FESCUE,
  },
  {
    code: 'fescue-sod-mesh',
    cover: 'none',
    base: 'ground',
    wrap: 'net',
    hay: 'round tall fescue',
    low: '0.106',
    high: '0.106',
    months: YEAR,
    source: FESCUE,
  },
  {
    code: 'fescue-sod-solid-plastic',
    cover: 'none',
    base: 'ground',
    wrap: 'solid plastic',
    hay: 'round tall fescue',
    low: '0.036',
    high: '0.036',
    months: YEAR,
    source: FESCUE,
  },
  {
    code: 'fescue-inside',
    cover: 'inside',
    base: 'any',
    wrap: 'sisal twine',
    hay: 'round tall fescue',
    low: '0.057',
    high: '0.057',
    months: YEAR,
    source: FESCUE,
  },
  {
    code: 'shinners-net',
    cover: 'none',
    base: 'any',
    wrap: 'net',
    hay: 'round alfalfa and alfalfa-grass',
    low: '0.07',
    high: '0.07',
    months: { from: 5, to: 12 },
    source: SHINNERS,
  },
  {
    code: 'shinners-plastic-twine',
    cover: 'none',
    base: 'any',
    wrap: 'plastic twine',
    hay: 'round alfalfa and alfalfa-grass',
    low: '0.11',
    high: '0.11',
    months: { from: 5, to: 12 },
    source: SHINNERS,
  },
  {
    code: 'shinners-sisal-twine',
    cover: 'none',
    base: 'any',
    wrap: 'sisal twine',
    hay: 'round alfalfa and alfalfa-grass',
    low: '0.19',
    high: '0.19',
    months: { from: 5, to: 12 },
    source: SHINNERS,
  },
] as const satisfies readonly StorageLossRow[];

export type StorageLossCode = (typeof STORAGE_LOSSES)[number]['code'];

/**
 * Which published figure is used for a storage method until the ranch has measured its own, and which others are
 * published for the same method: sources disagree, so the one followed is a choice, made here for the whole program
 * (loss estimates and hay budgets alike). All but two come from one table (University of Kentucky Extension 2012), so
 * that methods can be compared. Under a roof the floor is not known, so the figure for bare ground is used; under a
 * tarp the base is not known either, so the figure for a drained one is used. For hay outdoors on bare ground, which
 * that table has no figure for here, and for plastic wrap: Iowa State University.
 */
export const STORAGE_LOSS_BY_METHOD = {
  'under-roof': {
    follow: 'uky-inside-ground',
    others: ['uky-inside-stone', 'isu-inside', 'ut-inside', 'harrigan-inside-pallets', 'fescue-inside'],
  },
  tarp: { follow: 'uky-covered-stone', others: ['uky-covered-ground'] },
  'outdoors-on-gravel-or-pallets': {
    follow: 'uky-uncovered-stone',
    others: ['isu-gravel-pad', 'harrigan-outside-net', 'harrigan-outside-twine'],
  },
  'outdoors-on-ground': { follow: 'isu-ground', others: ['ut-ground', 'fescue-sod-twine', 'fescue-sod-mesh'] },
  'plastic-wrap': { follow: 'isu-plastic-wrap', others: ['harrigan-outside-plastic', 'fescue-sod-solid-plastic'] },
} as const satisfies Record<string, { readonly follow: StorageLossCode; readonly others: readonly StorageLossCode[] }>;

/** How hay is stored, in a ranch's words. */
export type HayStorage = keyof typeof STORAGE_LOSS_BY_METHOD;

/**
 * How a published loss, which is for a whole season, is spread over the days in between. Common practice, no source:
 * it grows evenly to the printed figure over the season and then stays there. Real weathering is uneven; a ranch's
 * own counts replace it.
 */
export const STORAGE_SEASON_DAYS = 270;
