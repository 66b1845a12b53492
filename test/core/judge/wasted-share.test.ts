/*
 * What a herd wastes is read from feedings that can show it. The bounds are this program's own (`wasted-share.data.ts`:
 * common practice, no source); the figures are worked out by hand.
 */
import { evaluateRation } from '../../../src/core/judge/evaluate';
import { dietContextOf } from '../../../src/core/judge/diet-context';
import { rationSupply } from '../../../src/core/judge/ration-supply';
import { showsWaste, wastedShareOf, wastedShareOfDays, wasteOfWhatFits } from '../../../src/core/judge/wasted-share';
import { laidForWasteNote } from '../../../src/core/cautions/left-over';
import { wordsIn } from '../../../src/core/units/wording';
import type { RationLayer } from '../../../src/core/ration/ration';
import { DRY_COW, hay, KG_PER_LB, MEADOW, needs } from '../ration/ration-fixtures';

const lb = (pounds: number) => pounds * KG_PER_LB;

describe('the waste of a herd', () => {
  it('is not read from a handful: 1 lb laid for 50 head, all of it left, says nothing of 700 lb a day', () => {
    expect(showsWaste({ fedKg: lb(1), lostKg: lb(1), head: 50 })).toBe(false);
    expect(showsWaste({ fedKg: lb(700), lostKg: lb(70), head: 50 })).toBe(true);
  });

  it('is not read from a feeding of which more was lost than laid', () => {
    expect(showsWaste({ fedKg: lb(700), lostKg: lb(701), head: 50 })).toBe(false);
  });

  it('is lost over laid, and never more than can be lost of what cattle live on', () => {
    const shareOf = (...measured: readonly { fedKg: number; lostKg: number }[]) =>
      wastedShareOf({ measured, statedShare: null, fedAtPresent: true });
    expect(shareOf({ fedKg: 700, lostKg: 70 }, { fedKg: 300, lostKg: 130 })).toEqual({
      share: 0.2,
      restsOn: 'measured',
    });
    expect(shareOf({ fedKg: 10, lostKg: 10 })).toEqual({ share: 0.6, restsOn: 'measured' });
  });

  /*
   * 10 cows that can hold 30 lb each: of 45 lb laid, 15 lb is too much whatever they leave; of the other 30 lb, they
   * left none in one week and half in the other.
   */
  it('is not what an over-full rack leaves, but is what is trampled', () => {
    const day = { fedKg: 450, wastedKg: 0, couldHoldKg: 300 };
    expect(wasteOfWhatFits({ ...day, refusedKg: 150 })).toEqual({ fedKg: 300, lostKg: 0 });
    expect(wasteOfWhatFits({ ...day, refusedKg: 300 })).toEqual({ fedKg: 300, lostKg: 150 });
    expect(wasteOfWhatFits({ ...day, refusedKg: 0, wastedKg: 90 })).toEqual({ fedKg: 450, lostKg: 90 });
    expect(wasteOfWhatFits({ fedKg: 300, refusedKg: 30, wastedKg: 0, couldHoldKg: 300 })).toEqual({
      fedKg: 300,
      lostKg: 30,
    });
  });

  it('of the days that are judged is what was left of them; of those not weighed, the usual', () => {
    const usual = { share: 0.1, restsOn: 'measured' } as const;
    const of = (...lostKg: readonly (number | null)[]) =>
      wastedShareOfDays(
        lostKg.map((one) => ({ fedKg: 450, lostKg: one })),
        usual,
      );
    expect(of(300, 300)?.share).toBeCloseTo(2 / 3, 12);
    expect(of(300, null)?.share).toBeCloseTo(345 / 900, 12);
    expect(of(null, null)).toBeNull();
    expect(of(450)).toEqual({ share: 0.99, restsOn: 'measured' });
  });

  // Cattle that hold 10 kg at most (9.524 predicted): of 12 kg a quarter is left, so that 9 kg is eaten.
  it('that makes the offer larger than what they hold is told with its numbers', () => {
    const note = (laidKg: number, wastedShare: number) =>
      laidForWasteNote({ laidKg, wastedShare, predictedKg: 10 / 1.05 });
    expect(wordsIn('metric', note(12, 0.25)?.message ?? '')).toBe(
      'A head is offered 12 kg of dry matter a day and can hold 10 kg: 25 % is counted as refused or wasted, as ' +
        'weighed at feedings. If less is left, less is enough.',
    );
    expect(note(9, 0.25)).toBeNull();
    // More than they can hold after the waste too: that is the caution more-than-eaten.
    expect(note(20, 0.25)).toBeNull();
  });

  it('makes no grain safe: wheat that is laid is eaten, whatever is left of the hay', () => {
    const wheat = hay(
      'Wheat',
      89,
      {},
      { isForage: false, isLongStem: false, isStarchyGrain: true, feedGroup: 'grain' },
    );
    const layers: RationLayer[] = [
      { role: 'mixed', lots: [{ lot: wheat, asFedKgPerHeadPerDay: lb(12) }] },
      { role: 'mixed', lots: [{ lot: MEADOW, asFedKgPerHeadPerDay: lb(14) }] },
    ];
    const acidosis = (wastedShare: number) => {
      const diet = dietContextOf(rationSupply({ layers, wastedShare }));
      const requirement = needs(DRY_COW, { edition: 'NRC2000', diet });
      const outcome = evaluateRation({ animal: DRY_COW, requirement, layers, wastedShare });
      if (!outcome.ok) throw new Error(JSON.stringify(outcome.problems));
      return outcome.value.cautions
        .filter(({ code }) => code.startsWith('acidosis'))
        .map(({ code, given }) => [code, given]);
    };
    expect(acidosis(0).length).toBeGreaterThan(0);
    expect(acidosis(0.5)).toEqual(acidosis(0));
  });
});
