import { counted } from '../units/counted.js';
import { CAUTIONS } from './cautions.data.js';
import { plain, raiseIfPassed, type RaisedCaution } from './caution.js';

/** What is known of a lot's testing on a day. Days are whole days counted by the caller. */
export interface LotTesting {
  readonly lotName: string;
  /** Days since the newest sample; `null` if the lot was never tested. */
  readonly daysSinceSample: number | null;
  /** Days until the lot is first fed; 0 if it is in use; `null` if that is not planned. */
  readonly daysUntilFed: number | null;
  /** Bales cored for the newest test; `null` if not recorded. */
  readonly balesCored: number | null;
  readonly lotKg: number | null;
}

const KG_PER_SHORT_TON = 907.18474;

/** Test missing, old, drawn from too few bales or too large a lot, or too late for the laboratory to answer. */
export function labTestCautions(lot: LotTesting): RaisedCaution[] {
  const subject = { kind: 'lot', name: lot.lotName } as const;
  const untested = lot.daysSinceSample === null;
  const sample = CAUTIONS['sample-too-small'].thresholds;
  const tons = lot.lotKg === null ? null : lot.lotKg / KG_PER_SHORT_TON;
  return [
    ...(untested
      ? raiseIfPassed({
          code: 'lab-test-missing',
          severity: lot.daysUntilFed === 0 ? 'watch' : 'notice',
          subject,
          given: 1,
          threshold: CAUTIONS['lab-test-missing'].thresholds.untestedLots,
          message: `${lot.lotName} has no lab test.`,
        })
      : []),
    ...raiseIfPassed({
      code: 'lab-test-old',
      severity: 'notice',
      subject,
      given: lot.daysSinceSample,
      threshold: CAUTIONS['lab-test-old'].thresholds.ageDays,
      message: `${lot.lotName} was sampled ${plain(lot.daysSinceSample ?? 0, 0)} days ago.`,
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
    ...(untested
      ? []
      : [
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
            message: `${lot.lotName} holds ${plain(tons ?? 0, 0)} short tons; one sample represents 200 at most.`,
          }),
        ]),
  ];
}
