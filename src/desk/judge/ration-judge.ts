import type { RaisedCaution } from '../../core/cautions/caution.js';
import { type ColdLeftOut, hasUsualCold } from '../../core/cautions/cold-left-out.js';
import { USUAL_COLD } from '../../core/cautions/usual-cold.data.js';
import type { LotShare } from '../../core/cautions/rumen.js';
import { evenedOut } from '../../core/judge/evened-bales.js';
import { type FedBefore, sharesOf } from '../../core/judge/fed-before.js';
import { dietContextOf } from '../../core/judge/diet-context.js';
import { evaluateRation } from '../../core/judge/evaluate.js';
import type { EvaluationRequest, RationEvaluation } from '../../core/judge/evaluation.js';
import { type CautionsOfDay, withWorstMeals } from '../../core/judge/one-meal.js';
import { pregnancyOf } from '../../core/judge/pregnancy.js';
import { rationCautions } from '../../core/judge/ration-cautions.js';
import { rationSupply } from '../../core/judge/ration-supply.js';
import {
  type MeasuredWaste,
  type WastedShare,
  wastedShareOf,
  wastedShareOfDays,
  wasteOfWhatFits,
} from '../../core/judge/wasted-share.js';
import { layingCautions, likelyEatenOrder } from '../../core/laying/laying-cautions.js';
import type { LayerRole } from '../../core/laying/layer.js';
import type { Outcome } from '../../core/outcome/outcome.js';
import type { Problem } from '../../core/outcome/problem.js';
import type {
  AnimalDescription,
  ColdMethod,
  DietContext,
  RequirementConditions,
  RequirementEdition,
  RequirementNote,
  RequirementSet,
} from '../../core/requirements/requirement-set.js';
import { requirementsForHerd } from '../../core/requirements/requirements-for-herd.js';
import { mostEatenOf } from '../../core/cautions/left-over.js';
import { quantity, sentence } from '../../core/units/wording.js';
import { leftOfPresent, measuredWasteOf } from '../facts/fed-lately.js';
import { type HerdFacts, type HerdOnDay, weatherContextOf } from '../facts/herd-facts.js';
import { type LotFacts, testingOf } from '../facts/lot-facts.js';
import { fedAtPresentOf, laidForDaysNote } from '../facts/present-ration.js';
import { type LaidRation, layOut, partOfDay, type RationContent } from '../facts/ration-content.js';
import { NO_PLACE_NOTE, waterOfHerd } from '../facts/water.js';
import { isColdLeftOut, noWeatherNote, statedWeather } from '../facts/weather-choice.js';

/** How the caller wants a herd judged; everything else comes from the herd's own facts. */
export interface JudgeOptions {
  edition: RequirementEdition;
  coldMethod: ColdMethod;
}

/** The default for callers that do not choose. */
export const USUAL_JUDGING: JudgeOptions = { edition: 'NRC2000', coldMethod: 'heat-balance' };

interface AskedOf extends JudgeOptions {
  /** Share that the ration itself states as not eaten. */
  statedWastedShare: number | null;
  showCost: boolean;
  /** Whether the herd is fed this at present. */
  fedAtPresent: boolean;
  /** True where the amounts are those of the herd's last feedings, so that what was left of these counts. */
  asFed?: boolean;
  /** True where the amounts are what is laid on one day, and not a ration as it is written. */
  ofOneDay?: boolean;
}

export interface JudgedRation {
  /** `null` if the need cannot be computed; `refusedBecause` says why. */
  requirement: RequirementSet | null;
  evaluation: RationEvaluation | null;
  refusedBecause: readonly Problem[];
  /** Worst first. Cautions about what is in the hay and water are given even if the herd cannot be judged. */
  cautions: readonly RaisedCaution[];
  laying: readonly RaisedCaution[];
  likelyEatenFirst: readonly { position: number; role: LayerRole }[];
  wasted: JudgedWaste;
}

/** Legume share of the dry matter; null if it is unknown for any lot. */
export function legumeShareOf(laid: LaidRation): number | null {
  let legume = 0;
  for (const {
    facts: { lot },
    shares,
  } of laid.parts) {
    if (lot.legumeShare === null) return null;
    legume += lot.legumeShare * shares.dryMatterShare;
  }
  return legume;
}

/**
 * What a herd's mean animal needs on a day, over all stages its animals are in: the one way from a herd's facts to its
 * requirements, used by every address. Without a diet, on the poorest one that covers the need.
 */
export function needOf(
  facts: HerdOnDay,
  options: JudgeOptions,
  { diet, grazing = false }: { diet?: DietContext | undefined; grazing?: boolean } = {},
): Outcome<RequirementSet> {
  const need = requirementsForHerd(facts.standing.parts, {
    ...conditionsOf(facts, options),
    ...(diet === undefined ? {} : { diet }),
    ...(grazing ? { activity: { grazing: true } } : {}),
  });
  if (!need.ok) return need;
  const weatherNote = noWeatherNote(facts.weatherAsked, facts.weather);
  const left = [
    ...(weatherNote === null ? [] : [weatherNote]),
    ...(facts.standing.state.placeId === null ? [NO_PLACE_NOTE] : []),
  ];
  return { ...need, value: { ...need.value, notes: [...need.value.notes, ...left] } };
}

/** What the equations need besides the animal and its diet. */
export function conditionsOf({ weather }: HerdOnDay, options: JudgeOptions): RequirementConditions {
  return {
    edition: options.edition,
    ...(weather === null ? {} : { weather: weatherContextOf(weather, options.coldMethod) }),
  };
}

/**
 * What is left out of a herd's need on a day of which no weather is known: the need on the same diet in a usual cold
 * that it is used to. `null` where the weather is known, the month has no cold, or there is no need.
 */
export function coldLeftOutOf(facts: HerdOnDay, options: JudgeOptions, diet: DietContext): ColdLeftOut | null {
  if (!isColdLeftOut(facts.weatherAsked, facts.weather) || !hasUsualCold(facts.on)) return null;
  const { temperatureC } = USUAL_COLD;
  const weather = statedWeather(
    facts.on,
    { temperatureC, windKmPerHour: null, mudDepthCm: null, coat: 'clean-and-dry' },
    facts.usedToC,
  );
  const [mild, cold] = [needOf(facts, options, { diet }), needOf({ ...facts, weather }, options, { diet })];
  if (!mild.ok || !cold.ok) return null;
  const energy = ({ netEnergyMaintenanceTotalMcalPerDay }: RequirementSet) => netEnergyMaintenanceTotalMcalPerDay;
  return { on: facts.on, countedMcal: energy(mild.value), inColdMcal: energy(cold.value) };
}

/** The wasted share that a ration is judged on, with what its reader should know of it. */
export interface JudgedWaste extends WastedShare {
  readonly note?: RequirementNote;
  /** Of a measured share, the days that it was measured on, each without what was too much. */
  readonly days?: readonly MeasuredWaste[];
}

/** Whose waste, and of which ration. */
type WasteAsked = JudgeOptions & Pick<AskedOf, 'statedWastedShare' | 'fedAtPresent' | 'asFed'>;

/** Share of the offered feed that this herd does not eat, deducted the same way everywhere. */
export function wastedOf(herd: HerdFacts, asked: WasteAsked): JudgedWaste {
  const { fedLately } = herd;
  const days = fedLately === null ? [] : measuredWasteOf(fedLately, herd.head);
  const intakeKg = days.some((day) => day.refusedKg > 0) ? intakeOf(herd, asked) : Infinity;
  const fitting = days.map((day) =>
    wasteOfWhatFits({ ...day, couldHoldKg: mostEatenOf(intakeKg) * day.head * day.fedKgPerKgOfDryMatter }),
  );
  const usual = wastedShareOf({
    measured: fitting,
    statedShare: asked.statedWastedShare,
    fedAtPresent: asked.fedAtPresent,
  });
  const ofDays = asked.asFed === true && fedLately !== null ? wastedShareOfDays(leftOfPresent(fedLately), usual) : null;
  if (ofDays !== null) return ofDays;
  return usual.restsOn === 'measured'
    ? { ...usual, ...largerOfferNote(days, fitting, usual.share), days: fitting }
    : usual;
}

/**
 * What one animal eats a day, kg of dry matter, whatever hay it is and in mild weather, since that of the day asked
 * about is not that of the days when leftovers were weighed; infinite where it is not known.
 */
function intakeOf(herd: HerdFacts, options: JudgeOptions): number {
  const need = needOf({ ...herd, weather: null }, options);
  return need.ok ? need.value.dryMatterIntakeKgPerDay : Infinity;
}

/** Says that more was laid than the cattle could hold where the waste was measured. */
function largerOfferNote(
  days: readonly { readonly fedKg: number; readonly head: number }[],
  fitting: readonly { readonly fedKg: number }[],
  share: number,
): { note?: RequirementNote } {
  const head = days.reduce((sum, day) => sum + day.head, 0);
  const perHead = (of: readonly { readonly fedKg: number }[]) => of.reduce((sum, { fedKg }) => sum + fedKg, 0) / head;
  const [laidKg, fitsKg] = [perHead(days), perHead(fitting)];
  if (!(laidKg - fitsKg > 0.05)) return {};
  const laid = quantity(laidKg, 'kg', 1);
  const tooMuch = quantity(laidKg - fitsKg, 'kg', 1);
  const left = sentence`Where leftovers were weighed, ${laid} a head was laid, ${tooMuch} more than they can hold.`;
  const percent = Number((share * 100).toFixed(1));
  const counted = `So much of what they left is no waste: ${percent} % of an offer that fits is counted as wasted.`;
  return {
    note: {
      code: 'leftovers-of-a-larger-offer',
      message: sentence`${left} ${counted}`,
      source: 'feedings of the herd',
    },
  };
}

/** Judges what is laid against what this herd needs on this day, from facts already gathered. Pure. */
export function judgeRation(herd: HerdFacts, laid: Pick<LaidRation, 'layers' | 'parts'>, asked: AskedOf): JudgedRation {
  const { animal } = herd;
  const wasted = wastedOf(herd, asked);
  const diet = dietContextOf(rationSupply({ layers: laid.layers, wastedShare: wasted.share }));
  const need = needOf(herd, asked, { diet });
  const lots = [...new Map(laid.parts.map((part): [string, LotFacts] => [part.lotId, part.facts])).values()];
  const evened = evenedSharesOf(herd, laid, asked);
  return {
    ...judgedOn(need, {
      animal,
      animals: herd.standing.parts.map((part) => part.animal),
      water: herd.water,
      temperatureC: herd.weather?.temperatureC ?? null,
      coldLeftOut: coldLeftOutOf(herd, asked, diet),
      layers: laid.layers,
      wastedShare: wasted.share,
      showCost: asked.showCost,
      testing: testingOf(lots, herd.on, asked.fedAtPresent),
      observed: lots.map((lot) => lot.observed),
      before: herd.fedBefore,
      ...(evened === null ? {} : { evenedShares: evened }),
    }),
    ...layingOf(herd, laid),
    wasted,
  };
}

/** Of what is laid in whole bales, the shares without that rounding; `null` where there is none. */
function evenedSharesOf(
  { rationInBales, evenedDays, fedLately }: HerdFacts,
  { parts }: Pick<LaidRation, 'parts'>,
  { asFed, ofOneDay }: AskedOf,
): LotShare[] | null {
  if (rationInBales === null) return null;
  if (asFed === true) {
    const days = new Set((fedLately?.feedings ?? []).map((one) => one.happened_on));
    const evened = evenedDays.filter(({ day }) => days.has(day));
    return evened.length < days.size ? null : sharesOf(evened.flatMap((one) => one.evened));
  }
  if (ofOneDay !== true) return null;
  const laid = parts.map(({ facts, asFedKgPerHead }) => partOfDay(facts.lot, asFedKgPerHead));
  return sharesOf(evenedOut(laid, rationInBales) ?? []);
}

/** What is judged besides the need: the ration, what surrounds it, and every kind of animal that eats it. */
interface Judged extends Pick<
  EvaluationRequest,
  'animal' | 'layers' | 'wastedShare' | 'showCost' | 'testing' | 'observed' | 'evenedShares'
> {
  readonly animals: readonly AnimalDescription[];
  readonly water: HerdFacts['water'];
  /** Of the hottest day that is judged. */
  readonly temperatureC: number | null;
  readonly before: FedBefore | null;
  readonly coldLeftOut: ColdLeftOut | null;
}

/** The judgement of a ration on a need; where there is no need, its cautions and the reasons. */
export function judgedOn(
  need: Outcome<RequirementSet>,
  { animals, water: ofHerd, temperatureC, before, coldLeftOut, ...judged }: Judged,
): Pick<JudgedRation, 'requirement' | 'evaluation' | 'refusedBecause' | 'cautions'> {
  const water = waterOfHerd(ofHerd, animals);
  const request = {
    ...judged,
    holdToIntake: true,
    anyPregnant: pregnancyOf(animals) === 'yes',
    mayBePregnant: pregnancyOf(animals) === 'may-be',
    ...(temperatureC === null ? {} : { temperatureC }),
    ...(before === null ? {} : { before }),
    ...(coldLeftOut === null ? {} : { coldLeftOut }),
    ...(water === null ? {} : { water }),
  };
  const evaluation = need.ok ? evaluateRation({ ...request, requirement: need.value }) : need;
  const requirement = need.ok ? need.value : null;
  return {
    requirement,
    evaluation: evaluation.ok ? evaluation.value : null,
    refusedBecause: evaluation.ok ? [] : evaluation.problems,
    cautions: evaluation.ok ? evaluation.value.cautions : rationCautions({ ...request, requirement }),
  };
}

/** A ration that cannot even be laid out cannot be judged. */
function notJudged(refusedBecause: readonly Problem[]): JudgedRation {
  return {
    requirement: null,
    evaluation: null,
    refusedBecause,
    cautions: [],
    laying: [],
    likelyEatenFirst: [],
    wasted: { share: 0, restsOn: 'nothing' },
  };
}

/** A ration as written, laid out if possible, and judged. */
export function judgeContent(
  herd: HerdFacts,
  content: RationContent,
  lots: ReadonlyMap<string, LotFacts>,
  asked: AskedOf,
): { laid: LaidRation | null; judged: JudgedRation } {
  const laid = layOut(content, lots);
  return laid.ok
    ? { laid: laid.value, judged: judgeRation(herd, laid.value, asked) }
    : { laid: null, judged: notJudged(laid.problems) };
}

/** What the herd was fed in its last week of feeding, judged: the mean of its days, and the worst meal of them. */
export function judgePresent(
  herd: HerdFacts,
  lots: ReadonlyMap<string, LotFacts>,
  { days, ...asked }: Omit<AskedOf, 'fedAtPresent' | 'asFed'> & { readonly days: readonly CautionsOfDay[] },
): { laid: LaidRation | null; judged: JudgedRation } {
  const present = fedAtPresentOf(herd);
  if (!present.ok) return { laid: null, judged: notJudged(present.problems) };
  const { laid, judged } = judgeContent(herd, present.value, lots, { ...asked, fedAtPresent: true, asFed: true });
  return { laid, judged: withNote(withDays(judged, days), laidForDaysNote(herd)) };
}

/** With what the reader should know of what the herd is fed. */
function withNote(judged: JudgedRation, note: RequirementNote | null): JudgedRation {
  const { requirement } = judged;
  if (note === null || requirement === null) return judged;
  return { ...judged, requirement: { ...requirement, notes: [...requirement.notes, note] } };
}

/** The mean of a herd's days hides what one meal does: with what each day's feedings were found to do. */
export function withDays(judged: JudgedRation, days: readonly CautionsOfDay[]): JudgedRation {
  return { ...judged, cautions: withWorstMeals(judged.cautions, days) };
}

function layingOf(
  herd: HerdFacts,
  { parts }: Pick<LaidRation, 'parts'>,
): Pick<JudgedRation, 'laying' | 'likelyEatenFirst'> {
  const laid = parts.filter((part) => !part.freeChoice);
  const layers = laid.map((part) => ({ position: part.position, role: part.role }));
  const eaten = likelyEatenOrder({ layers: [...new Map(layers.map((layer) => [layer.position, layer])).values()] });
  return {
    likelyEatenFirst: [...eaten.order],
    laying: layingCautions({
      weather: 'dry',
      hayWasWet: null,
      blended: false,
      legumeShareOfDryMatter: null,
      head: Math.max(herd.head, 1),
      space: herd.space,
      layers: laid.map((part) => ({
        name: part.facts.lot.lotName,
        role: part.role,
        texture: part.facts.kind.texture,
        kgAsFed: part.asFedKgPerHead * Math.max(herd.head, 1),
        bulkDensityKgPerM3: part.shares.bulkDensityKgPerM3.value,
      })),
    }),
  };
}
