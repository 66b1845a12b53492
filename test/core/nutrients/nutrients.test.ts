import type { NutrientRow } from '../../../src/core/nutrients/nutrient-row.js';
import { NUTRIENTS } from '../../../src/core/nutrients/nutrients.data.js';
import {
  JUDGED_NUTRIENTS,
  LAB_NUTRIENTS,
  labReport,
  MINERALS,
  MINERALS_BY_SHARE,
  MINERALS_BY_USE,
  namesInWords,
  spelledNutrient,
  RATION_NUTRIENTS,
} from '../../../src/core/nutrients/nutrients.js';

const rows: [string, NutrientRow][] = Object.entries(NUTRIENTS);
/** Amount in a kilogram of dry matter of one unit of a concentration, by the International System of Units. */
const AMOUNT: Readonly<Record<string, number>> = {
  '% of DM in g': 10,
  '% of DM in kg': 0.01,
  'Mcal/kg of DM in Mcal': 1,
  'mg NO3-N/kg of DM in g': 0.001,
  'mg/kg of DM in mg': 1,
  'IU/kg of DM in IU': 1,
};

describe('the table of nutrients', () => {
  it('gives each nutrient a field of its own in an analysis, and a unit it may be typed in', () => {
    const reports = LAB_NUTRIENTS.map(labReport);
    expect(new Set(reports.map(({ field }) => field)).size).toBe(reports.length);
    // Dry matter, shares of another nutrient and indexes are no share of the dry matter.
    for (const { unit, scalesWithDryMatter, typedIn } of reports) {
      expect(scalesWithDryMatter).toBe(unit.endsWith('of DM'));
      expect(Object.values(typedIn)).toContain(1);
    }
  });

  it('sums each by the amount that its unit makes in a kilogram', () => {
    for (const [, { lab, ration }] of rows)
      if (lab !== undefined && ration !== undefined && 'perKg' in ration)
        expect(ration.perKg).toBe(AMOUNT[`${lab.unit} in ${ration.unit}`]);
  });

  it('leaves no row out of what is summed and what is judged', () => {
    const codes = (test: (row: NutrientRow) => boolean) => rows.filter(([, row]) => test(row)).map(([code]) => code);
    expect([...RATION_NUTRIENTS].sort()).toEqual(codes((row) => row.ration !== undefined).sort());
    expect([...JUDGED_NUTRIENTS].sort()).toEqual(codes((row) => row.need !== undefined).sort());
    expect([...MINERALS_BY_USE, ...MINERALS_BY_SHARE].sort()).toEqual([...MINERALS].sort());
  });

  it('knows the upper end of every mineral that can be too much', () => {
    for (const [, { group, need, ofDryMatter }] of rows)
      if (group === 'mineral' && need?.kind === 'range')
        expect(ofDryMatter?.maximum).toBeGreaterThan(ofDryMatter?.growing ?? 0);
  });

  it('names one as people say it', () => {
    expect(spelledNutrient('netEnergyMaintenance')).toBe('Net energy maintenance');
    expect(spelledNutrient('vitaminA')).toBe('Vitamin A');
  });

  it('names several in a sentence', () => {
    expect(namesInWords(['calcium'])).toBe('calcium');
    expect(namesInWords(['calcium', 'phosphorus', 'sodium'])).toBe('calcium, phosphorus and sodium');
  });
});
