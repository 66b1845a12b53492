/*
 * A table as a workbook (Office Open XML, ECMA-376), read back by another library: what is a number, a day or a text,
 * and that no text becomes a formula.
 */
import { unzipSync } from 'fflate';
import { type CellType, type Column, figure, text } from '../../../src/platform/http/columns.js';
import { renderXlsx } from '../../../src/platform/http/xlsx.js';
import { workbookOf } from '../../support/workbook.js';

const columnsOf = (names: string, type: CellType): Column[] => [...names].map((name) => ({ name, type }));
const of = async (rows: (string | null)[][], columns = columnsOf('abc', 'text')): ReturnType<typeof workbookOf> =>
  workbookOf(await renderXlsx({ columns, rows }, 'report'));

describe('a workbook', () => {
  it(
    'has one sheet of the name given, cut to the 31 letters ' + 'that a spreadsheet takes, and the header first',
    async () => {
      const columns = [text('herd'), figure('head')];
      const bytes = await renderXlsx({ columns, rows: [] }, 'anOperationWithAVeryLongNameIndeed');
      expect(await workbookOf(bytes)).toEqual({
        sheet: 'anOperationWithAVeryLongNameInd',
        rows: [['herd', 'head']],
        about: [],
        formulas: 0,
      });
    },
  );

  it('says on a second sheet what is said of it', async () => {
    const remarks = [
      ['operation', '=Coldwater'],
      ['period', '2026-11-01 to 2027-03-31'],
    ] as const;
    const { about, rows, formulas } = await workbookOf(
      await renderXlsx({ columns: [text('lot')], rows: [['1']] }, 'report', remarks),
    );
    expect([about, rows, formulas]).toEqual([remarks, [['lot'], ['1']], 0]);
  });

  it('has numbers as numbers with the decimals they came with where the column is of numbers', async () => {
    const bytes = await renderXlsx({ columns: columnsOf('abc', 'number'), rows: [['12.50', '-3', '0.000']] }, 'report');
    expect((await workbookOf(bytes)).rows[1]).toEqual([12.5, -3, 0]);
    const styles = new TextDecoder().decode(unzipSync(bytes)['xl/styles.xml']);
    expect(styles.match(/formatCode="[0.]+"/g)).toEqual(
      expect.arrayContaining(['formatCode="0.00"', 'formatCode="0.000"']),
    );
    // Sixteen digits are one more than a spreadsheet keeps.
    const { rows } = await of([['123456789012', '.5', '1234567890.123456']], columnsOf('abc', 'number'));
    expect(rows[1]).toEqual([123456789012, 0.5, '1234567890.123456']);
  });

  it('keeps letter for letter what is in a column of texts, whatever it looks like', async () => {
    // Two accounts, an ear tag, and a lot that is called like a day.
    const texts = ['1400.1', '1400.10', '007', '982000411', '2026-11-25', '-3', '1e5', '+1'];
    const { rows } = await of([texts], columnsOf('abcdefgh', 'text'));
    expect(rows[1]).toEqual(texts);
  });

  it('has days as days', async () => {
    const { rows } = await of([['2027-01-31', '1990-01-01', '2100-12-31']], columnsOf('abc', 'day'));
    expect(rows[1]?.map((day) => (day as Date).toISOString().slice(0, 10))).toEqual([
      '2027-01-31',
      '1990-01-01',
      '2100-12-31',
    ]);
  });

  it('leaves a cell empty where there is nothing, and keeps texts letter for letter', async () => {
    const { rows } = await of([
      [null, '<b> & "c" \'d\'', 'two\nlines'],
      ['é 😀', null, 'x'],
    ]);
    expect(rows.slice(1)).toEqual([
      [null, '<b> & "c" \'d\'', 'two\nlines'],
      ['é 😀', null, 'x'],
    ]);
  });

  it('makes no formula of a text, in a header either, and leaves it as it was', async () => {
    const { rows, formulas } = await of([['=1+1', '@SUM(A1)', '-A1']], [text('=a'), text('b'), text('c')]);
    expect(formulas).toBe(0);
    expect(rows).toEqual([
      ['=a', 'b', 'c'],
      ['=1+1', '@SUM(A1)', '-A1'],
    ]);
  });

  it('opens where a text is a word of the language that wrote it', async () => {
    const words = ['constructor', '__proto__', 'toString'];
    const { rows } = await of([words, words]);
    // ST_Xstring (ECMA-376 part 1, 22.9.2.19): a spreadsheet shows _x0063_ as the letter of that number.
    const shown = (cell: unknown): string =>
      String(cell).replaceAll(/_x([0-9A-F]{4})_/g, (_, hex: string) => String.fromCharCode(parseInt(hex, 16)));
    expect(rows.slice(1).map((row) => row.map(shown))).toEqual([words, words]);
  });
});
