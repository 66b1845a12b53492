import type { SourceStatus } from '../cautions/caution-sources.data.js';

/** How a rule of sampling is known. */
interface SamplingSource {
  readonly citation: string;
  readonly status: SourceStatus;
}
const confirmed = (citation: string): SamplingSource => ({ citation, status: 'confirmed in page' });
const PRACTICE: SamplingSource = {
  citation: 'common practice, no source',
  status: 'common practice, no source',
};
const NFTA = confirmed(
  'Putnam, D. and Orloff, S., Recommended principles for proper hay sampling, National Forage Testing Association',
);
const NFTA_TOOLS: SamplingSource = { citation: `${NFTA.citation} (tools)`, status: 'from memory' };
const KENTUCKY = confirmed('Teutsch, C. 2020, Hay sampling 101, University of Kentucky, in Ohio State Beef Letter');
const NORTH_DAKOTA = confirmed('North Dakota State University Extension, Sampling feed for analysis');
const TEXAS = confirmed('Provin, T.L. and Pitt, J.L., Sampling hay bales, Texas A&M AgriLife Extension');
const ALABAMA = confirmed('Alabama Extension, Collecting forage samples for laboratory analysis');
const WISCONSIN_SILAGE = confirmed('University of Wisconsin Extension, Sampling corn silage for analysis');
const SOUTH_DAKOTA = confirmed('Rusche, W., South Dakota State University Extension, Forage sampling procedures');
const LARGE_BALES = confirmed(
  'Abstract of a study of 400-kg rectangular bales of alfalfa in commercial lots (authors and journal not read)',
);
const CALIFORNIA_BALES = confirmed('Big bales, small bales and sampling location, preliminary results of a 1999 study');
const VIRGINIA_FIRES = confirmed('Gay, S.W. et al., Hay fire prevention and control, Virginia Tech 442-105');
const UTAH = confirmed('Undersander, D., at the Utah Hay and Forage Symposium: edge of 3/8 to 5/8 inch');

/** A figure that another publication gives; kept so that the reader sees the disagreement. */
interface OtherFigure {
  readonly words: string;
  readonly source: SamplingSource;
}

/** Cores in the sample of one lot of hay, however it is baled. */
export const CORES_OF_A_SAMPLE = {
  value: 20,
  source: NFTA,
  otherSources: [
    { words: '15 to 20 cores', source: NORTH_DAKOTA },
    { words: '15 to 20 cores', source: ALABAMA },
    { words: '4 to 5 of 25 to 30 round bales, 6 to 8 of 400 square ones', source: TEXAS },
    { words: '12 large square bales, each cored once, stand for a lot', source: LARGE_BALES },
  ],
} as const;

/** Short tons that one sample stands for; a larger lot is sampled in parts, and the results are averaged. */
export const LOT_OF_A_SAMPLE = {
  shortTons: 200,
  source: NFTA,
  otherSources: [{ words: '200 tons of dry matter', source: KENTUCKY }],
} as const;

/** Inches. The probe's inner edge, how deep it goes into a bale. */
export const PROBE = {
  diameterInches: { from: 3 / 8, to: 3 / 4, source: NFTA_TOOLS },
  depthInches: { from: 12, to: 18, source: NFTA },
} as const;

/** Hay that a sample for the lab weighs, pounds. */
export const SAMPLE_POUNDS = { value: 0.5, source: KENTUCKY } as const;

/** Places in which silage is taken from a day's face. */
export const SILAGE_PLACES = {
  value: 15,
  source: WISCONSIN_SILAGE,
  otherSources: [{ words: 'about 10 places of a bag, 2 gallons together', source: SOUTH_DAKOTA }],
} as const;

export const SAMPLED_FORMS = ['small-square', 'large-square', 'round', 'loose', 'silage', 'bagged'] as const;
export type SampledForm = (typeof SAMPLED_FORMS)[number];

export const SAMPLING_TOPICS = [
  'lot',
  'when',
  'cores',
  'draw',
  'where',
  'depth',
  'probe',
  'handling',
  'safety',
] as const;
type SamplingTopic = (typeof SAMPLING_TOPICS)[number];

export interface SamplingRule {
  readonly topic: SamplingTopic;
  /** The forms it is said of; absent: of all. */
  readonly forms?: readonly SampledForm[];
  readonly words: string;
  readonly source: SamplingSource;
  readonly otherSources?: readonly OtherFigure[];
}

const BALED: readonly SampledForm[] = ['small-square', 'large-square', 'round'];
const HAY: readonly SampledForm[] = [...BALED, 'loose'];
const SQUARE: readonly SampledForm[] = ['small-square', 'large-square'];

/** How to take a sample, in the order of the work. */
export const SAMPLING_RULES: readonly SamplingRule[] = [
  {
    topic: 'lot',
    forms: HAY,
    words:
      'A lot is one cutting of one field and variety, baled within 48 hours, alike in stage, weeds, rain and ' +
      'storage, and no more than 200 short tons. Sample each lot by itself; never mix two.',
    source: NFTA,
  },
  {
    topic: 'lot',
    forms: ['silage'],
    words: 'Sample each field and hybrid or cutting by itself, and again where the silo shows a change.',
    source: WISCONSIN_SILAGE,
  },
  {
    topic: 'when',
    forms: HAY,
    words:
      'Three to four weeks after baling, when the sweat is over; hay that lies outdoors three to four weeks before ' +
      'it is fed. Leave time for the mail and the lab.',
    source: KENTUCKY,
    otherSources: [{ words: 'as close to feeding or sale as can be', source: NFTA }],
  },
  {
    topic: 'cores',
    forms: HAY,
    words:
      'At least 20 cores, one to a bale. A lot of fewer bales gives more than one core of each, at different spots.',
    source: NFTA,
    otherSources: [
      ...CORES_OF_A_SAMPLE.otherSources,
      { words: 'several spots of a large bale, which varies within more than between bales', source: CALIFORNIA_BALES },
    ],
  },
  {
    topic: 'cores',
    forms: ['silage'],
    words: 'At least 10 to 15 scoops in a grid over what is fed out in a day.',
    source: WISCONSIN_SILAGE,
    otherSources: SILAGE_PLACES.otherSources,
  },
  {
    topic: 'draw',
    forms: BALED,
    words:
      'Number the bales as you walk around and over the stack, and core the numbers that were drawn. Pass none over ' +
      'and pick none for its looks.',
    source: NFTA,
  },
  {
    topic: 'draw',
    forms: BALED,
    words: 'A bale that cannot be reached is replaced by the next one in the order of the walk.',
    source: PRACTICE,
  },
  {
    topic: 'where',
    forms: SQUARE,
    words: 'Into the butt end, near the center, between the strings or wires, straight in at a right angle.',
    source: NFTA,
  },
  {
    topic: 'where',
    forms: ['round'],
    words: 'Into the rounded side, halfway up, straight toward the center; not into the flat end or the wet bottom.',
    source: TEXAS,
    otherSources: [{ words: 'into the curved side at a right angle', source: ALABAMA }],
  },
  {
    topic: 'where',
    forms: ['loose'],
    words: 'All around the stack at different heights, past the weathered outside.',
    source: PRACTICE,
  },
  {
    topic: 'where',
    forms: ['silage'],
    words:
      'From a pile that the loader has taken down and mixed, with a scoop; never by hand from the face, which may ' +
      'come down on you.',
    source: SOUTH_DAKOTA,
    otherSources: [{ words: 'the face can slide and bury whoever samples it', source: WISCONSIN_SILAGE }],
  },
  {
    topic: 'where',
    forms: ['bagged'],
    words: 'The tag tells what a bagged feed is guaranteed to hold: enter it as a lab test with the method label.',
    source: PRACTICE,
  },
  {
    topic: 'depth',
    forms: BALED,
    words: 'At least 12 and up to 18 inches (30 to 45 cm) of hay in the probe.',
    source: NFTA,
    otherSources: [
      { words: 'at least 12 inches', source: NORTH_DAKOTA },
      { words: '12 to 18 inches, the outer half inch brushed off', source: TEXAS },
    ],
  },
  {
    topic: 'probe',
    forms: HAY,
    words: 'A sharp tube with an inner edge of 3/8 to 3/4 inch (10 to 19 mm), no auger: a dull one pushes stems aside.',
    source: NFTA_TOOLS,
    otherSources: [
      { words: '3/8 to 5/8 inch', source: UTAH },
      { words: 'about 1 inch', source: TEXAS },
    ],
  },
  {
    topic: 'handling',
    forms: HAY,
    words:
      'All cores of a lot into one sealed freezer bag, about half a pound (0.2 kg), out of heat and sun, labeled, ' +
      'to the lab at once. Never divide it: leaves fall to the bottom.',
    source: NFTA,
    otherSources: [{ words: 'about half a pound', source: KENTUCKY }],
  },
  {
    topic: 'handling',
    forms: ['silage'],
    words: 'Mix, quarter down to a quart, press the air out, seal, and keep it cold or frozen to the lab.',
    source: PRACTICE,
  },
  {
    topic: 'safety',
    forms: HAY,
    words:
      'Hay younger than six weeks, or damp, may be hot: take its temperature first. From 150 °F (66 °C), or with a ' +
      'smell of smoke, leave the probe out and call the fire service: a hole lets air in. Never climb a hot stack ' +
      'without planks, a rope and a second person.',
    source: VIRGINIA_FIRES,
  },
  {
    topic: 'safety',
    forms: HAY,
    words: 'Stay clear of bales that lean or stand high, and of a drill that can bind.',
    source: PRACTICE,
  },
];
