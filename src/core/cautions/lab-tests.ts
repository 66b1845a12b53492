import type { FeedGroup } from '../nutrients/feed-groups.data.js';
import { counted } from '../units/counted.js';
import { quantity, sentence } from '../units/wording.js';
import { CAUTIONS } from './cautions.data.js';
import { raiseIfPassed, type RaisedCaution } from './caution.js';

/** What is known of a lot's testing on a day. Days are whole days counted by the caller. */
export interface LotTesting {
  readonly lotId?: string | undefined;
  readonly lotName: string;
  /** Days since the newest sample; `null` if the lot was never tested. */
  readonly daysSinceSample: number | null;
  /** Days until the lot is first fed; 0 if it is in use; `null` if that is not planned. */
  readonly daysUntilFed: number | null;
  /** Bales cored for the newest test; `null` if not recorded. */
  readonly balesCored: number | null;
  readonly lotKg: number | null;
  /** What came into the lot after it was sampled, or from elsewhere than the sampled hay; absent or 0 if nothing. */
  readonly cameInAfterKg?: number;
  /** What kind of feed it is, for how a sample of it is taken; hay if left out. */
  readonly feedGroup?: FeedGroup;
}

/** How to find out what is in a feed that is no hay: nobody cores a bag. */
const HOW_TO_KNOW: Readonly<Record<Exclude<FeedGroup, 'hay'>, string>> = {
  silage:
    'Take handfuls from all over the fresh face, mix them, keep the sample cold and send it; until then every number ' +
    'rests on a book value or is not known.',
  grain: 'Take a probe or handfuls from several places of the load, mix them and send the sample, or enter the label.',
  protein: "Enter the label's guaranteed analysis; a sample from several bags or tubs tells more.",
  mineral: "Enter the label's guaranteed analysis from the tag.",
};

const SAMPLE_AGAIN =
  'Sample what came in, or the whole lot again. Until then the test holds only for the part that was sampled; the ' +
  'rest may hold anything.';

const KG_PER_SHORT_TON = 907.18474;

/** Test missing, old, drawn from too few bales or too large a lot, or too late for the laboratory to answer. */
export function labTestCautions(lot: LotTesting): RaisedCaution[] {
  const subject = { kind: 'lot', name: lot.lotName, id: lot.lotId } as const;
  const { feedGroup = 'hay' } = lot;
  const untested = lot.daysSinceSample === null;
  return [
    ...(untested
      ? raiseIfPassed({
          code: 'lab-test-missing',
          // The same whether the ration is in use or only asked about; hay for later has time to be tested.
          severity: (lot.daysUntilFed ?? 0) === 0 ? 'watch' : 'notice',
          subject,
          ...(feedGroup === 'hay' ? {} : { advice: HOW_TO_KNOW[feedGroup] }),
          given: 1,
          threshold: CAUTIONS['lab-test-missing'].thresholds.untestedLots,
          message:
            feedGroup === 'hay' || feedGroup === 'silage'
              ? `${lot.lotName} has no lab test.`
              : `${lot.lotName} has neither a lab test nor a label on record.`,
        })
      : []),
    ...raiseIfPassed({
      code: 'lab-test-old',
      severity: 'notice',
      subject,
      given: lot.daysSinceSample,
      threshold: CAUTIONS['lab-test-old'].thresholds.ageDays,
      message: `${lot.lotName} was sampled ${counted(Math.round(lot.daysSinceSample ?? 0), 'day')} ago.`,
    }),
    // `lab-test-missing` covers a lot in use without a test; the lead time is about hay not yet in use.
    ...(untested && lot.daysUntilFed !== null && lot.daysUntilFed > 0
      ? raiseIfPassed({
          code: 'lab-lead-time',
          severity: 'watch',
          subject,
          given: lot.daysUntilFed,
          threshold: CAUTIONS['lab-lead-time'].thresholds.days,
          message:
            `${lot.lotName} is to be fed in ${counted(Math.round(lot.daysUntilFed), 'day')} ` + 'and has no test yet.',
        })
      : []),
    ...(untested ? [] : sampleCautions(lot)),
  ];
}

/** Too few cores, too much hay for one sample, or hay that came in since. */
function sampleCautions(lot: LotTesting): RaisedCaution[] {
  const subject = { kind: 'lot', name: lot.lotName, id: lot.lotId } as const;
  const sample = CAUTIONS['sample-too-small'].thresholds;
  const tons = lot.lotKg === null ? null : lot.lotKg / KG_PER_SHORT_TON;
  const covered = `${lot.lotName} after it was sampled: its test covers only part of it.`;
  const most = quantity(sample.lotTons.value, 'ton', 0);
  const cameIn = Number(((lot.cameInAfterKg ?? 0) / KG_PER_SHORT_TON).toFixed(6));
  return [
    ...raiseIfPassed({
      code: 'sample-too-small',
      severity: 'notice',
      subject,
      given: lot.balesCored,
      threshold: sample.cores,
      message: `${counted(Math.round(lot.balesCored ?? 0), 'bale')} of ${lot.lotName} cored.`,
    }),
    ...raiseIfPassed({
      code: 'sample-too-small',
      severity: 'notice',
      subject,
      given: tons,
      threshold: sample.lotTons,
      message: sentence`${lot.lotName} holds ${quantity(tons ?? 0, 'ton', 0)}; one sample represents ${most} at most.`,
    }),
    ...raiseIfPassed({
      code: 'sample-too-small',
      severity: 'watch',
      subject,
      advice: SAMPLE_AGAIN,
      given: cameIn,
      threshold: sample.cameInAfter,
      message: sentence`${quantity(cameIn, 'ton', 1)} came into ${covered}`,
    }),
  ];
}
