import { readdirSync, readFileSync } from 'node:fs';
import { join } from 'node:path';
import { CAUTIONS } from '../../../src/core/cautions/cautions.data';
import type { CautionEntry } from '../../../src/core/cautions/caution';
import { figureIn, wordsIn } from '../../../src/core/units/wording';
import { toldInOtherUnits } from '../../support/other-units';
import { CAUTION_SOURCES } from '../../../src/core/cautions/caution-sources.data';

const core = join(__dirname, '../../../src/core');
const filesOf = (room: string) =>
  readdirSync(join(core, room))
    .filter((name) => name.endsWith('.ts'))
    .map((name) => ({ name, text: readFileSync(join(core, room, name), 'utf8') }));
const rooms = ['cautions', 'laying', 'ration'].flatMap(filesOf);
const code = rooms
  .filter(({ name }) => !name.endsWith('.data.ts'))
  .map(({ text }) => text)
  .join('\n');
const everything = rooms
  .filter(({ name }) => name !== 'caution-sources.data.ts')
  .map(({ text }) => text)
  .join('\n');

/*
 * Whoever asks in one system reads no unit of the other: not in what stands in the catalogue for every caution of a
 * kind, nor in a threshold. Sources are quoted as they were published.
 */
describe.each(['us', 'metric'] as const)('a reader in %s units', (units) => {
  const rows = Object.entries(CAUTIONS) as [string, CautionEntry][];
  test.each(rows)('is told %s in them', (key, { title, advice, thresholds }) => {
    expect(toldInOtherUnits({ title, advice: wordsIn(units, advice) }, units)).toEqual([]);
    for (const each of Object.values(thresholds))
      for (const { value, unit } of [each, ...(each.otherSources ?? [])])
        expect([key, toldInOtherUnits(figureIn(units, { value, unit }), units)]).toEqual([key, []]);
  });
});

test('minerals and salt are fed by the ounce or the gram, 2 to 4 oz a head: 57 to 113 g', () => {
  const { title, advice } = CAUTIONS['mineral-by-the-pound'];
  expect(title).not.toMatch(/pound|kilogram/);
  expect(wordsIn('us', advice)).toContain('by the ounce, 2 to 4 oz a head');
  // 28.349523125 g each.
  expect(wordsIn('metric', advice)).toContain('by the gram, 57 to 113 g a head');
  expect(wordsIn('metric', CAUTIONS['mineral-above-maximum'].advice)).toContain('minerals are given by the gram');
  expect(wordsIn('metric', CAUTIONS['salt-above-maximum'].advice)).toContain('by the gram');
});

test('a dose is told by the 100 lb in US units', () => {
  // 0.3 g/kg: 0.3 of 45.359237 g are 13.6077711 g, over 28.349523125 g to the ounce 0.48.
  const { unit, value } = figureIn('us', { value: 0.3, unit: 'g urea per kg body weight a day' });
  expect(value).toBeCloseTo(0.48, 12);
  expect(unit).toBe('oz urea per 100 lb body weight a day');
});

describe('the catalogue is complete', () => {
  test.each(Object.keys(CAUTIONS))('%s is raised somewhere', (key) => expect(code).toContain(`code: '${key}'`));
  test.each(Object.keys(CAUTION_SOURCES).filter((key) => key !== 'chemistry'))('source %s is cited somewhere', (key) =>
    expect(everything).toContain(`'${key}'`),
  );
  // The hazards that the project's domain description names.
  test('every hazard of the domain is covered', () => {
    expect(Object.keys(CAUTIONS)).toEqual(
      expect.arrayContaining([
        'nitrate-single-hay',
        'nitrate-whole-ration',
        'prussic-acid',
        'visible-mould',
        'moisture-at-stacking',
        'stack-temperature',
        'legume-bloat',
        'grass-tetany-ratio',
        'magnesium-low',
        'calcium-phosphorus-ratio',
        'sulfur-total',
        'acidosis',
        'abrupt-change',
        'urea-share',
        'water-frozen',
        'water-short',
        'water-dissolved-solids',
        'water-sulfate',
        'sodium-low',
        'spoiled-bales',
        'straw-impaction',
        'lab-lead-time',
        'lab-test-missing',
        'lab-test-old',
      ]),
    );
  });
});
