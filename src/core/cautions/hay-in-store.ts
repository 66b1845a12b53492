import { counted } from '../units/counted.js';
import { quantity, sentence, type Words } from '../units/wording.js';
import { CAUTIONS } from './cautions.data.js';
import { plain, raiseCaution, raiseIfPassed, type RaisedCaution, type Severity } from './caution.js';
import {
  DEFAULT_GUIDES,
  HEATING_GUIDES,
  MOISTURE_GUIDES,
  type HeatingGuide,
  type HeatingGuideKey,
  type HeatingStep,
  type MoistureGuide,
  type MoistureGuideKey,
  type StackedBaleForm,
} from './guides.data.js';

const celsius = (fahrenheit: number): number => ((fahrenheit - 32) * 5) / 9;

/** What a heating guide says to do at a core temperature. `step` is `null` below its first step: no action. */
export function heatingAction({
  coreTemperatureC,
  guide = DEFAULT_GUIDES.heating,
}: {
  readonly coreTemperatureC: number;
  readonly guide?: HeatingGuideKey;
}): {
  readonly guideName: string;
  readonly coreTemperatureF: number;
  readonly action: string;
  readonly step: HeatingStep | null;
} {
  const table: HeatingGuide = HEATING_GUIDES[guide];
  const coreTemperatureF = (coreTemperatureC * 9) / 5 + 32;
  // A typed 150 °F comes back from kelvin or Celsius with rounding in the last digits.
  const step = table.steps.filter((each) => coreTemperatureF >= each.fromF - 1e-6).at(-1) ?? null;
  return { guideName: table.name, coreTemperatureF, action: step?.action ?? 'no action', step };
}

/** Caution for a stack by the hottest probe reading, by the steps of the guide that is followed. */
export function stackTemperatureCautions({
  stackName,
  coreTemperatureC,
  guide = DEFAULT_GUIDES.heating,
  probed: probed = '',
}: {
  readonly stackName: string;
  readonly coreTemperatureC: number;
  readonly guide?: HeatingGuideKey;
  /** Where and when it was measured, for the message. */
  readonly probed?: Words;
}): RaisedCaution[] {
  const { guideName, step } = heatingAction({ coreTemperatureC, guide });
  if (step?.severity === null || step === null) return [];
  const isOrWas = probed === '' ? 'is' : 'was';
  return [
    raiseCaution({
      code: 'stack-temperature',
      severity: step.severity,
      subject: { kind: 'stack', name: stackName },
      guide: guideName,
      given: coreTemperatureC,
      threshold: {
        value: celsius(step.fromF),
        unit: '°C',
        raisedWhen: 'at-or-above',
        source: HEATING_GUIDES[guide].source,
        otherSources: otherHeatingSteps(guide),
      },
      message: sentence`${stackName} ${isOrWas} at ${quantity(coreTemperatureC, 'C', 0)}${probed}: ${step.action}.`,
    }),
  ];
}

function otherHeatingSteps(followed: HeatingGuideKey) {
  return (Object.keys(HEATING_GUIDES) as HeatingGuideKey[])
    .filter((key) => key !== followed)
    .map((key) => ({
      value: celsius(HEATING_GUIDES[key].steps[0].fromF),
      unit: `°C, first step of ${HEATING_GUIDES[key].name}`,
      source: HEATING_GUIDES[key].source,
    }));
}

/**
 * Caution for hay that was baled or stacked wetter than its bale form allows. A preservative shifts the limit, so
 * none is raised where one was used.
 */
export function stackingMoistureCautions({
  lotId,
  lotName,
  baleForm,
  moisturePercent,
  preservative = false,
  guide = DEFAULT_GUIDES.moisture,
  how = 'was put up',
}: {
  readonly lotId?: string | undefined;
  readonly lotName: string;
  /** How and when the moisture was found, in words. */
  readonly how?: string;
  readonly baleForm: StackedBaleForm;
  readonly moisturePercent: number;
  readonly preservative?: boolean;
  readonly guide?: MoistureGuideKey;
}): RaisedCaution[] {
  if (preservative) return [];
  const table: MoistureGuide = MOISTURE_GUIDES[guide];
  const others = (Object.keys(MOISTURE_GUIDES) as MoistureGuideKey[]).filter((key) => key !== guide);
  const limit = table.maxMoisturePercent[baleForm];
  const severity: Severity = moisturePercent >= limit + 5 ? 'danger' : 'watch';
  return raiseIfPassed({
    code: 'moisture-at-stacking',
    severity,
    subject: { kind: 'lot', name: lotName, id: lotId },
    guide: table.name,
    given: moisturePercent,
    threshold: {
      value: limit,
      unit: '% moisture',
      raisedWhen: 'above',
      source: table.source,
      otherSources: others.map((key) => ({
        value: MOISTURE_GUIDES[key].maxMoisturePercent[baleForm],
        unit: '% moisture',
        source: MOISTURE_GUIDES[key].source,
      })),
    },
    message:
      `${lotName} ${how} at ${plain(moisturePercent, 1)} % moisture; ${table.name} allows ${limit} % for this ` +
      'bale.',
  });
}

/** What somebody saw or measured on a lot before feeding it. `null`: not looked at. */
interface LotCondition {
  readonly lotName: string;
  readonly mouldSeen: boolean | null;
  readonly spoiledBalesSeen: boolean | null;
  readonly wrapped: boolean;
  readonly moisturePercent: number | null;
  readonly ph: number | null;
}

/** Mold on dry hay; spoilage, pH and moisture of wrapped bales. */
export function spoilageCautions(condition: LotCondition): RaisedCaution[] {
  const { lotName, mouldSeen, spoiledBalesSeen, wrapped, moisturePercent, ph } = condition;
  const subject = { kind: 'lot', name: lotName } as const;
  const mold = CAUTIONS['visible-mould'].thresholds;
  const spoiled = CAUTIONS['spoiled-bales'].thresholds;
  return [
    ...raiseIfPassed({
      code: 'visible-mould',
      severity: 'watch',
      subject,
      given: mouldSeen === true ? 1 : null,
      threshold: mold.moldyLots,
      message: `Mold was seen on ${lotName}.`,
    }),
    ...(wrapped
      ? []
      : raiseIfPassed({
          code: 'visible-mould',
          severity: 'notice',
          subject,
          given: moisturePercent,
          threshold: mold.moisturePercent,
          message: `${lotName} is dry hay at ${plain(moisturePercent ?? 0, 1)} % moisture: mold grows from 20 %.`,
        })),
    ...raiseIfPassed({
      code: 'spoiled-bales',
      severity: 'danger',
      subject,
      given: spoiledBalesSeen === true ? 1 : null,
      threshold: spoiled.spoiledLots,
      message: `Spoiled bales were seen in ${lotName}.`,
    }),
    ...(wrapped
      ? [
          ...raiseIfPassed({
            code: 'spoiled-bales',
            severity: 'danger',
            subject,
            given: ph,
            threshold: spoiled.wrappedPh,
            message: `Wrapped ${lotName} has pH ${plain(ph ?? 0, 1)}; it did not ferment far enough.`,
          }),
          ...raiseIfPassed({
            code: 'spoiled-bales',
            severity: 'watch',
            subject,
            given: moisturePercent,
            threshold: spoiled.wrappedMoisturePercent,
            message: `Wrapped ${lotName} holds ${plain(moisturePercent ?? 0, 1)} % moisture.`,
          }),
        ]
      : []),
  ];
}

/**
 * Prussic acid of a sorghum, by test and by the days since the killing frost. Hay loses it in curing, so without a
 * test or a frost nothing is raised.
 */
export function prussicAcidCautions({
  lotName,
  isSorghum,
  hydrogenCyanidePpmDm,
  daysFromFrostToFeeding,
}: {
  readonly lotName: string;
  readonly isSorghum: boolean;
  readonly hydrogenCyanidePpmDm: number | null;
  readonly daysFromFrostToFeeding: number | null;
}): RaisedCaution[] {
  if (!isSorghum) return [];
  const subject = { kind: 'lot', name: lotName } as const;
  const limits = CAUTIONS['prussic-acid'].thresholds;
  const danger = raiseIfPassed({
    code: 'prussic-acid',
    severity: 'danger',
    subject,
    given: hydrogenCyanidePpmDm,
    threshold: limits.dangerPpmDm,
    message: `${lotName} holds ${plain(hydrogenCyanidePpmDm ?? 0, 0)} ppm HCN: dangerous.`,
  });
  return [
    ...(danger.length > 0
      ? danger
      : raiseIfPassed({
          code: 'prussic-acid',
          severity: 'watch',
          subject,
          given: hydrogenCyanidePpmDm,
          threshold: limits.cautionPpmDm,
          message: `${lotName} holds ${plain(hydrogenCyanidePpmDm ?? 0, 0)} ppm HCN: do not feed it as the only feed.`,
        })),
    ...raiseIfPassed({
      code: 'prussic-acid',
      severity: 'danger',
      subject,
      given: daysFromFrostToFeeding,
      threshold: limits.daysAfterFrost,
      message:
        `${lotName} would be fed ${counted(Math.round(daysFromFrostToFeeding ?? 0), 'day')} after a ` +
        'killing frost.',
    }),
  ];
}
