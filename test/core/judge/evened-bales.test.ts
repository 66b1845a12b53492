/*
 * A day in whole bales is the ration, rounded, while each lot stays within a bale of its need. Figures by hand: for one
 * head 6 kg of hay and 4 kg of alfalfa a day, along with 2 kg of corn; a bale is 10 kg for each.
 */
import { type Ahead, aheadAfter, evenedOut, type PlannedDay } from '../../../src/core/judge/evened-bales.js';
import type { PartOfDay } from '../../../src/core/judge/fed-before.js';

const part = (lotId: string, asFedKg: number): PartOfDay => ({
  lotId,
  asFedKg,
  dryMatterShare: 0.9,
  isStarchyGrain: lotId === 'corn',
});
const EVEN: Ahead = { least: 0, most: 0 };
const planned = (hay: Ahead, alfalfa: Ahead): PlannedDay => ({
  parts: [
    { ...part('hay', 6), isForage: true, freeChoice: false, baleKg: 10 },
    { ...part('alfalfa', 4), isForage: true, freeChoice: false, baleKg: 10 },
    { ...part('corn', 2), isForage: false, freeChoice: false, baleKg: null },
  ],
  ahead: new Map([
    ['hay', hay],
    ['alfalfa', alfalfa],
  ]),
});
const RATION = { hay: 6, alfalfa: 4, corn: 2 };
const evened = (laid: Record<string, number>, day = planned(EVEN, EVEN)): Record<string, number> | null => {
  const parts = evenedOut(
    Object.entries(laid).map(([lotId, kg]) => part(lotId, kg)),
    day,
  );
  return parts === null ? null : Object.fromEntries(parts.map(({ lotId, asFedKg }) => [lotId, asFedKg]));
};

test('a bale of either hay is the ration, and two of one are not', () => {
  expect(evened({ hay: 10, corn: 2 })).toEqual(RATION);
  expect(evened({ alfalfa: 10, corn: 2 })).toEqual(RATION);
  // 1.6 bales ahead.
  expect(evened({ alfalfa: 20, corn: 2 })).toBeNull();
  expect(evened({ hay: 10, oats: 1, corn: 2 })).toBeNull();
});

test('two of one are, where it stood behind, or may have', () => {
  expect(evened({ alfalfa: 20, corn: 2 }, planned(EVEN, { least: -0.7, most: -0.7 }))).toEqual(RATION);
  expect(evened({ alfalfa: 20, corn: 2 }, planned(EVEN, { least: -0.7, most: 1 }))).toEqual(RATION);
  expect(evened({ alfalfa: 20, corn: 2 }, planned(EVEN, { least: -0.5, most: 1 }))).toBeNull();
});

test('grain goes along with the hay of the day; less stays less and more stays more', () => {
  // With half of the hay, half of the corn is the ration.
  const ofHay = (corn: number) => evened({ hay: 5, corn }, planned(EVEN, EVEN))?.['corn'];
  expect(ofHay(1)).toBe(2);
  expect(ofHay(2)).toBe(2);
  expect(ofHay(0.5)).toBe(1);
  expect(ofHay(3)).toBe(3);
  expect(ofHay(0)).toBe(0);
});

test('a lot stands ahead by what was laid above its need, and a bale at most', () => {
  const after = (laid: Record<string, number> | null, day: PlannedDay) => {
    const parts = laid === null ? null : Object.entries(laid).map(([lotId, kg]) => part(lotId, kg));
    return Object.fromEntries(
      [...aheadAfter(parts, day)].map(([lotId, { least, most }]) => [
        lotId,
        [Number(least.toFixed(9)), Number(most.toFixed(9))],
      ]),
    );
  };
  expect(after({ hay: 10 }, planned(EVEN, EVEN))).toEqual({ hay: [0.4, 0.4], alfalfa: [-0.4, -0.4] });
  expect(after({ hay: 30 }, planned(EVEN, EVEN))).toEqual({ hay: [1, 1], alfalfa: [-0.4, -0.4] });
  const behind: Ahead = { least: -0.8, most: -0.8 };
  expect(after({ hay: 10 }, planned(EVEN, behind))).toEqual({ hay: [0.4, 0.4], alfalfa: [-1, -1] });
  // Nothing was entered: at the least nothing was laid.
  expect(after(null, planned(EVEN, behind))).toEqual({ hay: [-0.6, 1], alfalfa: [-1, 1] });
});
