import type { ReportDocument } from './document.js';

/** A report as a PDF. The print library and its fonts load with the first one, not with the server. */
export async function asPaper(report: ReportDocument): Promise<Buffer> {
  const { printed } = await import('./paper.js');
  return printed(report);
}
