import { readdirSync, readFileSync } from 'node:fs';
import { join } from 'node:path';
import { CAUTIONS } from '../../../src/core/cautions/cautions.data';
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
