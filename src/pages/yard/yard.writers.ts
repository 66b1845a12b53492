import { addDays } from '../../core/time/calendar-day.js';
import type { AnswerOf } from '../../platform/http/endpoint.js';
import { registerWriters } from '../../platform/http/writers.js';
import { type Ask, askedAs } from '../ask-form.js';
import { asPage } from '../document/as-page.js';
import { asPaper } from '../document/as-paper.js';
import { feedSheetPage } from '../feed-sheets/feed-sheet.page.js';
import { feedSheetPaper } from '../feed-sheets/feed-sheet.paper.js';
import type { Link } from '../links.js';
import { reportPicture, visiblePicture } from '../trials/trial-pictures.js';
import { trialReport } from '../trials/trial-report.js';
import { planDocument, protocolDocument } from '../trials/trial-sheets.js';
import { closeoutDocument } from './closeout.document.js';
import { formHtml } from './entry/entry.page.js';
import { ENTRY_PAGES, fedForm } from './entry/entry.schema.js';
import { hayLotDocument } from './hay-lot.document.js';
import { hayBudgetDocument, hayPositionDocument } from './hay-documents.js';
import { operationHtml } from './operation.page.js';
import { portfolioDocument } from './portfolio.document.js';
import { rationReportDocument } from './ration-report.document.js';
import { signInHtml } from './sign-in.page.js';
import { startHtml } from './start.page.js';
import { todayHtml } from './today/today.page.js';
import { todayPage } from './today/today.schema.js';
import * as pages from './yard.schema.js';

/** Address of the operation's page, relative to a page below it. */
const home = (operationId: string): Link => ({ href: `/yard/operations/${operationId}`, words: 'All sheets' });
/** The same page as PDF, of the same question. */
const pdf = (ask: Ask): Link => ({ href: askedAs(ask, { format: 'pdf' }), words: 'PDF' });
const onDay = (day: string): NonNullable<Ask['days']> => [{ name: 'on', label: 'Day', day }];
const fromUntil = ({ from, until }: { from: string; until: string }): NonNullable<Ask['days']> => [
  { name: 'from', label: 'First day', day: from },
  { name: 'until', label: 'Last day', day: until },
];

registerWriters(pages.signInPage, { html: signInHtml });
registerWriters(pages.startPage, { html: startHtml });
registerWriters(pages.operationPage, { html: operationHtml });
registerWriters(todayPage, { html: todayHtml });
registerWriters(fedForm, { html: formHtml });
for (const { page } of ENTRY_PAGES) registerWriters(page, { html: formHtml });
registerWriters(pages.feedSheetPage, {
  html: ({ operationId, sheet }) => {
    const ask = { days: onDay(sheet.onDay), units: sheet.units };
    const beside = (days: number): string => askedAs(ask, { on: addDays(sheet.onDay, days) });
    const links = [
      home(operationId),
      { href: beside(-1), words: 'Previous day' },
      { href: beside(1), words: 'Next day' },
      pdf(ask),
    ];
    return feedSheetPage(sheet, links, ask);
  },
  pdf: ({ sheet }) => feedSheetPaper(sheet),
});
registerWriters(pages.trialPlanPage, {
  html: async ({ operationId, plan }) =>
    asPage(await planDocument(plan), [home(operationId), pdf({ units: plan.units })], {
      units: plan.units,
    }),
  pdf: async ({ plan }) => asPaper(await planDocument(plan)),
  svg: async ({ plan }) => (await visiblePicture(plan)).svg,
});
registerWriters(pages.trialProtocolPage, {
  html: ({ operationId, protocol }) =>
    asPage(protocolDocument(protocol), [home(operationId), { href: '?format=pdf', words: 'PDF' }]),
  pdf: ({ protocol }) => asPaper(protocolDocument(protocol)),
});
registerWriters(pages.trialReportPageOf, {
  html: async ({ operationId, report }) => {
    const ask = { units: report.units };
    return asPage(await trialReport(report), [home(operationId), pdf(ask)], ask);
  },
  pdf: async ({ report }) => asPaper(await trialReport(report)),
});
registerWriters(pages.trialPicturePage, {
  svg: async ({ picture, report }) => (await reportPicture(picture, report)).svg,
});
registerWriters(pages.hayPositionPage, {
  html: ({ operationId, report }) => {
    const ask = { days: onDay(report.onDay), units: report.units };
    return asPage(hayPositionDocument(report), [home(operationId), pdf(ask)], ask);
  },
  pdf: ({ report }) => asPaper(hayPositionDocument(report)),
});
registerWriters(pages.closeoutPage, {
  html: ({ operationId, report, asked }) => {
    const ask = { days: fromUntil(report), units: report.units, asked };
    return asPage(closeoutDocument(report), [home(operationId), pdf(ask)], ask);
  },
  pdf: ({ report }) => asPaper(closeoutDocument(report)),
});
registerWriters(pages.hayBudgetPage, {
  html: async ({ operationId, report }) => {
    const ask = { days: fromUntil(report), units: report.units };
    return asPage(await hayBudgetDocument(report), [home(operationId), pdf(ask)], ask);
  },
  pdf: async ({ report }) => asPaper(await hayBudgetDocument(report)),
});
registerWriters(pages.hayLotPage, {
  html: (report) => {
    const { plan } = report;
    const ask = { units: plan.units, asked: { seed: plan.seed, ...countAsked(plan) } };
    const otherBales = { href: askedAs(ask, { seed: String(Number(plan.seed) + 1) }), words: 'Draw other bales' };
    return asPage(
      hayLotDocument(report),
      [home(report.operationId), lotCard(plan.hayLotId), otherBales, pdf(ask)],
      ask,
    );
  },
  pdf: (report) => asPaper(hayLotDocument(report)),
});
registerWriters(pages.rationReportPage, {
  html: async (report) => {
    const { onDay: day, units, herdId } = report;
    const ask = { days: onDay(day), units, ...(herdId === null ? {} : { asked: { herdId } }) };
    return asPage(await rationReportDocument(report), [home(report.operationId), pdf(ask)], ask);
  },
  pdf: async (report) => asPaper(await rationReportDocument(report)),
});
registerWriters(pages.portfolioPage, {
  html: ({ herds, onDay: day, units, asked }) => {
    const ask = { days: onDay(day), units, asked };
    return asPage(portfolioDocument(herds, day), [{ href: '/yard', words: 'Home' }, pdf(ask)], ask);
  },
  pdf: ({ herds, onDay: day }) => asPaper(portfolioDocument(herds, day)),
});

/** From the page of a lot to its movements. */
function lotCard(hayLotId: string): Link {
  return { href: `${hayLotId}/card`, words: 'Lot card' };
}

/** How many bales the draw counts, where whoever asked said it. */
function countAsked({ balesFrom, bales }: AnswerOf<typeof pages.hayLotPage>['plan']): { bales?: string } {
  return balesFrom === 'asked' ? { bales: String(bales) } : {};
}
