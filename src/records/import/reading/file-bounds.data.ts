/**
 * How much of a file of records is read: several times what ranches keep in a spreadsheet, and little enough to be gone
 * through while others are served. Judged before anything is made of a file. Common practice, no source.
 */
export const FILE_BOUNDS = {
  /** Rows under the header. */
  rows: 20_000,
  /**
   * Records of a kind that is written one by one, at some 20 ms each: what a check gets through in its minute. Feedings
   * are written many at once.
   */
  recordsOneByOne: 2_000,
  /** The last row of a sheet, with titles and empty ones. */
  lastRow: 25_000,
  columns: 500,
  /** Characters in the name of a column. */
  headerLetters: 500,
  /** Characters in a cell: five times the longest note that is booked. */
  cellLetters: 10_000,
  /** Characters in all cells, each cell for itself, however the file shares them. */
  letters: 25_000_000,
  /** Of a workbook. */
  sheets: 100,
  /** Between the first cell and the last of each sheet, empty ones too, of all sheets together. */
  places: 12_500_000,
  /** Of a workbook, unpacked. */
  bytes: 67_108_864,
  parts: 2_000,
} as const;

/** How much an answer about a file lists; its counts are always of all. */
export const LISTED = {
  problems: 10_000,
  notices: 1_000,
  rows: 500,
  /** Characters of one text that comes from the file. */
  textLetters: 200,
  /** Characters of a message, which may quote a cell, and of what is allowed, which may be a list of names. */
  wordsLetters: 1_000,
  /** Characters of one list, beside its names. */
  listLetters: 1_000_000,
} as const;
