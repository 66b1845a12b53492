import { wordsOfAnotherUnit } from '../forage/nitrate-unit.data.js';
import type { TestsThatDiffer, WorstSample } from '../ration/ration.js';
import { quantity, sentence, type Words } from '../units/wording.js';
import { CAUTIONS } from './cautions.data.js';
import {
  plain,
  plainAtLeast,
  raiseCaution,
  raiseIfPassed,
  type RaisedCaution,
  type Severity,
  type Threshold,
} from './caution.js';
import {
  DEFAULT_GUIDES,
  NITRATE_GUIDES,
  type NitrateBand,
  type NitrateGuide,
  type NitrateGuideKey,
} from './guides.data.js';

/** Standard atomic masses (IUPAC), g/mol. */
const NITROGEN = 14.007;
const OXYGEN = 15.999;
const NITRATE_ION = NITROGEN + 3 * OXYGEN;

/** ppm nitrate (NO3) equal to the given ppm of nitrate nitrogen. Factor 4.427 from the atomic masses. */
export function nitrateFromNitrateNitrogen({ nitrateNitrogenPpm }: { readonly nitrateNitrogenPpm: number }): {
  readonly nitratePpm: number;
  readonly factor: number;
} {
  const factor = NITRATE_ION / NITROGEN;
  return { nitratePpm: nitrateNitrogenPpm * factor, factor };
}

function inGuideUnit(guide: NitrateGuide, nitrateNitrogenPpmDm: number): number {
  return guide.unit === '% NO3 of dry matter'
    ? nitrateFromNitrateNitrogen({ nitrateNitrogenPpm: nitrateNitrogenPpmDm }).nitratePpm / 10_000
    : nitrateNitrogenPpmDm;
}

export interface NitrateVerdict {
  readonly guide: NitrateGuideKey;
  readonly guideName: string;
  /** The value in the guide's own unit. */
  readonly value: number;
  readonly unit: string;
  readonly label: string;
  /** Lower edge of the band, in the guide's unit. */
  readonly bandFrom: number;
  readonly bandUpTo: number | null;
  readonly maxSharePregnant: number | null;
  readonly maxShareOther: number | null;
}

/**
 * The band of a published guide that a nitrate value falls in.
 * @throws RangeError for a negative or not finite value.
 */
export function nitrateBand({
  guide,
  nitrateNitrogenPpmDm,
}: {
  readonly guide: NitrateGuideKey;
  readonly nitrateNitrogenPpmDm: number;
}): NitrateVerdict {
  if (!Number.isFinite(nitrateNitrogenPpmDm) || nitrateNitrogenPpmDm < 0)
    throw new RangeError(`Not a nitrate content: ${nitrateNitrogenPpmDm}`);
  const table: NitrateGuide = NITRATE_GUIDES[guide];
  const value = inGuideUnit(table, nitrateNitrogenPpmDm);
  const within = (band: NitrateBand): boolean =>
    band.upTo === null || value < band.upTo || (band.upToIncluded && value === band.upTo);
  const index = table.bands.findIndex(within);
  const band = table.bands[index];
  if (band === undefined) throw new RangeError(`Guide ${guide} has no band for ${value}`);
  return {
    guide,
    guideName: table.name,
    value,
    unit: table.unit,
    label: band.label,
    bandFrom: index === 0 ? 0 : (table.bands[index - 1]?.upTo ?? 0),
    bandUpTo: band.upTo,
    maxSharePregnant: band.maxSharePregnant,
    maxShareOther: band.maxShareOther,
  };
}

/** The most nitrate nitrogen in a whole ration that the guide allows for these animals, ppm of dry matter. */
export function mostNitrateUnheeded({
  guide = DEFAULT_GUIDES.nitrate,
  pregnant,
}: {
  readonly guide?: NitrateGuideKey;
  readonly pregnant: boolean;
}): number {
  const { unit, bands }: NitrateGuide = NITRATE_GUIDES[guide];
  const heeded = bands.findIndex((band) => (pregnant ? band.maxSharePregnant : band.maxShareOther) !== 1);
  const edge = bands[heeded - 1]?.upTo ?? 0;
  return unit === '% NO3 of dry matter'
    ? (edge * 10_000) / nitrateFromNitrateNitrogen({ nitrateNitrogenPpm: 1 }).factor
    : edge;
}

/** Share of the ration that the guide allows for a hay with this much nitrate; `null` where it gives none. */
export function nitrateShareAllowed({
  guide = DEFAULT_GUIDES.nitrate,
  pregnant,
  nitrateNitrogenPpmDm,
}: {
  readonly guide?: NitrateGuideKey;
  readonly pregnant: boolean;
  readonly nitrateNitrogenPpmDm: number;
}): number | null {
  return limitFor(nitrateBand({ guide, nitrateNitrogenPpmDm }), { pregnant, guide });
}

interface NitrateLot {
  readonly id?: string | undefined;
  readonly name: string;
  readonly shareOfRationDryMatter: number;
  /** `null`: not tested and no book value. */
  readonly nitrateNitrogenPpmDm: number | null;
  /** What was typed as its test in a unit that it cannot be in, ppm: no test. */
  readonly ofAnotherUnitPpm?: number | null;
  /** True if the lot is so little of the ration that an unknown value counts as zero in the whole. */
  readonly isSmallPart?: boolean;
  readonly restsOnBookValue: boolean;
  /** True if only hay that was moved into the lot was tested. */
  readonly isKnownInPart?: boolean;
  /** Which sample the value is of, where others hold less or only a part of the lot was sampled. */
  readonly worst?: WorstSample | undefined;
  /** Lowest and highest of its tests where they contradict each other, ppm of dry matter. */
  readonly differ?: TestsThatDiffer | undefined;
  /** Cereal, sorghum, millet, corn or weedy hay, or hay from drought, hail or frost. */
  readonly canGatherNitrate: boolean;
}

/**
 * Nitrate cautions for every hay by itself and for the whole ration by dry matter. A hay laid in layers can be eaten
 * by itself, so its own band counts even where the mean of the ration is low. Hays that the guide holds to the same
 * share or a smaller one add up: to the animal they are one hay, and one hay may lie in several lots. The mean is not
 * given while one lot is unknown; what there is at least still warns.
 */
export function nitrateCautions({
  lots,
  pregnant,
  guide = DEFAULT_GUIDES.nitrate,
  heldAgainstPpmDm = null,
  wordsOfAtLeast = () => '',
  stageNotKnown = false,
}: {
  readonly lots: readonly NitrateLot[];
  readonly pregnant: boolean;
  /** True if they are only taken as pregnant, since nothing on record says that they are open. */
  readonly stageNotKnown?: boolean;
  /** What is held against the guide where the nitrate of a lot is not known: of the part that tells it. */
  readonly heldAgainstPpmDm?: number | null;
  /** What the whole ration then holds at least, in the guide's unit. */
  readonly wordsOfAtLeast?: (told: (ppmDm: number) => string) => string;
  readonly guide?: NitrateGuideKey;
}): {
  readonly cautions: readonly RaisedCaution[];
  readonly wholeRationNitrateNitrogenPpmDm: number | null;
  readonly verdict: NitrateVerdict | null;
} {
  const asked = { pregnant, guide, stageNotKnown };
  const whole = wholeRationNitrate(lots);
  const bandOf = (ppm: number | null) => (ppm === null ? null : nitrateBand({ guide, nitrateNitrogenPpmDm: ppm }));
  const verdict = bandOf(whole);
  const isOfAPart = heldAgainstPpmDm !== null && (whole === null || heldAgainstPpmDm > whole);
  const warned = isOfAPart ? bandOf(heldAgainstPpmDm) : verdict;
  const { unit } = NITRATE_GUIDES[guide];
  const inWords = (ppm: number) => `${plainAtLeast(inGuideUnit(NITRATE_GUIDES[guide], ppm), 2)} ${unit}`;
  return {
    cautions: [
      ...lots.flatMap((lot) => [
        ...(lot.nitrateNitrogenPpmDm === null ? [] : singleHay(lot, lots, asked)),
        ...(lot.nitrateNitrogenPpmDm === null || lot.isKnownInPart === true ? untestedHay(lot) : []),
      ]),
      ...(warned === null ? [] : wholeRation(warned, lots, { ...asked, isOfAPart, rest: wordsOfAtLeast(inWords) })),
    ],
    wholeRationNitrateNitrogenPpmDm: whole,
    verdict,
  };
}

interface AskedGuide {
  readonly pregnant: boolean;
  readonly guide: NitrateGuideKey;
  readonly stageNotKnown?: boolean;
}

function animalsOf({ pregnant, stageNotKnown = false }: AskedGuide): string {
  if (!pregnant) return 'animals that are not pregnant';
  return stageNotKnown ? 'animals that may be pregnant (no stage on record)' : 'pregnant animals';
}

/** Share of the ration that the band allows; 1 is no limit, `null` where the guide gives none. */
function limitFor({ maxSharePregnant, maxShareOther }: NitrateVerdict, { pregnant }: AskedGuide): number | null {
  return pregnant ? maxSharePregnant : maxShareOther;
}

function edgeOf({ bandFrom, unit, guide }: NitrateVerdict): Threshold {
  return { value: bandFrom, unit, raisedWhen: 'at-or-above', source: NITRATE_GUIDES[guide].source };
}

function untestedHay(lot: NitrateLot): RaisedCaution[] {
  const { id, name, canGatherNitrate, ofAnotherUnitPpm = null, isKnownInPart = false } = lot;
  if (!canGatherNitrate) return [];
  const ofWhat = ofAnotherUnitPpm === null ? 'has no nitrate value' : wordsOfAnotherUnit(ofAnotherUnitPpm);
  return raiseIfPassed({
    code: 'nitrate-unknown',
    severity: 'watch',
    given: 1,
    threshold: CAUTIONS['nitrate-unknown'].thresholds.lotsUntested,
    subject: { kind: 'lot', name, id },
    message:
      isKnownInPart && ofAnotherUnitPpm === null
        ? `${name} is of a kind that can accumulate nitrate; only hay that was moved into it has a nitrate value.`
        : `${name} is of a kind that can accumulate nitrate and ${ofWhat}.`,
  });
}

/** Sums in another order differ in their last bits. */
const DUST = 1e-9;

function singleHay(lot: NitrateLot, lots: readonly NitrateLot[], asked: AskedGuide): RaisedCaution[] {
  const verdict = nitrateBand({ guide: asked.guide, nitrateNitrogenPpmDm: lot.nitrateNitrogenPpmDm ?? 0 });
  const limit = limitFor(verdict, asked);
  if (limit === 1) return [];
  const others = lots.filter((one) => one !== lot && one.shareOfRationDryMatter > 0 && isHeldTo(limit, one, asked));
  const share = others.reduce((sum, one) => sum + one.shareOfRationDryMatter, lot.shareOfRationDryMatter);
  const severity: Severity = limit === null || limit === 0 || share > limit + DUST ? 'danger' : 'watch';
  const names = others.map(({ name }) => name).join(', ');
  const own = `it is ${plain(lot.shareOfRationDryMatter * 100, 1)} % of the ration`;
  const laid = names === '' ? own : `${own}, ${plain(share * 100, 1)} % with ${names}, held to no more`;
  const differ = contradicting(lot, verdict);
  return [
    raiseCaution({
      code: 'nitrate-single-hay',
      severity,
      given: verdict.value,
      threshold: edgeOf(verdict),
      subject: { kind: 'lot', name: lot.name, id: lot.id },
      guide: verdict.guideName,
      restsOnBookValue: lot.restsOnBookValue,
      ...(limit === null || limit === 0 ? { advice: limit === 0 ? NONE_ALLOWED : NO_SHARE_KNOWN } : {}),
      message: sentence`${heldBy(lot, verdict)}; ${allowedWords(limit, animalsOf(asked))}; ${laid}.${differ}`,
    }),
  ];
}

const KG_PER_SHORT_TON = 907.18474;

/** What the lot holds, or may hold where only hay moved into it was sampled, and by which sample. */
function heldBy({ name, worst }: NitrateLot, { value, unit, label }: NitrateVerdict): Words {
  const content = `${plain(value, 2)} ${unit} (${label})`;
  if (worst === undefined) return `${name} holds ${content}`;
  const { lotName, sampledOn, movedInKg } = worst;
  if (movedInKg !== null) {
    const tons = quantity(movedInKg / KG_PER_SHORT_TON, 'ton', 1);
    return sentence`${tons} of ${name} came from ${lotName} and may hold ${content} by the sample of ${sampledOn}`;
  }
  return `${name} holds ${content} by the highest test of this hay, the sample of ${sampledOn}${
    lotName === name ? '' : ` from ${lotName}`
  }`;
}

/** That tests of one hay contradict each other; tests of hay that was moved in are of another hay. */
function contradicting({ name, worst, differ }: NitrateLot, { guide, unit }: NitrateVerdict): string {
  if (differ === undefined || (worst !== undefined && worst.movedInKg !== null)) return '';
  const [least, most] = [differ.least, differ.most].map((ppm) => plain(inGuideUnit(NITRATE_GUIDES[guide], ppm), 2));
  return least === most
    ? ''
    : ` Tests of ${name} contradict each other: ${least} to ${most} ${unit}; the worse counts.`;
}

/** Whether the guide allows of this hay too no more than so much; where it gives no share, it allows none. */
function isHeldTo(limit: number | null, { nitrateNitrogenPpmDm: ppm }: NitrateLot, asked: AskedGuide): boolean {
  if (ppm === null) return false;
  const own = limitFor(nitrateBand({ guide: asked.guide, nitrateNitrogenPpmDm: ppm }), asked);
  return (own ?? 0) <= (limit ?? 0);
}

/** How it ends. */
const HIGHEST_COUNTS =
  'Hay loses no nitrate in the stack: the highest test counts until that test is reversed, whatever later ones say.';
const NONE_ALLOWED =
  'Do not feed it to these animals, in any share. Keep it for cattle that the guide allows it for; in layered ' +
  `feeding one hay can be eaten alone. ${HIGHEST_COUNTS}`;
const NO_SHARE_KNOWN =
  'Do not feed it before you have asked: the guide names no share. In layered feeding one hay can be eaten alone. ' +
  HIGHEST_COUNTS;

function allowedWords(limit: number | null, animals: string): string {
  if (limit === null) return 'no share for it was found in the guide: ask before feeding';
  return limit === 0 ? `not for ${animals}` : `at most ${plain(limit * 100, 0)} % of the ration for ${animals}`;
}

function wholeRation(
  verdict: NitrateVerdict,
  lots: readonly NitrateLot[],
  asked: AskedGuide & { readonly isOfAPart: boolean; readonly rest: string },
): RaisedCaution[] {
  const limit = limitFor(verdict, asked);
  if (limit === 1) return [];
  return [
    raiseCaution({
      code: 'nitrate-whole-ration',
      severity: limit === 0.5 ? 'watch' : 'danger',
      given: verdict.value,
      threshold: edgeOf(verdict),
      guide: verdict.guideName,
      restsOnBookValue: lots.some((lot) => lot.restsOnBookValue),
      message:
        `${asked.isOfAPart ? 'What is known of the ration' : 'The whole ration'} holds ${plain(verdict.value, 2)} ` +
        `${verdict.unit} (${verdict.label}), for ${animalsOf(asked)}.${asked.rest}` +
        lots.map((lot) => contradicting(lot, verdict)).join(''),
    }),
  ];
}

function wholeRationNitrate(lots: readonly NitrateLot[]): number | null {
  let sum = 0;
  let shares = 0;
  for (const lot of lots) {
    if (lot.shareOfRationDryMatter === 0) continue;
    if (lot.nitrateNitrogenPpmDm === null && lot.isSmallPart !== true) return null;
    sum += (lot.nitrateNitrogenPpmDm ?? 0) * lot.shareOfRationDryMatter;
    shares += lot.shareOfRationDryMatter;
  }
  return shares === 0 ? null : sum / shares;
}
