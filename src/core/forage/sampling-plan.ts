import { seededRandom } from '../trial/seeded-random.js';
import {
  BULK_PLACES,
  CORES_OF_A_SAMPLE,
  LOT_OF_A_SAMPLE,
  type SampledForm,
  SAMPLING_RULES,
  type SamplingRule,
  SILAGE_PLACES,
} from './sampling-plan.data.js';

/** One sample for the lab: a run of bales, counted from 1 along the walk, and those of it that are cored. */
interface LotSample {
  readonly fromBale: number;
  readonly untilBale: number;
  /** In the order of the walk. */
  readonly bales: readonly { readonly bale: number; readonly cores: number }[];
}

export interface SamplingPlan {
  /** Empty where the lot is not in bales, or nobody knows how many there are. */
  readonly samples: readonly LotSample[];
  /** How many samples go to the lab, each of its own part of the lot; 0 of what is told by its tag, and of hot hay. */
  readonly sampleCount: number;
  /** Cores, or scoops of silage, in each sample. */
  readonly coresPerSample: number;
  readonly rules: readonly SamplingRule[];
}

const KG_PER_SHORT_TON = 907.18474;

/**
 * Which bales of a lot to core: at least 20 cores to a sample, one sample for every 200 short tons (National Forage
 * Testing Association), each of its own run of bales so that no end of the stack is left out. The draw is without
 * replacement, by a seeded generator: the same lot, count and seed give the same bales.
 * @param bales whole bales in the lot; `null` where nobody knows
 * @throws RangeError if the seed is none, or bales is not a whole number above 0
 */
export function samplingPlan({
  form,
  bales,
  lotKg,
  seed,
  hot = false,
}: {
  readonly form: SampledForm;
  readonly bales: number | null;
  readonly lotKg: number | null;
  readonly seed: string;
  /** True where heat in the lot is a danger: a hole lets air in, so nothing is cored until it has cooled. */
  readonly hot?: boolean;
}): SamplingPlan {
  if (bales !== null && (!Number.isSafeInteger(bales) || bales < 1))
    throw new RangeError(`A lot has a whole number of bales above 0, not ${bales}`);
  const rules = SAMPLING_RULES.filter((rule) => rule.forms === undefined || rule.forms.includes(form));
  if (form === 'bagged' || hot) return { samples: [], sampleCount: 0, coresPerSample: 0, rules };
  if (form === 'bulk-feed') return { samples: [], sampleCount: 1, coresPerSample: BULK_PLACES.value, rules };
  if (form === 'silage') return { samples: [], sampleCount: 1, coresPerSample: SILAGE_PLACES.value, rules };
  const tons = lotKg === null ? 0 : lotKg / KG_PER_SHORT_TON;
  const wanted = Math.max(1, Math.ceil(tons / LOT_OF_A_SAMPLE.shortTons - 1e-9));
  const coresPerSample = CORES_OF_A_SAMPLE.value;
  if (form === 'loose' || bales === null) return { samples: [], sampleCount: wanted, coresPerSample, rules };
  const sampleCount = Math.min(wanted, bales);
  const random = seededRandom({ seed });
  const samples = Array.from({ length: sampleCount }, (_none, index): LotSample => {
    const fromBale = Math.floor((index * bales) / sampleCount) + 1;
    const untilBale = Math.floor(((index + 1) * bales) / sampleCount);
    return {
      fromBale,
      untilBale,
      bales: drawn(fromBale, untilBale, coresPerSample, (limit) => random.nextBelow(limit)),
    };
  });
  return { samples, sampleCount, coresPerSample, rules };
}

/** Every bale as often as the cores go around, and the rest drawn; of a run of many bales one core each. */
function drawn(
  from: number,
  until: number,
  cores: number,
  below: (limit: number) => number,
): { bale: number; cores: number }[] {
  const run = Array.from({ length: until - from + 1 }, (_none, index) => from + index);
  const ofEach = Math.floor(cores / run.length);
  const extra = cores - ofEach * run.length;
  // Fisher and Yates, as far as it is needed.
  for (let place = 0; place < extra; place += 1) {
    const other = place + below(run.length - place);
    [run[place], run[other]] = [run[other] ?? 0, run[place] ?? 0];
  }
  return run
    .map((bale, place) => ({ bale, cores: ofEach + (place < extra ? 1 : 0) }))
    .filter((one) => one.cores > 0)
    .sort((a, b) => a.bale - b.bale);
}
