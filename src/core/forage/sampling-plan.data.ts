import type { SourceStatus } from '../cautions/caution-sources.data.js';
import { quantity, sentence, type Words } from '../units/wording.js';

// Figures in words, as each reader is told them.
const tons = (value: number) => quantity(value, 'ton', 0);
const pounds = (value: number) => quantity(value, 'lb', 1);
const gallons = (value: number) => quantity(value, 'gal', { us: 2, metric: 0 });
const inches = (value: number) => quantity(value, 'in', { us: 3, metric: value < 2 ? 1 : 0 });

const HOT = quantity(150, 'F', 0);

/** How a rule of sampling is known; a page that could be read only in part may say more than is cited of it. */
interface SamplingSource {
  readonly citation: string;
  readonly status: SourceStatus | 'not in the part of the page that was read';
}
/** The passage was read in the stored page, or in the reprint that is named. */
const confirmed = (citation: string): SamplingSource => ({ citation, status: 'confirmed in page' });
const unread = (citation: string): SamplingSource => ({
  citation,
  status: 'not in the part of the page that was read',
});
const PRACTICE: SamplingSource = {
  citation: 'common practice, no source',
  status: 'common practice, no source',
};
const NFTA = confirmed(
  'Putnam, D. and Orloff, S., Recommended principles for proper hay sampling, National Forage Testing Association',
);
/** The same publication beyond its first two steps (lot, time). */
const NFTA_TECHNIQUE = unread(`${NFTA.citation} (technique)`);
const MONTANA = confirmed(
  'Goosey, H. et al. 2022, Collecting a forage or feed sample for analysis, Montana State University MT201610AG',
);
const MONTANA_COUNTY = confirmed('Cash, D. and Bowman, H.F., Montguide MT 9302, as told by a county Extension office');
const GEORGIA = confirmed(
  'University of Georgia Agricultural and Environmental Services Laboratories, Feed and forage',
);
const PUTNAM = confirmed('Putnam, D., University of California, protocol for sampling hay, in Progressive Forage');
const KENTUCKY = confirmed('Teutsch, C. 2020, Hay sampling 101, University of Kentucky, in Ohio State Beef Letter');
const NORTH_DAKOTA = confirmed('North Dakota State University Extension, Sampling feed for analysis');
const TEXAS = confirmed('Provin, T.L. and Pitt, J.L., Sampling hay bales, Texas A&M AgriLife Extension');
const ALABAMA = confirmed('Alabama Extension, Collecting forage samples for laboratory analysis');
const WISCONSIN_SILAGE = confirmed('University of Wisconsin Extension, Sampling corn silage for analysis');
const SOUTH_DAKOTA = confirmed(
  'Rusche, W., South Dakota State University Extension, Forage sampling procedures, reprinted by Farms.com',
);
const LARGE_BALES = confirmed(
  'Sheaffer, C., Martin, N., Jewett, J., Halgerson, J., Moon, R. and Cuomo, G. 2000, Agronomy Journal (abstract)',
);
const CALIFORNIA_BALES = confirmed(
  'Big bales, small bales and sampling location, preliminary results of a 1999 study (abstract)',
);
const VIRGINIA_FIRES = unread('Gay, S.W. et al., Hay fire prevention and control, Virginia Tech 442-105');
const UTAH: SamplingSource = {
  citation: 'Undersander, D., at the Utah Hay and Forage Symposium: edge of 3/8 to 5/8 inch',
  status: 'from memory',
};

/** A figure that another publication gives; kept so that the reader sees the disagreement. */
interface OtherFigure {
  readonly words: Words;
  readonly source: SamplingSource;
}

/** Cores in the sample of one lot of hay, however it is baled. */
export const CORES_OF_A_SAMPLE = {
  value: 20,
  source: KENTUCKY,
  otherSources: [
    { words: 'at least 20 cores', source: NFTA_TECHNIQUE },
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
  otherSources: [{ words: sentence`${tons(200)} of dry matter`, source: KENTUCKY }],
} as const;

/** Inches. The probe's inner edge, how deep it goes into a bale. */
export const PROBE = {
  diameterInches: { from: 3 / 8, to: 3 / 4, source: PUTNAM },
  depthInches: { from: 12, to: 18, source: TEXAS },
} as const;

/** Hay that a sample for the lab weighs, pounds. */
export const SAMPLE_POUNDS = { value: 0.5, source: KENTUCKY } as const;

/** Places in which silage is taken from a day's face. */
export const SILAGE_PLACES = {
  value: 15,
  source: WISCONSIN_SILAGE,
  otherSources: [{ words: sentence`about 10 places of a bag, ${gallons(2)} together`, source: SOUTH_DAKOTA }],
} as const;

/** Places of a load or bin of grain that a sample is taken from. */
export const BULK_PLACES = { value: 5, source: PRACTICE } as const;

export const SAMPLED_FORMS = [
  'small-square',
  'large-square',
  'round',
  'loose',
  'silage',
  'bulk-feed',
  'bagged',
] as const;
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
  readonly words: Words;
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
    words: sentence`${
      'A lot is one cutting of one field and variety, baled within 48 hours, alike in stage, weeds, rain and ' +
      'storage, and no more than '
    }${tons(200)}. Sample each lot by itself; never mix two.`,
    source: MONTANA,
    otherSources: [{ words: sentence`one cutting, field and variety, generally less than ${tons(200)}`, source: NFTA }],
  },
  {
    topic: 'lot',
    forms: ['silage'],
    words: 'Sample each field and hybrid or cutting by itself, and again from time to time as the silo is fed out.',
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
    source: KENTUCKY,
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
    source: KENTUCKY,
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
    words: 'Into the butt end, near the center, straight in at a right angle.',
    source: ALABAMA,
    otherSources: [
      { words: 'the middle of the butt end', source: SOUTH_DAKOTA },
      { words: 'between the strings or wires', source: NFTA_TECHNIQUE },
    ],
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
    forms: ['bulk-feed'],
    words: sentence`${
      'From several places and depths of the load or bin, with a grain probe, or by handfuls as it runs out; mix ' +
      'them well and send about '
    }${pounds(1)}. If it came with a tag, enter the tag as a lab test with the method label.`,
    source: PRACTICE,
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
    words: sentence`${inches(12)} to ${inches(18)} into the bale, the outer ${inches(0.5)} of a round one brushed off.`,
    source: TEXAS,
    otherSources: [
      { words: sentence`at least ${inches(12)}`, source: NORTH_DAKOTA },
      { words: sentence`${inches(12)} to ${inches(14)}`, source: PUTNAM },
    ],
  },
  {
    topic: 'probe',
    forms: HAY,
    words: sentence`A sharp tube, ${inches(3 / 8)} to ${inches(3 / 4)} inside, no auger: a dull one pushes stems.`,
    source: PUTNAM,
    otherSources: [
      { words: sentence`at least ${inches(3 / 8)}, kept sharp: a dull tip slides past the stems`, source: GEORGIA },
      { words: sentence`${inches(3 / 8)} to ${inches(5 / 8)}`, source: UTAH },
      { words: sentence`about ${inches(1)}`, source: TEXAS },
    ],
  },
  {
    topic: 'handling',
    forms: HAY,
    words: sentence`All cores of a lot into one sealed freezer bag, about ${pounds(0.5)}, ${
      'out of heat and sun, labeled, to the lab at once. ' + 'Never divide it: leaves fall to the bottom.'
    }`,
    source: MONTANA_COUNTY,
    otherSources: [
      { words: sentence`about ${pounds(0.5)}`, source: KENTUCKY },
      { words: 'not divided', source: NFTA_TECHNIQUE },
    ],
  },
  {
    topic: 'handling',
    forms: ['silage'],
    words: sentence`Mix, quarter down to ${gallons(0.25)}, press the air out, seal, and keep it cold to the lab.`,
    source: PRACTICE,
  },
  {
    topic: 'safety',
    forms: HAY,
    words: sentence`Hay younger than six weeks, or damp, may be hot: take its temperature first. From ${HOT}${
      ', or with a smell of smoke, leave the probe out and call the fire service: a hole lets air in. Never climb a ' +
      'hot stack without planks, a rope and a second person.'
    }`,
    source: VIRGINIA_FIRES,
  },
  {
    topic: 'safety',
    forms: HAY,
    words: 'Stay clear of bales that lean or stand high, and of a drill that can bind.',
    source: PRACTICE,
  },
];
