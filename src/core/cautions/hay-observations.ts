import { CAUTIONS } from './cautions.data.js';
import { raiseIfPassed, type RaisedCaution, type Threshold, worstFirst } from './caution.js';
import { HEATING_GUIDES, DEFAULT_GUIDES, type HeatingGuideKey } from './guides.data.js';
import type { HayColor, HaySmell, HeatFelt, SeenAmount } from './hay-observation.data.js';
import { quantity, sentence } from '../units/told.js';
import type { UnitOf } from '../units/unit.js';
import { spoilageCautions, stackTemperatureCautions } from './hay-in-store.js';

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
  /** Where it is of hay that was moved into the lot: the lot it came from and the last day of the move. */
  readonly movedIn?: { readonly sourceId: string; readonly lotName: string; readonly on: string };
}

/** A lot with all that was seen of it up to a day. */
export interface ObservedLot {
  readonly lotName: string;
  /** Dry hay molds from 20 % moisture, wrapped bales spoil for other reasons; of other feeds nothing is said. */
  readonly keeping: 'dry hay' | 'wrapped' | 'other';
  readonly observations: readonly HayObservation[];
}

/** An aspect as it stands: its newest day, and of that day the worst. */
interface Standing {
  readonly seenOn: string;
  readonly observation: HayObservation;
}

/** How bad an observation is in one aspect; `null` where it was not looked at. */
type Badness = (observation: HayObservation) => number | null;
/** How many bales it found bad, where they were counted. */
type BadBales = (observation: HayObservation) => number | null;

/**
 * The observation that stands for one aspect. Whoever looked at it last is believed, unless fewer bales were checked
 * than had been found bad; where several looked on that day, the worst counts, since a stack is as hot as its hottest
 * spot. Hay that was moved in keeps what was seen of it, until somebody looks at the lot after the move; the worst of
 * all counts.
 */
function standing({ observations }: ObservedLot, badness: Badness, badBales: BadBales = () => null): Standing | null {
  const looks = observations.flatMap((observation) => {
    const bad = badness(observation);
    return bad === null ? [] : [{ seenOn: observation.seenOn, observation, bad, badBales: badBales(observation) ?? 0 }];
  });
  return looks
    .filter((one) => !looks.some((later) => answers(later, one)))
    .reduce<Look | null>((worst, one) => (worst === null || isWorse(one, worst) ? one : worst), null);
}

interface Look extends Standing {
  readonly bad: number;
  readonly badBales: number;
}

const isWorse = (one: Look, other: Look): boolean =>
  one.bad > other.bad || (one.bad === other.bad && one.seenOn > other.seenOn);

/** Whether a look is later than another at the same hay, or after that hay was moved here, and as wide. */
function answers({ seenOn, observation }: Look, earlier: Look): boolean {
  const { movedIn } = earlier.observation;
  const after =
    observation.movedIn?.sourceId === movedIn?.sourceId
      ? seenOn > earlier.seenOn
      : observation.movedIn === undefined && movedIn !== undefined && seenOn > movedIn.on;
  return after && (observation.balesChecked ?? 0) >= earlier.badBales;
}

/** The hay that was looked at; where it was moved in, that too. */
function hayOf({ lotName }: ObservedLot, found: Standing | null): string {
  const movedIn = found?.observation.movedIn;
  return movedIn === undefined ? lotName : `${movedIn.lotName}, hay of which was moved into ${lotName},`;
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

const subjectOf = ({ lotName }: ObservedLot) => ({ kind: 'lot', name: lotName }) as const;

/**
 * The cautions of what was seen, smelled and measured of a lot, each until somebody has looked at the same again and
 * found it well. Worst first.
 */
export function observationCautions(lot: ObservedLot): RaisedCaution[] {
  return worstFirst([...moldOf(lot), ...spoiledOf(lot), ...heatOf(lot), ...heatDamageOf(lot)]);
}

function moldOf(lot: ObservedLot): RaisedCaution[] {
  const limits = CAUTIONS['visible-mould'].thresholds;
  const mold = standing(
    lot,
    (one) => (one.mold === null ? null : AMOUNT[one.mold] * 1e6 + (one.balesMoldy ?? 0)),
    (one) => one.balesMoldy,
  );
  const dust = standing(lot, (one) => (one.dust === null ? null : AMOUNT[one.dust]));
  const smell = standing(lot, (one) => (one.smell === null ? null : SMELL[one.smell]));
  const level = mold?.observation.mold ?? 'none';
  const bales = mold?.observation.balesMoldy ?? null;
  const counted = bales !== null && bales > 0;
  const threshold: Threshold = counted ? limits.moldyBales : limits.moldyLots;
  if (mold !== null && level !== 'none')
    return raiseIfPassed({
      code: 'visible-mould',
      severity: level === 'heavy' ? 'danger' : 'watch',
      subject: subjectOf(lot),
      given: counted ? bales : 1,
      threshold,
      message:
        `${level === 'heavy' ? 'Heavy' : 'Light'} mold was seen in ${hayOf(lot, mold)} on ${mold.seenOn}` +
        `${counted ? `; moldy bales: ${bales}` : ''}.`,
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

function spoiledOf(lot: ObservedLot): RaisedCaution[] {
  const { lotName, keeping } = lot;
  const limits = CAUTIONS['spoiled-bales'].thresholds;
  const spoiled = standing(
    lot,
    (one) => one.balesSpoiled,
    (one) => one.balesSpoiled,
  );
  const smell = standing(lot, (one) => (one.smell === null ? null : SMELL[one.smell]));
  const moisture = standing(lot, (one) => one.moisturePercent);
  return [
    ...raiseIfPassed({
      code: 'spoiled-bales',
      severity: 'danger',
      subject: subjectOf(lot),
      given: spoiled?.observation.balesSpoiled ?? null,
      threshold: limits.spoiledBales,
      message:
        `Spoiled bales seen in ${hayOf(lot, spoiled)} on ${spoiled?.seenOn}: ` +
        `${spoiled?.observation.balesSpoiled}.`,
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
          lotName,
          wrapped: keeping === 'wrapped',
          mouldSeen: null,
          spoiledBalesSeen: null,
          moisturePercent: moisture?.observation.moisturePercent ?? null,
          ph: null,
        })),
  ];
}

/** By the probe, by the hand and by the nose. A probe reading answers for the hand of that day and before. */
function heatOf(lot: ObservedLot): RaisedCaution[] {
  const limits = CAUTIONS['stack-temperature'].thresholds;
  const probed = standing(lot, (one) => one.temperatureC);
  const felt = standing(lot, (one) => (one.heatFelt === null ? null : HEAT[one.heatFelt]));
  const smell = standing(lot, (one) => (one.smell === null ? null : SMELL[one.smell]));
  const feltSince = felt !== null && (probed === null || felt.seenOn > probed.seenOn) ? felt : null;
  const heat = feltSince?.observation.heatFelt ?? 'cool';
  const subject = { kind: 'stack', name: lot.lotName } as const;
  return [
    ...(probed === null ? [] : temperatureOf(lot, probed)),
    ...raiseIfPassed({
      code: 'stack-temperature',
      severity: 'danger',
      subject,
      given: smell?.observation.smell === 'smoke' ? 1 : null,
      threshold: limits.smokyLots,
      message: `${hayOf(lot, smell)} smelled of smoke on ${smell?.seenOn}: call the fire service, then probe.`,
    }),
    ...raiseIfPassed({
      code: 'stack-temperature',
      severity: heat === 'hot' ? 'danger' : 'watch',
      subject,
      given: heat === 'cool' ? null : 1,
      threshold: limits.hotLots,
      message: `${hayOf(lot, feltSince)} felt ${heat} on ${feltSince?.seenOn}: probe its temperature.`,
    }),
  ];
}

/** Depths are typed with two decimals at most. */
const DEPTH_DIGITS = 2;

/** By the guide that is followed; below its first step, by another that begins sooner. */
function temperatureOf(lot: ObservedLot, { seenOn, observation }: Standing): RaisedCaution[] {
  const coreTemperatureC = observation.temperatureC ?? Number.NaN;
  const guides = Object.keys(HEATING_GUIDES) as HeatingGuideKey[];
  const first = guides.filter((guide) => guide === DEFAULT_GUIDES.heating);
  const { probeDepth } = observation;
  const told =
    probeDepth === null
      ? ` on ${seenOn}`
      : sentence`, ${quantity(probeDepth.value, probeDepth.unit, DEPTH_DIGITS)} deep, on ${seenOn}`;
  const raised = [...first, ...guides].flatMap((guide) =>
    stackTemperatureCautions({ stackName: lot.lotName, coreTemperatureC, guide, told }),
  );
  return raised.slice(0, 1);
}

function heatDamageOf(lot: ObservedLot): RaisedCaution[] {
  const smell = standing(lot, (one) => (one.smell === null ? null : SMELL[one.smell]));
  const color = standing(lot, (one) => (one.color === null ? null : BROWN.includes(one.color) ? 1 : 0));
  const smelled = smell !== null && OF_HEAT.includes(smell.observation.smell) ? smell : null;
  const brown = color !== null && BROWN.includes(color.observation.color) ? color : null;
  return raiseIfPassed({
    code: 'heat-damaged-protein',
    severity: 'notice',
    subject: subjectOf(lot),
    given: smelled === null && brown === null ? null : 1,
    threshold: CAUTIONS['heat-damaged-protein'].thresholds.heatedLots,
    message:
      smelled === null
        ? `${hayOf(lot, brown)} was ${brown?.observation.color} on ${brown?.seenOn}: heat may have bound some of ` +
          'its protein.'
        : `${hayOf(lot, smelled)} smelled of ${smelled.observation.smell} on ${smelled.seenOn}: heat may have bound ` +
          'some of its protein.',
  });
}
