import { isQuantity, type Words } from '../units/wording.js';
import { byCode, MINERALS, TRACE_NUTRIENTS } from '../nutrients/nutrients.js';
import type {
  AnimalClass,
  RequirementFamily,
  RequirementNote,
  RequirementSet,
  WorkingStep,
} from './requirement-set.js';

interface Part {
  readonly share: number;
  readonly set: RequirementSet;
}

const totalOf = (parts: readonly { readonly share: number }[]) =>
  parts.reduce((before, { share }) => before + share, 0);

/** The mean of what the parts of a herd need, all on one diet; a single part is the herd. */
export function meanOfHerd(parts: readonly Part[]): RequirementSet {
  const largest = parts.reduce((most, part) => (part.share > most.share ? part : most)).set;
  if (parts.length === 1) return largest;
  const whole = totalOf(parts);
  const mean = (figure: (set: RequirementSet) => number) =>
    parts.reduce((before, { share, set }) => before + (share / whole) * figure(set), 0);
  return {
    edition: largest.edition,
    animalClass: mostCommon(parts),
    shrunkBodyWeightKg: mean((set) => set.shrunkBodyWeightKg),
    dryMatterIntakeKgPerDay: mean((set) => set.dryMatterIntakeKgPerDay),
    netEnergyMaintenanceMcalPerDay: mean((set) => set.netEnergyMaintenanceMcalPerDay),
    netEnergyGainMcalPerDay: mean((set) => set.netEnergyGainMcalPerDay),
    netEnergyPregnancyMcalPerDay: mean((set) => set.netEnergyPregnancyMcalPerDay),
    netEnergyLactationMcalPerDay: mean((set) => set.netEnergyLactationMcalPerDay),
    netEnergyMaintenanceTotalMcalPerDay: mean((set) => set.netEnergyMaintenanceTotalMcalPerDay),
    milkKgPerDay: mean((set) => set.milkKgPerDay),
    shrunkGainKgPerDay: mean((set) => set.shrunkGainKgPerDay),
    metabolizableProteinGPerDay: mean((set) => set.metabolizableProteinGPerDay),
    metabolizableProteinParts: {
      maintenanceGPerDay: mean((set) => set.metabolizableProteinParts.maintenanceGPerDay),
      gainGPerDay: mean((set) => set.metabolizableProteinParts.gainGPerDay),
      pregnancyGPerDay: mean((set) => set.metabolizableProteinParts.pregnancyGPerDay),
      lactationGPerDay: mean((set) => set.metabolizableProteinParts.lactationGPerDay),
    },
    crudeProteinGPerDay: mean((set) => set.crudeProteinGPerDay),
    rumenDegradableProteinGPerDay: mean((set) => set.rumenDegradableProteinGPerDay),
    equivalentShrunkBodyWeightKg: mean((set) => set.equivalentShrunkBodyWeightKg),
    bacterialProteinGPerDay: mean((set) => set.bacterialProteinGPerDay),
    minerals: byCode(MINERALS, (mineral) => mean((set) => set.minerals[mineral])),
    traces: byCode(TRACE_NUTRIENTS, (trace) => mean((set) => set.traces[trace])),
    waterLPerDay: mean((set) => set.waterLPerDay),
    efficiencyOfMaintenance: mean((set) => set.efficiencyOfMaintenance),
    diet: largest.diet,
    coldMethod: largest.coldMethod,
    lowerCriticalTemperatureC:
      largest.lowerCriticalTemperatureC === null ? null : mean((set) => set.lowerCriticalTemperatureC ?? 0),
    parts: meanWorking(parts),
    notes: [noteOnMean(parts), ...distinctNotes(parts)],
  };
}

function sharesByClass(parts: readonly Part[]): (readonly [AnimalClass, number])[] {
  const shares = new Map<AnimalClass, number>();
  for (const { share, set } of parts) shares.set(set.animalClass, (shares.get(set.animalClass) ?? 0) + share);
  return [...shares].sort(([, a], [, b]) => b - a);
}

function mostCommon(parts: readonly Part[]): AnimalClass {
  const [most] = sharesByClass(parts);
  if (most === undefined) throw new RangeError('A herd has at least one part');
  return most[0];
}

const CLASSES_IN_WORDS: Readonly<Record<AnimalClass, string>> = {
  'dry-open-cow': 'dry open cows',
  'dry-pregnant-cow': 'dry pregnant cows',
  'lactating-cow': 'cows in milk',
  'first-calf-heifer': 'first-calf heifers',
  'replacement-heifer': 'replacement heifers',
  'growing-calf': 'growing calves',
  yearling: 'yearlings',
  finishing: 'finishing cattle',
  bull: 'bulls',
};

/** A part of a herd is neither none nor all of it. */
function percentInWords(percent: number): string {
  if (percent < 1) return 'less than 1 %';
  return percent > 99 && percent < 100 ? 'over 99 %' : `${Math.round(percent)} %`;
}

function noteOnMean(parts: readonly Part[]): RequirementNote {
  const whole = totalOf(parts);
  const shares = sharesByClass(parts).map(
    ([animalClass, share]) => `${percentInWords((100 * share) / whole)} ${CLASSES_IN_WORDS[animalClass]}`,
  );
  const [only] = parts;
  const message =
    shares.length === 1 && only !== undefined
      ? `The figures are the mean of the herd, ${CLASSES_IN_WORDS[only.set.animalClass]} that are not all equally ` +
        'far along.'
      : `The figures are the mean of the herd, whose animals are not all at one stage: ${shares.join(', ')}.`;
  return {
    code: 'mean-of-the-herd',
    message,
    source: 'mean over the animals, each by its own equations',
  };
}

/** One note for each sentence; where it holds figures, those of the animals that it is said of, in the mean. */
function distinctNotes(parts: readonly Part[]): RequirementNote[] {
  const said = new Map<string, { share: number; note: RequirementNote }[]>();
  for (const { share, set } of parts)
    for (const note of set.notes) {
      const key = `${note.code} ${wordsWithout(note.message)}`;
      said.set(key, [...(said.get(key) ?? []), { share, note }]);
    }
  return [...said.values()].flatMap((of) => {
    const [first] = of;
    return first === undefined ? [] : [{ ...first.note, message: meanWords(of) }];
  });
}

/** The sentence without the values of its figures. */
function wordsWithout(message: Words): string {
  if (typeof message === 'string') return message;
  return message.parts.map((part) => (isQuantity(part) ? JSON.stringify(part.unit) : JSON.stringify(part))).join('');
}

function meanWords(of: readonly { readonly share: number; readonly note: RequirementNote }[]): Words {
  const whole = totalOf(of);
  const valueAt = (message: Words, index: number): number => {
    const part = typeof message === 'string' ? undefined : message.parts[index];
    return part !== undefined && isQuantity(part) ? part.value : 0;
  };
  const message = of[0]?.note.message ?? '';
  if (typeof message === 'string') return message;
  return {
    parts: message.parts.map((part, index) =>
      isQuantity(part)
        ? { ...part, value: of.reduce((sum, { share, note }) => sum + share * valueAt(note.message, index), 0) / whole }
        : part,
    ),
  };
}

/** Amounts per day count as zero where a part has none; ratios are the mean of the parts that have them. */
const isAmountPerDay = ({ unit }: WorkingStep) => unit.endsWith('/d');

function meanWorking(parts: readonly Part[]): RequirementSet['parts'] {
  const whole = totalOf(parts);
  const families = [...new Set(parts.flatMap(({ set }) => Object.keys(set.parts) as RequirementFamily[]))];
  return Object.fromEntries(
    families.map((family) => {
      const steps = parts.flatMap(({ share, set }) => (set.parts[family] ?? []).map((step) => ({ share, step })));
      const names = [...new Set(steps.map(({ step }) => step.name))];
      return [
        family,
        names.map((name) =>
          meanStep(
            steps.filter(({ step }) => step.name === name),
            whole,
          ),
        ),
      ];
    }),
  );
}

function meanStep(
  found: readonly { readonly share: number; readonly step: WorkingStep }[],
  whole: number,
): WorkingStep {
  const [first] = found;
  if (first === undefined) throw new RangeError('A step of the working is in at least one part');
  const { name, unit } = first.step;
  const over = isAmountPerDay(first.step) ? whole : totalOf(found);
  return {
    name,
    unit,
    value: found.reduce((before, { share, step }) => before + share * step.value, 0) / over,
    source: [...new Set(found.map(({ step }) => step.source))].join('; '),
  };
}
