import type { FeedSheetAnswer } from '../../desk/feed-sheets/feed-sheet.schema.js';

/** The feed sheet as a PDF. The print library and its fonts load with the first one, not with the server. */
export async function feedSheetPaper(sheet: FeedSheetAnswer): Promise<Buffer> {
  const { feedSheetPdf } = await import('./feed-sheet.pdf.js');
  return feedSheetPdf(sheet);
}
