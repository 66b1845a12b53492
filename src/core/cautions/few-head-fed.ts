import { CAUTIONS } from './cautions.data.js';
import { passes, plain, raiseIfPassed, type RaisedCaution } from './caution.js';

interface HeadFed {
  readonly headFed: number;
  /** Of the herd that day. */
  readonly head: number;
}

const { percentOfHerd } = CAUTIONS['few-head-fed'].thresholds;
const percentOf = ({ headFed, head }: HeadFed): number => (headFed / Math.max(head, 1)) * 100;

/** Whether a feeding went to so few of the herd that it is not what the herd was fed. */
export function isFewHead(fed: HeadFed): boolean {
  return passes(percentOf(fed), percentOfHerd.raisedWhen, percentOfHerd.value);
}

/** A feeding to far fewer head than the herd has: meant, or a slip that makes every figure per head wrong. */
export function fewHeadFedCautions(fed: HeadFed): RaisedCaution[] {
  return raiseIfPassed({
    code: 'few-head-fed',
    severity: 'watch',
    given: percentOf(fed),
    threshold: percentOfHerd,
    message: `A feeding of the day went to ${plain(fed.headFed)} of ${plain(fed.head)} head.`,
  });
}
