/* What a saved file is called. */
import { fileName } from '../../../src/platform/http/file-name.js';

describe('the name of a file', () => {
  const sheet = { path: '/yard/operations/:operationId/places/:placeId/feed-sheet' };

  it('says whose it is, what it is, which of several, and of which days', () => {
    const under = { operation: 'Coldwater Bench Cattle (invented)', of: 'North bunk', onDay: '2027-01-11' };
    expect(fileName(sheet, under, 'pdf')).toBe('coldwater-bench-cattle-invented_feed-sheet_north-bunk_2027-01-11.pdf');
    expect(fileName(sheet, { onDay: '2027-01-11' }, 'pdf')).toBe('feed-sheet_2027-01-11.pdf');
  });

  it('calls one of a list by what it is one of', () => {
    const lot = { path: '/yard/operations/:operationId/hay-lots/:hayLotId' };
    expect(fileName(lot, { operation: 'Bench', what: 'hay lot', of: 'Oat 2', onDay: '2027-01-11' }, 'pdf')).toBe(
      'bench_hay-lot_oat-2_2027-01-11.pdf',
    );
    expect(fileName({ path: '/v1/operations/:operationId/hay-lots' }, { operation: 'Bench' }, 'csv')).toBe(
      'bench_hay-lots.csv',
    );
  });
});
