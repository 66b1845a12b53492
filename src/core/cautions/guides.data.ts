import type { CautionSourceKey } from './caution-sources.data.js';
import type { Severity } from './caution.js';

/** One band of a nitrate guide. `null` for a share: the page does not give one, so ask before feeding. */
export interface NitrateBand {
  /** Upper edge in the guide's own unit; `null` for the last band. */
  readonly upTo: number | null;
  /**
   * Whether a value exactly on the upper edge still belongs here. Where the page leaves it open, it does not (the
   * stricter reading).
   */
  readonly upToIncluded: boolean;
  readonly label: string;
  /** Largest share of ration dry matter, 0 to 1. */
  readonly maxSharePregnant: number | null;
  readonly maxShareOther: number | null;
}

export interface NitrateGuide {
  readonly name: string;
  readonly unit: 'ppm NO3-N of dry matter' | '% NO3 of dry matter';
  readonly source: CautionSourceKey;
  readonly bands: readonly NitrateBand[];
}

/**
 * Published nitrate guides. They disagree at the edges; the one followed is a choice and its name stays with the
 * verdict.
 */
export const NITRATE_GUIDES = {
  clemson: {
    name: 'Clemson six bands',
    unit: 'ppm NO3-N of dry matter',
    source: 'clemsonNitrate',
    bands: [
      { upTo: 1000, upToIncluded: true, label: 'safe in all conditions', maxSharePregnant: 1, maxShareOther: 1 },
      {
        upTo: 1500,
        upToIncluded: true,
        label: 'safe non-pregnant; pregnant at most 50 % of ration DM',
        maxSharePregnant: 0.5,
        maxShareOther: 1,
      },
      { upTo: 2000, upToIncluded: true, label: 'at most 50 % of ration DM', maxSharePregnant: 0.5, maxShareOther: 0.5 },
      // The page says 35 to 40 %; the lower end is followed.
      {
        upTo: 3500,
        upToIncluded: true,
        label: '35-40 % of ration DM; not for pregnant',
        maxSharePregnant: 0,
        maxShareOther: 0.35,
      },
      {
        upTo: 4000,
        upToIncluded: true,
        label: '25 % of ration DM; not for pregnant',
        maxSharePregnant: 0,
        maxShareOther: 0.25,
      },
      { upTo: null, upToIncluded: true, label: 'do not feed', maxSharePregnant: 0, maxShareOther: 0 },
    ],
  },
  'new-mexico-south-dakota': {
    name: 'New Mexico and South Dakota four bands',
    unit: 'ppm NO3-N of dry matter',
    source: 'newMexicoNitrate',
    bands: [
      { upTo: 1000, upToIncluded: false, label: 'safe', maxSharePregnant: 1, maxShareOther: 1 },
      {
        upTo: 2000,
        upToIncluded: false,
        label: 'generally safe; half of ration for pregnant',
        maxSharePregnant: 0.5,
        maxShareOther: 1,
      },
      { upTo: 4000, upToIncluded: true, label: 'less than half of ration', maxSharePregnant: 0.5, maxShareOther: 0.5 },
      { upTo: null, upToIncluded: true, label: 'do not feed', maxSharePregnant: 0, maxShareOther: 0 },
    ],
  },
  'six-band-laboratory': {
    name: 'Laboratory six ratings',
    unit: 'ppm NO3-N of dry matter',
    source: 'sixBandNitrate',
    bands: [
      { upTo: 700, upToIncluded: false, label: 'very low', maxSharePregnant: 1, maxShareOther: 1 },
      { upTo: 1400, upToIncluded: false, label: 'low', maxSharePregnant: 0.5, maxShareOther: 1 },
      { upTo: 2100, upToIncluded: false, label: 'medium', maxSharePregnant: 0.25, maxShareOther: 0.5 },
      { upTo: 2800, upToIncluded: false, label: 'high', maxSharePregnant: null, maxShareOther: null },
      { upTo: 3500, upToIncluded: true, label: 'very high', maxSharePregnant: null, maxShareOther: null },
      { upTo: null, upToIncluded: true, label: 'extremely high', maxSharePregnant: null, maxShareOther: null },
    ],
  },
  manitoba: {
    name: 'Manitoba four bands',
    unit: '% NO3 of dry matter',
    source: 'manitobaNitrate',
    bands: [
      { upTo: 0.3, upToIncluded: false, label: 'virtually safe', maxSharePregnant: 1, maxShareOther: 1 },
      // The page limits stressed animals to half and warns of pregnant ones; pregnant is read as stressed.
      {
        upTo: 0.6,
        upToIncluded: false,
        label: 'moderately safe; stressed animals at most half of the ration',
        maxSharePregnant: 0.5,
        maxShareOther: 1,
      },
      {
        upTo: 0.9,
        upToIncluded: false,
        label: 'potentially toxic; not as the only feed',
        maxSharePregnant: null,
        maxShareOther: null,
      },
      { upTo: null, upToIncluded: true, label: 'dangerous', maxSharePregnant: 0, maxShareOther: 0 },
    ],
  },
} as const satisfies Record<string, NitrateGuide>;
export type NitrateGuideKey = keyof typeof NITRATE_GUIDES;

/** One step of a heating guide: from this core temperature on, do this. */
export interface HeatingStep {
  readonly fromF: number;
  readonly action: string;
  readonly severity: Severity | null;
}

export interface HeatingGuide {
  readonly name: string;
  readonly source: CautionSourceKey;
  /** In rising order; the last step reached applies. Below the first, no action. */
  readonly steps: readonly HeatingStep[];
}

export const HEATING_GUIDES = {
  purdue: {
    name: 'Purdue',
    source: 'purdueHayHeating',
    steps: [
      { fromF: 150, action: 'entering danger zone; check twice daily, open the stack', severity: 'watch' },
      { fromF: 160, action: 'danger; check every couple of hours, open the stack', severity: 'danger' },
      { fromF: 175, action: 'hot spots likely; stop air movement, alert fire service', severity: 'danger' },
      { fromF: 190, action: 'fire likely; remove only with fire service present', severity: 'danger' },
    ],
  },
  kentucky: {
    name: 'Kentucky',
    source: 'kentuckyHayHeating',
    steps: [
      { fromF: 150, action: 'move the bales apart for air; check often', severity: 'watch' },
      { fromF: 180, action: 'fire imminent', severity: 'danger' },
      { fromF: 200, action: 'fire likely present; fire service before the hay is moved', severity: 'danger' },
    ],
  },
  california: {
    name: 'California',
    source: 'californiaHayHeating',
    steps: [
      { fromF: 130, action: 'monitor often', severity: 'notice' },
      { fromF: 150, action: 'take the stack apart to cool', severity: 'watch' },
      { fromF: 160, action: 'take the stack apart with the fire service present', severity: 'danger' },
    ],
  },
} as const satisfies Record<string, HeatingGuide>;
export type HeatingGuideKey = keyof typeof HEATING_GUIDES;

export const STACKED_BALE_FORMS = ['small-square', 'large-square', 'round'] as const;
export type StackedBaleForm = (typeof STACKED_BALE_FORMS)[number];

export interface MoistureGuide {
  readonly name: string;
  readonly source: CautionSourceKey;
  /** Highest moisture at baling or stacking without a preservative, %. */
  readonly maxMoisturePercent: Readonly<Record<StackedBaleForm, number>>;
}

export const MOISTURE_GUIDES = {
  purdue: {
    name: 'Purdue',
    source: 'purdueHayHeating',
    maxMoisturePercent: { 'small-square': 20, round: 18, 'large-square': 17 },
  },
  // The page speaks of conventional bales (17 %) and of large half-ton to one-ton bales (14 %).
  california: {
    name: 'California',
    source: 'californiaHayHeating',
    maxMoisturePercent: { 'small-square': 17, round: 14, 'large-square': 14 },
  },
  cornell: {
    name: 'Cornell',
    source: 'cornellHayMoisture',
    maxMoisturePercent: { 'small-square': 20, round: 16, 'large-square': 16 },
  },
} as const satisfies Record<string, MoistureGuide>;
export type MoistureGuideKey = keyof typeof MOISTURE_GUIDES;

export interface DissolvedSolidsBand {
  /** Lower edge, mg/L, included. */
  readonly fromMgPerL: number;
  readonly label: string;
  readonly severity: Severity | null;
  /** Severity for pregnant or milking cattle and for calves, where the page treats them separately. */
  readonly severityForPregnantOrMilking: Severity | null;
}

/** Total dissolved solids. Source: Montana State University Extension (Endecott 2017). */
export const DISSOLVED_SOLIDS_BANDS: readonly DissolvedSolidsBand[] = [
  { fromMgPerL: 0, label: 'excellent', severity: null, severityForPregnantOrMilking: null },
  {
    fromMgPerL: 1000,
    label: 'very satisfactory; mild transient diarrhea possible',
    severity: null,
    severityForPregnantOrMilking: null,
  },
  {
    fromMgPerL: 3000,
    label: 'satisfactory; may be refused at first',
    severity: 'notice',
    severityForPregnantOrMilking: 'notice',
  },
  {
    fromMgPerL: 5000,
    label: 'reasonably safe; avoid for pregnant or milking',
    severity: 'notice',
    severityForPregnantOrMilking: 'watch',
  },
  { fromMgPerL: 7000, label: 'considerable risk; avoid', severity: 'watch', severityForPregnantOrMilking: 'danger' },
  {
    fromMgPerL: 10000,
    label: 'extremely high risk; not recommended',
    severity: 'danger',
    severityForPregnantOrMilking: 'danger',
  },
];

/** Which published guide an operation follows where sources disagree. */
export interface GuideChoices {
  readonly nitrate: NitrateGuideKey;
  readonly heating: HeatingGuideKey;
  readonly moisture: MoistureGuideKey;
  /** `by-forage-level`: 0.30 % up to 40 % forage, 0.50 % above; `single-0.40`: the 1996 maximum. */
  readonly sulfurMaximum: 'by-forage-level' | 'single-0.40';
}

export const DEFAULT_GUIDES: GuideChoices = {
  nitrate: 'clemson',
  heating: 'purdue',
  moisture: 'purdue',
  sulfurMaximum: 'by-forage-level',
};
