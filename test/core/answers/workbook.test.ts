import { calendarDay, figure, text } from '../../../src/platform/http/columns.js';
import { renderXlsx } from '../../../src/platform/http/xlsx.js';
import { sheetsOf } from '../../answers/workbook.js';

describe('a recorded workbook', () => {
  it('holds its sheets, texts, numbers with their formats and days', async () => {
    const bytes = await renderXlsx(
      {
        columns: [text('Lot'), figure('Tons'), calendarDay('Day')],
        rows: [
          ['Meadow & <straw>', '12.50', '2026-11-25'],
          [null, '3', null],
        ],
      },
      'Hay position',
    );
    expect(sheetsOf(bytes)).toEqual([
      {
        name: 'Hay position',
        rows: [
          ['Lot', 'Tons', 'Day'],
          // Days are counted from the end of 1899 (ECMA-376-1, 18.17.4.1).
          ['Meadow & <straw>', { number: '12.5', format: '0.00' }, { number: '46351', format: 'yyyy-mm-dd' }],
          [null, { number: '3', format: '0' }],
        ],
      },
    ]);
  });
});
