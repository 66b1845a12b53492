import { CAUTIONS } from './cautions.data.js';
import { raiseIfPassed, type RaisedCaution, type Threshold, worstFirst } from './caution.js';
import { HEATING_GUIDES, DEFAULT_GUIDES, type HeatingGuideKey, type StackedBaleForm } from './guides.data.js';
import {
  BALES_THAT_TELL_OF_A_LOT,
  BEGAN_WITHIN_DAYS,
  type HayColor,
  type HaySmell,
  type HeatFelt,
  type SeenAmount,
  PROBED_DEPTH,
} from './hay-observation.data.js';
import { daysBetween } from '../time/calendar-day.js';
import { counted } from '../units/counted.js';
import { quantity, sentence } from '../units/wording.js';
import { toBaseUnit, type UnitOf } from '../units/unit.js';
import { spoilageCautions, stackingMoistureCautions, stackTemperatureCautions } from './hay-in-store.js';

/** What somebody wrote down of a lot on a day. `null`: not looked at, which says nothing of it. */
export interface HayObservation {
  readonly seenOn: string;
  readonly mold: SeenAmount | null;
  readonly balesMoldy: number | null;
  readonly dust: SeenAmount | null;
  readonly balesSpoiled: number | null;
  readonly smell: HaySmell | null;
  readonly color: HayColor | null;
  readonly heatFelt: HeatFelt | null;
  readonly temperatureC: number | null;
  /** How deep the probe was, in the unit that it was told in. */
  readonly probeDepth: { readonly value: number; readonly unit: UnitOf<'length'> } | null;
  readonly moisturePercent: number | null;
  /** How many bales were looked at, where that was told. */
  readonly balesChecked?: number | null;
  /** How many bales the lot held that day by the books, or at least; none where it is not in bales. */
  readonly balesHeld?: { readonly number: number; readonly isAtLeast: boolean } | null;
  /** Where it is of hay that was moved into the lot: the lot it came from and the last day of the move. */
  readonly movedIn?: { readonly sourceId: string; readonly lotName: string; readonly on: string };
  /** Where it is of one load as it came in, by its ticket: it tells of that load, and of no hay that lay there. */
  readonly cameIn?: 'bought' | 'raised';
  /** Name of the lot that was looked at, where this hay was then a part of another. */
  readonly seenIn?: string;
  /** Where another lot was looked at after hay of it had gone into this one: that lot and the last day of the move. */
  readonly leftBefore?: {
    readonly lotId: string;
    readonly lotName: string;
    readonly on: string;
    /** True where that lot is a part that was taken from this one: what was found in it is told of the rest. */
    readonly isPart?: boolean;
  };
}

/** A lot with all that was seen of it up to a day. */
export interface ObservedLot {
  readonly lotId?: string | undefined;
  readonly lotName: string;
  /** Dry hay molds from 20 % moisture, wrapped bales spoil for other reasons; of other feeds nothing is said. */
  readonly keeping: 'dry hay' | 'wrapped' | 'other';
  /** Of hay that is stacked in bales. */
  readonly baleForm?: StackedBaleForm;
  readonly observations: readonly HayObservation[];
  /** What laboratories found of its moisture. */
  readonly tested?: readonly TestedMoisture[];
}

interface TestedMoisture {
  readonly sampledOn: string;
  readonly moisturePercent: number;
}

/** A lot, and whether its own looks are asked for or those at another lot, by its id, after its hay had left that. */
interface AskedLot extends ObservedLot {
  readonly leftLot?: string;
}

/** An aspect as it stands: its newest day, and of that day the worst. */
interface Standing {
  readonly seenOn: string;
  readonly observation: HayObservation;
}

/** How bad an observation is in one aspect; `null` where it was not looked at. */
type Badness = (observation: HayObservation) => number | null;
/** How many bales it found bad, 0 where they were not counted. */
type BadBales = (observation: HayObservation) => number;

/**
 * The observation that stands for one aspect. Whoever looked at it last is believed, unless what was found bad
 * were bales and fewer were checked than tell of the lot (`balesToLookAt`); where several looked on that day, the
 * worst counts, since a stack is as hot as its hottest spot. Hay that was moved in keeps what was seen of it,
 * until somebody looks at the lot after the move; the worst of all counts. Hay that had left a stack before
 * somebody looked there shares what was found, until somebody looks at it where it lies; so does the rest of a
 * stack, of a part that was taken from it. A load keeps what its ticket says until somebody looks at the lot on a later
 * day.
 */
function standing(
  { observations, leftLot }: AskedLot,
  badness: Badness,
  { badBales, tellsOf = () => true, answeredBy }: Counted = {},
): Standing | null {
  const looks = observations.flatMap((observation) => {
    const bad = badness(observation);
    return bad === null
      ? []
      : [{ seenOn: observation.seenOn, observation, bad, badBales: badBales?.(observation) ?? null }];
  });
  const isAnswered =
    answeredBy ??
    ((one: Look): boolean => looks.some((later) => answers(later, one) && (one.bad === 0 || tellsOf(later, one))));
  return looks
    .filter(({ observation }) => observation.leftBefore?.lotId === leftLot && tellsOfTheRest(observation))
    .filter((one) => !isAnswered(one))
    .reduce<Look | null>((worst, one) => (worst === null || isWorse(one, worst) ? one : worst), null);
}

/** What a part that was taken from the stack caught elsewhere says nothing of the rest. */
function tellsOfTheRest({ leftBefore, seenOn }: HayObservation): boolean {
  return leftBefore?.isPart !== true || daysBetween(leftBefore.on, seenOn) <= BEGAN_WITHIN_DAYS.value;
}

interface Counted {
  readonly badBales?: BadBales;
  /** Whether a later look can tell that a bad sign is gone. */
  readonly tellsOf?: (later: Look, earlier: Look) => boolean;
  /** In place of later looks at the same, where those answer for nothing. */
  readonly answeredBy?: (found: Standing) => boolean;
}

interface Look extends Standing {
  readonly bad: number;
  /** `null` where it is no matter of bales. */
  readonly badBales: number | null;
}

const isWorse = (one: Look, other: Look): boolean =>
  one.bad > other.bad || (one.bad === other.bad && one.seenOn > other.seenOn);

/** Whether a look is later than another at the same hay, or after that hay came here, and as wide. */
function answers(later: Look, earlier: Look): boolean {
  return isAfter(later, earlier) && (later.observation.balesChecked ?? 0) >= balesToLookAt(later.observation, earlier);
}

/** At least as many bales as were found bad and as tell of a lot of so many. */
function balesToLookAt(
  { balesHeld }: Pick<HayObservation, 'balesHeld'>,
  { bad, badBales }: Pick<Look, 'bad' | 'badBales'>,
): number {
  if (bad === 0 || badBales === null) return 0;
  return Math.max(badBales, Math.min(BALES_THAT_TELL_OF_A_LOT.value, Math.ceil(balesHeld?.number ?? 0)));
}

/** What it takes to take back what was found in bales; empty where the lot is not in bales. */
function untilLookedAt(found: Standing | null, badBales: number): string {
  const held = found?.observation.balesHeld ?? null;
  if (held === null || held.number <= 0) return '';
  const bales = counted(Math.ceil(held.number), 'bale');
  const enough = balesToLookAt({ balesHeld: held }, { bad: 1, badBales });
  return (
    ` The lot held ${held.isAtLeast ? 'at least ' : ''}${bales} that day: this stands until ${enough} or more, ` +
    'picked at random (all of them, if fewer are left), are looked at and found well.'
  );
}

function isAfter({ seenOn, observation }: Standing, earlier: Standing): boolean {
  if (observation.cameIn !== undefined) return false;
  const { movedIn, leftBefore } = earlier.observation;
  const atTheLot = observation.movedIn === undefined && observation.leftBefore === undefined;
  // Whoever looks at both stacks on one day has seen this hay itself.
  if (leftBefore !== undefined && atTheLot) return seenOn >= earlier.seenOn;
  if (observation.leftBefore?.lotId !== leftBefore?.lotId) return false;
  if (observation.movedIn?.sourceId === movedIn?.sourceId) return seenOn > earlier.seenOn;
  return atTheLot && movedIn !== undefined && seenOn > movedIn.on;
}

/** Of the same hay on the same day. */
function isAtOnce(one: Standing, other: Standing): boolean {
  const [a, b] = [one.observation, other.observation];
  return (
    one.seenOn === other.seenOn &&
    a.movedIn?.sourceId === b.movedIn?.sourceId &&
    a.leftBefore?.lotId === b.leftBefore?.lotId
  );
}

/**
 * Smoke and burnt hay: neither nose nor eye tells that a stack has cooled, nor does a hand, which reaches only its
 * outside, so somebody has to probe it as well.
 */
const untilProbed = (lot: ObservedLot): Counted => ({
  tellsOf: (_later, earlier) => probesOf(lot).some((probe) => isAfter(probe, earlier)),
});

/** Heat that a hand felt: a probe of that day tells of it as well. */
const untilProbedThatDay = (lot: ObservedLot): Counted => ({
  answeredBy: (felt) => probesOf(lot).some((probe) => isAfter(probe, felt) || isAtOnce(probe, felt)),
});

/** Probes that reached into the hay. */
const probesOf = ({ observations }: ObservedLot): Standing[] =>
  observations
    .filter((observation) => observation.temperatureC !== null && isDeepEnough(observation))
    .map((observation) => ({ seenOn: observation.seenOn, observation }));

/**
 * Whether a reading tells that hay is cool inside: it heats at its core, and a probe that only just goes in is as good
 * as a hand. Where no depth was noted, whoever probed is trusted.
 */
function isDeepEnough({ probeDepth }: Pick<HayObservation, 'probeDepth'>): boolean {
  return (
    probeDepth === null || toBaseUnit(probeDepth.value, probeDepth.unit) >= toBaseUnit(PROBED_DEPTH.leastInches, 'in')
  );
}

const smelled = (lot: AskedLot, smells: readonly (HaySmell | null)[]): Standing | null =>
  standing(lot, ({ smell }) => (smell === null ? null : Number(smells.includes(smell))), untilProbed(lot));

/** The hay that was looked at, if it was in another lot or has left it, that too. */
function hayOf({ lotName }: ObservedLot, found: Standing | null): string {
  const { movedIn, leftBefore, seenIn } = found?.observation ?? {};
  if (found !== null && leftBefore !== undefined) {
    const days = counted(daysBetween(leftBefore.on, found.seenOn), 'day');
    return leftBefore.isPart === true
      ? `${leftBefore.lotName}, which was taken from ${lotName} ${days} before,`
      : `${leftBefore.lotName}, hay of which had gone into ${lotName} ${days} before,`;
  }
  if (movedIn !== undefined) return `${movedIn.lotName}, hay of which was moved into ${lotName},`;
  return seenIn === undefined ? lotName : `${seenIn}, of which ${lotName} was then a part,`;
}

/**
 * How much of a look at a stack counts for hay that had left it: all of it while what was found must have begun before,
 * later on it is a reason to look.
 */
function forHayThatLeft(caution: RaisedCaution, { lotName, observations, leftLot }: AskedLot): RaisedCaution {
  const looks = observations.filter(({ leftBefore }) => leftBefore?.lotId === leftLot);
  const began = looks.some(
    ({ leftBefore, seenOn }) =>
      leftBefore !== undefined && daysBetween(leftBefore.on, seenOn) <= BEGAN_WITHIN_DAYS.value,
  );
  return {
    ...caution,
    severity: began || caution.severity !== 'danger' ? caution.severity : 'watch',
    message: sentence`${caution.message} Look at ${lotName} itself.`,
  };
}

const AMOUNT: Readonly<Record<SeenAmount, number>> = { none: 0, light: 1, heavy: 2 };
const HEAT: Readonly<Record<HeatFelt, number>> = { cool: 0, warm: 1, hot: 2 };
const BROWN: readonly (HayColor | null)[] = ['brown', 'black'];
const OF_HEAT: readonly (HaySmell | null)[] = ['caramel', 'tobacco'];
const FOUL: readonly (HaySmell | null)[] = ['rotten', 'ammonia'];
/** The worse smell of one day counts; the order is ours. */
const SMELL: Readonly<Record<HaySmell, number>> = {
  none: 0,
  sweet: 0,
  musty: 1,
  caramel: 2,
  tobacco: 2,
  ammonia: 3,
  rotten: 4,
  smoke: 5,
};

const subjectOf = ({ lotId, lotName }: ObservedLot) => ({ kind: 'lot', name: lotName, id: lotId }) as const;

/**
 * The cautions of what was seen, smelled and measured of a lot, each until somebody has looked at the same again and
 * found it well. Worst first.
 */
export function observationCautions(lot: ObservedLot): RaisedCaution[] {
  const left = new Set(lot.observations.flatMap(({ leftBefore }) => leftBefore?.lotId ?? []));
  return worstFirst([
    ...cautionsOf(lot),
    ...[...left].flatMap((leftLot) =>
      cautionsOf({ ...lot, leftLot }).map((one) => forHayThatLeft(one, { ...lot, leftLot })),
    ),
  ]);
}

const cautionsOf = (lot: AskedLot): RaisedCaution[] => [
  ...moldOf(lot),
  ...spoiledOf(lot),
  ...dampOf(lot),
  ...heatOf(lot),
  ...heatDamageOf(lot),
];

function moldOf(lot: AskedLot): RaisedCaution[] {
  const limits = CAUTIONS['visible-mould'].thresholds;
  const mold = standing(lot, (one) => (one.mold === null ? null : AMOUNT[one.mold] * 1e6 + (one.balesMoldy ?? 0)), {
    badBales: (one) => one.balesMoldy ?? 0,
  });
  const dust = standing(lot, (one) => (one.dust === null ? null : AMOUNT[one.dust]));
  const smell = standing(lot, (one) => (one.smell === null ? null : SMELL[one.smell]));
  const level = mold?.observation.mold ?? 'none';
  const bales = mold?.observation.balesMoldy ?? null;
  const areCounted = bales !== null && bales > 0;
  const threshold: Threshold = areCounted ? limits.moldyBales : limits.moldyLots;
  if (mold !== null && level !== 'none')
    return raiseIfPassed({
      code: 'visible-mould',
      severity: level === 'heavy' ? 'danger' : 'watch',
      subject: subjectOf(lot),
      given: areCounted ? bales : 1,
      threshold,
      message:
        `${level === 'heavy' ? 'Heavy' : 'Light'} mold was seen in ${hayOf(lot, mold)} on ${mold.seenOn}` +
        `${areCounted ? `; moldy bales: ${bales}` : ''}.${untilLookedAt(mold, bales ?? 0)}`,
    });
  const musty = smell?.observation.smell === 'musty' ? smell : null;
  const dusty = dust?.observation.dust === 'heavy' ? dust : null;
  return raiseIfPassed({
    code: 'visible-mould',
    severity: 'notice',
    subject: subjectOf(lot),
    given: musty === null && dusty === null ? null : 1,
    threshold: limits.dustyLots,
    message:
      `${hayOf(lot, dusty ?? musty)} was ${dusty === null ? 'musty' : 'very dusty'} on ${(dusty ?? musty)?.seenOn}; ` +
      'dust may be mold.',
  });
}

function spoiledOf(lot: AskedLot): RaisedCaution[] {
  const { keeping } = lot;
  const limits = CAUTIONS['spoiled-bales'].thresholds;
  const spoiled = standing(lot, (one) => one.balesSpoiled, { badBales: (one) => one.balesSpoiled ?? 0 });
  const smell = standing(lot, (one) => (one.smell === null ? null : SMELL[one.smell]));
  const moisture = moistureOf(lot);
  return [
    ...raiseIfPassed({
      code: 'spoiled-bales',
      severity: 'danger',
      subject: subjectOf(lot),
      given: spoiled?.observation.balesSpoiled ?? null,
      threshold: limits.spoiledBales,
      message:
        `Spoiled bales seen in ${hayOf(lot, spoiled)} on ${spoiled?.seenOn}: ` +
        `${spoiled?.observation.balesSpoiled}.${untilLookedAt(spoiled, spoiled?.observation.balesSpoiled ?? 0)}`,
    }),
    ...raiseIfPassed({
      code: 'spoiled-bales',
      severity: 'watch',
      subject: subjectOf(lot),
      given: smell !== null && FOUL.includes(smell.observation.smell) ? 1 : null,
      threshold: limits.foulLots,
      message: `${hayOf(lot, smell)} smelled ${
        smell?.observation.smell === 'ammonia' ? 'of ammonia' : 'rotten'
      } on ${smell?.seenOn}.`,
    }),
    ...(keeping === 'other'
      ? []
      : spoilageCautions({
          lotName: hayOf(lot, moisture),
          wrapped: keeping === 'wrapped',
          mouldSeen: null,
          spoiledBalesSeen: null,
          moisturePercent: moisture?.observation.moisturePercent ?? null,
          ph: null,
        }).map((one) => ({ ...one, subject: subjectOf(lot) }))),
  ];
}

const NOT_LOOKED_AT = {
  mold: null,
  balesMoldy: null,
  dust: null,
  balesSpoiled: null,
  smell: null,
  color: null,
  heatFelt: null,
  temperatureC: null,
  probeDepth: null,
  moisturePercent: null,
} as const satisfies Partial<HayObservation>;

/** A load as its ticket tells of it. */
export function loadAsItCameIn(
  cameIn: NonNullable<HayObservation['cameIn']>,
  seenOn: string,
  moisturePercent: number,
): HayObservation {
  return { ...NOT_LOOKED_AT, seenOn, moisturePercent, cameIn };
}

/** The moisture of a lot, and how it was found, in words. */
interface FoundMoisture extends Standing {
  readonly how: string;
}

const HOW = { bought: 'came in', raised: 'was put up' } as const;

/**
 * By probe and ticket, of dry hay by a laboratory as well: the newest reading tells, and of loads that came in since,
 * the wettest. A silage as wet as a laboratory finds it is no spoiled bale.
 */
function moistureOf(lot: AskedLot): FoundMoisture | null {
  const byTest = (lot.keeping === 'dry hay' ? (lot.tested ?? []) : []).map(
    ({ sampledOn, moisturePercent }): HayObservation => ({
      ...NOT_LOOKED_AT,
      seenOn: sampledOn,
      moisturePercent,
    }),
  );
  const found = standing({ ...lot, observations: [...lot.observations, ...byTest] }, (one) => one.moisturePercent);
  if (found === null) return null;
  const { cameIn } = found.observation;
  const how = byTest.includes(found.observation) ? 'was tested' : cameIn === undefined ? 'was measured' : HOW[cameIn];
  return { ...found, how };
}

/** Stacked hay that was found damper than its bales may be put up: it heats, and may burn. */
function dampOf(lot: AskedLot): RaisedCaution[] {
  const { baleForm, keeping } = lot;
  const moisture = moistureOf(lot);
  if (baleForm === undefined || keeping !== 'dry hay' || moisture === null) return [];
  return stackingMoistureCautions({
    lotName: hayOf(lot, moisture),
    baleForm,
    moisturePercent: moisture.observation.moisturePercent ?? 0,
    how: `${moisture.how} on ${moisture.seenOn}`,
  }).map((one) => ({ ...one, subject: subjectOf(lot) }));
}

/**
 * By the probe, by the hand and by the nose. A probe reading answers for the hand of that day and before; nothing else
 * does.
 */
function heatOf(lot: AskedLot): RaisedCaution[] {
  const limits = CAUTIONS['stack-temperature'].thresholds;
  const probed = standing(lot, (one) => one.temperatureC, { tellsOf: (later) => isDeepEnough(later.observation) });
  const felt = standing(lot, (one) => (one.heatFelt === null ? null : HEAT[one.heatFelt]), untilProbedThatDay(lot));
  const smoke = smelled(lot, ['smoke']);
  const heat = felt?.observation.heatFelt ?? 'cool';
  const subject = { ...subjectOf(lot), kind: 'stack' } as const;
  return [
    ...(probed === null ? [] : temperatureOf(lot, probed)),
    ...raiseIfPassed({
      code: 'stack-temperature',
      severity: 'danger',
      subject,
      given: smoke?.observation.smell === 'smoke' ? 1 : null,
      threshold: limits.smokyLots,
      message: `${hayOf(lot, smoke)} smelled of smoke on ${smoke?.seenOn}: call the fire service, then probe.`,
    }),
    ...raiseIfPassed({
      code: 'stack-temperature',
      severity: heat === 'hot' ? 'danger' : 'watch',
      subject,
      given: heat === 'cool' ? null : 1,
      threshold: limits.hotLots,
      message: sentence`${hayOf(lot, felt)} felt ${heat} on ${felt?.seenOn ?? ''}: ${PROBE_IT}`,
    }),
  ];
}

const LEAST_DEPTH = quantity(PROBED_DEPTH.leastInches, 'in', 0);
const PROBE_IT = sentence`probe its temperature, ${LEAST_DEPTH} deep or more. Only a probe tells that hay has cooled.`;

/** Depths are typed with two decimals at most. */
const DEPTH_DIGITS = 2;

/** By the guide that is followed; below its first step, by another that begins sooner. */
function temperatureOf(lot: ObservedLot, probed: Standing): RaisedCaution[] {
  const { seenOn, observation } = probed;
  const coreTemperatureC = observation.temperatureC ?? Number.NaN;
  const guides = Object.keys(HEATING_GUIDES) as HeatingGuideKey[];
  const first = guides.filter((guide) => guide === DEFAULT_GUIDES.heating);
  const { probeDepth } = observation;
  const probedAt =
    probeDepth === null
      ? ` on ${seenOn}`
      : sentence`, ${quantity(probeDepth.value, probeDepth.unit, DEPTH_DIGITS)} deep, on ${seenOn}`;
  const raised = [...first, ...guides].flatMap((guide) =>
    stackTemperatureCautions({ stackName: hayOf(lot, probed), coreTemperatureC, guide, probed: probedAt }),
  );
  return raised.slice(0, 1).map((one) => ({ ...one, subject: { ...subjectOf(lot), kind: 'stack' } }));
}

function heatDamageOf(lot: AskedLot): RaisedCaution[] {
  const smell = smelled(lot, OF_HEAT);
  const color = standing(
    lot,
    (one) => (one.color === null ? null : BROWN.includes(one.color) ? 1 : 0),
    untilProbed(lot),
  );
  const ofHeat = smell !== null && OF_HEAT.includes(smell.observation.smell) ? smell : null;
  const brown = color !== null && BROWN.includes(color.observation.color) ? color : null;
  return raiseIfPassed({
    code: 'heat-damaged-protein',
    severity: 'notice',
    subject: subjectOf(lot),
    given: ofHeat === null && brown === null ? null : 1,
    threshold: CAUTIONS['heat-damaged-protein'].thresholds.heatedLots,
    message:
      ofHeat === null
        ? `${hayOf(lot, brown)} was ${brown?.observation.color} on ${brown?.seenOn}: heat may have bound some of ` +
          'its protein.'
        : `${hayOf(lot, ofHeat)} smelled of ${ofHeat.observation.smell} on ${ofHeat.seenOn}: heat may have bound ` +
          'some of its protein.',
  });
}
