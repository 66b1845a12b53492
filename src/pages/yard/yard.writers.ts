import { addDays } from '../../core/time/calendar-day.js';
import { registerWriters } from '../../platform/http/writers.js';
import { asPage } from '../document/as-page.js';
import { asPaper } from '../document/as-paper.js';
import { feedSheetPage } from '../feed-sheets/feed-sheet.page.js';
import { feedSheetPaper } from '../feed-sheets/feed-sheet.paper.js';
import type { Link } from '../links.js';
import { reportPicture, visiblePicture } from '../trials/trial-pictures.js';
import { trialReport } from '../trials/trial-report.js';
import { planDocument, protocolDocument } from '../trials/trial-sheets.js';
import { closeoutDocument } from './closeout.document.js';
import { hayLotDocument, hayLotQuery } from './hay-lot.document.js';
import { hayBudgetDocument, hayPositionDocument } from './hay-documents.js';
import { operationHtml } from './operation.page.js';
import { portfolioDocument } from './portfolio.document.js';
import { rationReportDocument } from './ration-report.document.js';
import { signInHtml } from './sign-in.page.js';
import { startHtml } from './start.page.js';
import * as pages from './yard.schema.js';

/** Address of the operation's page, relative to a page below it. */
const home = (operationId: string): Link => ({ href: `/yard/operations/${operationId}`, words: 'All sheets' });
/** The same page as PDF, with the same query. */
const pdf = (query: Readonly<Record<string, string>> = {}): Link => ({
  href: `?${Object.entries({ ...query, format: 'pdf' })
    .map(([name, value]) => `${name}=${value}`)
    .join('&')}`,
  words: 'PDF',
});

registerWriters(pages.signInPage, { html: signInHtml });
registerWriters(pages.startPage, { html: startHtml });
registerWriters(pages.operationPage, { html: operationHtml });
registerWriters(pages.feedSheetPage, {
  html: ({ operationId, sheet }) =>
    feedSheetPage(sheet, [
      home(operationId),
      { href: `?on=${addDays(sheet.onDay, -1)}&units=${sheet.units}`, words: 'Previous day' },
      { href: `?on=${addDays(sheet.onDay, 1)}&units=${sheet.units}`, words: 'Next day' },
      pdf({ on: sheet.onDay, units: sheet.units }),
    ]),
  pdf: ({ sheet }) => feedSheetPaper(sheet),
});
registerWriters(pages.trialPlanPage, {
  html: async ({ operationId, plan }) => asPage(await planDocument(plan), [home(operationId), pdf()]),
  pdf: async ({ plan }) => asPaper(await planDocument(plan)),
  svg: async ({ plan }) => (await visiblePicture(plan)).svg,
});
registerWriters(pages.trialProtocolPage, {
  html: ({ operationId, protocol }) => asPage(protocolDocument(protocol), [home(operationId), pdf()]),
  pdf: ({ protocol }) => asPaper(protocolDocument(protocol)),
});
registerWriters(pages.trialReportPageOf, {
  html: async ({ operationId, report }) =>
    asPage(await trialReport(report), [home(operationId), pdf({ units: report.units })]),
  pdf: async ({ report }) => asPaper(await trialReport(report)),
});
registerWriters(pages.trialPicturePage, {
  svg: async ({ picture, report }) => (await reportPicture(picture, report)).svg,
});
registerWriters(pages.hayPositionPage, {
  html: ({ operationId, report }) =>
    asPage(hayPositionDocument(report), [home(operationId), pdf({ on: report.onDay, units: report.units })]),
  pdf: ({ report }) => asPaper(hayPositionDocument(report)),
});
registerWriters(pages.closeoutPage, {
  html: ({ operationId, report, asked }) => asPage(closeoutDocument(report), [home(operationId), pdf(asked)]),
  pdf: ({ report }) => asPaper(closeoutDocument(report)),
});
registerWriters(pages.hayBudgetPage, {
  html: ({ operationId, report }) =>
    asPage(hayBudgetDocument(report), [
      home(operationId),
      pdf({ from: report.from, until: report.until, units: report.units }),
    ]),
  pdf: ({ report }) => asPaper(hayBudgetDocument(report)),
});
registerWriters(pages.hayLotPage, {
  html: (report) =>
    asPage(hayLotDocument(report), [
      home(report.operationId),
      { href: `?${hayLotQuery(report, { seed: String(Number(report.plan.seed) + 1) })}`, words: 'Draw other bales' },
      { href: `?${hayLotQuery(report, { format: 'pdf' })}`, words: 'PDF' },
    ]),
  pdf: (report) => asPaper(hayLotDocument(report)),
});
registerWriters(pages.rationReportPage, {
  html: async (report) =>
    asPage(await rationReportDocument(report), [
      home(report.operationId),
      pdf({ on: report.onDay, units: report.units }),
    ]),
  pdf: async (report) => asPaper(await rationReportDocument(report)),
});
registerWriters(pages.portfolioPage, {
  html: ({ herds, onDay }) => asPage(portfolioDocument(herds, onDay), [{ href: '/yard', words: 'Home' }, pdf()]),
  pdf: ({ herds, onDay }) => asPaper(portfolioDocument(herds, onDay)),
});
