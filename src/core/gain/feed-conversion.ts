import { decimal, type Decimal } from '../units/decimal.js';
import { Mass } from '../units/mass.js';
import { type Refusal, refused } from '../outcome/outcome.js';
import { problem } from '../outcome/problem.js';

export interface FeedConversion {
  readonly ok: true;
  readonly dryMatterFed: Mass;
  /** Fed less refused and wasted; null where no loss was measured. */
  readonly dryMatterEaten: Mass | null;
  readonly fedPerGain: Decimal;
  readonly eatenPerGain: Decimal | null;
}

/**
 * Feed conversion: feed over gain (University of Nebraska-Lincoln Extension G2095, 2023: feed efficiency = total feed
 * consumed / total gain), on dry matter, once for what was fed and once for what was eaten. What was refused or
 * wasted is taken to have the mean dry matter of what was fed.
 * @param fed as-fed mass and dry-matter percent of each draw
 * @param lost as-fed mass refused and wasted; null where none was measured
 * @returns refused where the herd did not gain, or nothing was fed.
 */
export function feedConversion({
  fed,
  lost,
  gain,
}: {
  readonly fed: readonly { readonly mass: Mass; readonly dryMatterPercent: string | number }[];
  readonly lost: Mass | null;
  readonly gain: Mass;
}): FeedConversion | Refusal {
  if (!gain.isPositive())
    return refused(
      problem(
        'gain-not-positive',
        'gain',
        gain.toString(),
        'more than 0 kg',
        'A herd that did not gain has no feed conversion.',
      ),
    );
  const asFed = Mass.sum(fed.map((one) => one.mass));
  const dryMatterFed = Mass.sum(fed.map((one) => one.mass.times(decimal(String(one.dryMatterPercent)).div(100))));
  if (!dryMatterFed.isPositive())
    return refused(
      problem(
        'nothing-fed',
        'fed',
        dryMatterFed.toString(),
        'more than 0 kg',
        'No feed was recorded between the weighings.',
      ),
    );
  const dryMatterEaten = lost === null ? null : dryMatterFed.minus(lost.times(dryMatterFed.ratioTo(asFed)));
  return {
    ok: true,
    dryMatterFed,
    dryMatterEaten,
    fedPerGain: dryMatterFed.ratioTo(gain),
    eatenPerGain: dryMatterEaten === null ? null : dryMatterEaten.ratioTo(gain),
  };
}
