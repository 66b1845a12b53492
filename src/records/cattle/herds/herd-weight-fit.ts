import { Injectable } from '@nestjs/common';
import type { AnimalClass } from '../../../core/requirements/requirement-set.js';
import { mainClassOn } from '../../../core/standing/herd-state.js';
import type { HerdOnFile } from '../../../core/standing/herd-on-file.js';
import {
  howWeighed,
  unlikelyWeightWords,
  type KnownWeight,
  type WeightDoubt,
  weightDoubts,
  weightsBeside,
} from '../../../core/standing/weight-fit.js';
import { WEIGHT_BOUNDS, WEIGHT_CHANGE } from '../../../core/plausibility/entry-bounds.data.js';
import { KILOGRAM_PLACES, Mass } from '../../../core/units/mass.js';
import { decimalFromFloat } from '../../../core/units/decimal.js';
import type { OperationTenant } from '../../../platform/database/types.js';
import { type Problem, ruleBroken } from '../../../platform/http/problem.js';
import { type MassIn, unitFor, type UnitSystem } from '../../../platform/wire/quantity.schema.js';
import type { EntryWarning } from '../../kit/entry-warning.schema.js';
import { HerdStateRead } from '../standing/herd-state.read.js';
import { HerdRead } from './herd.read.js';

/** A weight as given: its place in the body and its text. */
interface GivenWeight extends KnownWeight {
  readonly pointer: string;
  readonly given: MassIn;
}

/** A weight on record: the mean of so many head, or of an animal that is named. */
interface RecordedWeight extends KnownWeight {
  readonly head?: number;
  readonly animals?: readonly { readonly name: string; readonly kg: number }[];
}

/**
 * Checks new weights of a herd against its class, its other weights and its head count; refuses the impossible, and
 * doubts the unlikely.
 */
@Injectable()
export class HerdWeightFit {
  constructor(
    private readonly states: HerdStateRead,
    private readonly herds: HerdRead,
  ) {}

  /** The herd's mean, and each animal where they were weighed one by one. */
  async check(
    tenant: OperationTenant,
    herdId: string,
    mean: GivenWeight & { readonly head?: number },
    animals: readonly GivenWeight[] = [],
  ): Promise<void> {
    const file = (await this.states.files(tenant, [herdId])).get(herdId);
    if (file === undefined) return;
    const { cattleClass, weight, beside } = heldAgainst(file, mean);
    checkWeight(tenant, cattleClass, weight, beside);
    for (const animal of animals) checkWeight(tenant, cattleClass, animal, []);
  }

  /** Animals that come to herds or leave them: only the classes of the herds speak against their weight. */
  async checkAnimals(tenant: OperationTenant, herdIds: readonly string[], weight: GivenWeight): Promise<void> {
    for (const file of (await this.states.files(tenant, herdIds)).values())
      checkWeight(tenant, heldAgainst(file, weight).cattleClass, weight, []);
  }

  /** A weight told of a herd, where only its class can speak against it. */
  refuseOfClass(tenant: OperationTenant, cattleClass: AnimalClass, weight: GivenWeight): void {
    const doubt = weightDoubts(cattleClass, weight, []).find((one) => one.impossible);
    if (doubt !== undefined) throw refusal(cattleClass, weight, doubt, tenant.operation.unitPreference);
  }

  /**
   * What is unlikely of each weight, by the rule that refuses the impossible: of the herd's mean, and of each animal
   * where they were weighed one by one.
   */
  async warnings<Row extends { herd_id: string }>(
    tenant: OperationTenant,
    rows: readonly Row[],
    weightOf: (row: Row) => RecordedWeight | null,
  ): Promise<Map<Row, EntryWarning[]>> {
    const weights = rows.flatMap((row) => {
      const weight = weightOf(row);
      return weight === null ? [] : [{ row, weight }];
    });
    const files = await this.states.files(tenant, [...new Set(weights.map(({ row }) => row.herd_id))]);
    return new Map(
      weights.map(({ row, weight }) => {
        const file = files.get(row.herd_id);
        return [row, file === undefined ? [] : warningsOf(file, weight)];
      }),
    );
  }

  /** No more can go over the scale than there are. Before the first head change nobody knows how many there were. */
  async refuseHead(
    tenant: OperationTenant,
    herdId: string,
    { on, head, pointer, strays }: { on: string; head: number; pointer: string; strays: boolean },
  ): Promise<void> {
    const most = await this.herds.mostHeadOn(tenant, herdId, on);
    // Tagged animals may include a few of another herd: only more than twice the head is too many; common practice, no
    // source.
    if (most === undefined || head <= (strays ? 2 * most : most)) return;
    throw ruleBroken(
      pointer,
      'more-head-than-the-herd',
      head,
      `1 to ${most}`,
      `The herd has ${most} head on ${on}; ${head} cannot have been weighed. If the head is wrong, enter the head ` +
        'change first.',
    );
  }
}

/** The class on the day, what the mean of so many head says of the herd, and the weights to hold it against. */
function heldAgainst<Weight extends KnownWeight & { readonly head?: number }>(
  file: HerdOnFile,
  weight: Weight,
): { cattleClass: AnimalClass; weight: Weight; beside: KnownWeight[] } {
  const { on, how, head } = weight;
  return {
    cattleClass: mainClassOn(file.facts, { cattleClass: file.entered.cattleClass, sex: file.sex }, on),
    weight: how === 'stated' ? weight : { ...weight, ...howWeighed(file, on, head) },
    beside: weightsBeside(file, on),
  };
}

function warningsOf(file: HerdOnFile, { animals = [], ...mean }: RecordedWeight): EntryWarning[] {
  const { cattleClass, weight: ofHerd, beside } = heldAgainst(file, mean);
  const warningOf = (whose: string, weight: KnownWeight, others: readonly KnownWeight[]): EntryWarning[] =>
    weightDoubts(cattleClass, weight, others)
      .slice(0, 1)
      .map((doubt) => ({
        code: 'weight-unlikely',
        message: unlikelyWeightWords(cattleClass, { whose, on: weight.on }, doubt),
      }));
  return [
    ...warningOf('', ofHerd, beside),
    ...animals.flatMap(({ name, kg }) => warningOf(`${name} on `, { on: mean.on, how: mean.how, kg }, [])),
  ];
}

/** Refuses a weight that cattle of this class, or this herd, cannot have; doubts one that they are unlikely to have. */
function checkWeight(
  tenant: OperationTenant,
  cattleClass: AnimalClass,
  weight: GivenWeight,
  beside: readonly KnownWeight[],
): void {
  const units = tenant.operation.unitPreference;
  const doubts = weightDoubts(cattleClass, weight, beside);
  const impossible = doubts.find((one) => one.impossible);
  if (impossible !== undefined) throw refusal(cattleClass, weight, impossible, units);
  const [doubt] = doubts;
  if (doubt === undefined) return;
  const { given, allowed } = shownWeight(weight, doubt, units);
  tenant.doubts.raise({
    code: doubt.code,
    pointer: weight.pointer,
    given,
    usual: allowed,
    source: doubt.beside === null ? WEIGHT_BOUNDS[cattleClass].source : CHANGE_SOURCE,
    message: unlikelyWeightWords(cattleClass, { whose: '', on: weight.on }, doubt),
  });
}

const CHANGE_SOURCE = `${WEIGHT_CHANGE.usualKgPerDay.source}; ${WEIGHT_CHANGE.fillShare.source}`;

const SCALE_UNITS = ['lb', 'kg'] as const;

/** A weight as given, and what it may be beside it, in the unit that was asked in, if cattle are weighed in it. */
function shownWeight(
  weight: GivenWeight,
  doubt: WeightDoubt,
  units: UnitSystem,
): { given: string; allowed: string; mass: (kg: number, whole?: (value: number) => number) => string } {
  const given = `${weight.given.value} ${weight.given.unit}`;
  const unit = SCALE_UNITS.find((one) => one === weight.given.unit) ?? unitFor(units, 'small');
  const mass = (kg: number, whole: (value: number) => number = Math.round): string =>
    `${whole(Mass.kilograms(decimalFromFloat(kg, KILOGRAM_PLACES)).in(unit).toNumber())} ${unit}`;
  // Rounded inward: whatever is said to be allowed is taken.
  const allowed = `${mass(doubt.allowedKg[0], Math.ceil)} to ${mass(doubt.allowedKg[1], Math.floor)}`;
  return { given, allowed, mass };
}

function refusal(cattleClass: AnimalClass, weight: GivenWeight, doubt: WeightDoubt, units: UnitSystem): Problem {
  const { given, allowed, mass } = shownWeight(weight, doubt, units);
  const { beside } = doubt;
  const full = mass(weight.kg, (value) => Number(value.toFixed(1)));
  const entered = full === given ? given : `${given} (${full})`;
  const why =
    beside === null
      ? `No cattle of the class ${cattleClass.replaceAll('-', ' ')} weigh ${entered}; they ` +
        `weigh ${allowed}. If the class is wrong, correct it first.`
      : `The herd weighed ${mass(beside.kg)} on ${beside.on}; ${entered} on ${weight.on} ` +
        `is more of a change than cattle can make. If the weigh-in of ${beside.on} is wrong, reverse it first.`;
  return ruleBroken(
    weight.pointer,
    beside === null ? 'no-weight-of-this-class' : 'no-weight-after-the-last',
    given,
    allowed,
    `${why} Check the unit, and whether it is a mean or a total.`,
  );
}
