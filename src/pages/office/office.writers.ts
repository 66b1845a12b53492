import { registerWriters } from '../../platform/http/writers.js';
import { type Ask, askedAs } from '../ask-form.js';
import { asPage } from '../document/as-page.js';
import { asPaper } from '../document/as-paper.js';
import type { Link } from '../links.js';
import { costOfGainDocument, journalDocument, lotCardDocument, seasonCostDocument } from './office.documents.js';
import { moneyBudgetDocument, rollForwardDocument } from './inventory.documents.js';
import * as pages from './office-page.schema.js';

/** The way back, and the same question on paper and as files. */
function links(operationId: string, ask: Ask): Link[] {
  const as = (format: string): Link => ({ href: askedAs(ask, { format }), words: format.toUpperCase() });
  return [{ href: `/yard/operations/${operationId}`, words: 'All sheets' }, as('pdf'), as('csv'), as('xlsx')];
}

const first = (day: string) => ({ name: 'from', label: 'First day', day });
const last = (day: string) => ({ name: 'until', label: 'Last day', day });

registerWriters(pages.seasonCostPage, {
  html: (report) => {
    const by = {
      name: 'by',
      label: 'Rows',
      chosen: report.by,
      of: { herd: 'Herds', ranch: 'Ranches', kind: 'Kinds of feed', month: 'Months', operation: 'All in one' },
    };
    const ask = { days: [first(report.from), last(report.until)], units: report.units, choices: [by] };
    return asPage(seasonCostDocument(report), links(report.operationId, ask), ask);
  },
  pdf: (report) => asPaper(seasonCostDocument(report)),
});
registerWriters(pages.costOfGainPage, {
  html: async (report) => {
    const ask = { days: [first(report.from), last(report.until)], units: report.units };
    return asPage(await costOfGainDocument(report), links(report.operationId, ask), ask);
  },
  pdf: async (report) => asPaper(await costOfGainDocument(report)),
});
registerWriters(pages.lotCardPage, {
  html: (card) => {
    const ask = { days: [last(card.until)], units: card.units };
    const lot = { href: `/yard/operations/${card.operationId}/hay-lots/${card.hayLotId}`, words: 'Sampling and looks' };
    return asPage(lotCardDocument(card), [...links(card.operationId, ask), lot], ask);
  },
  pdf: (card) => asPaper(lotCardDocument(card)),
});
registerWriters(pages.journalPageOf, {
  html: (journal) => {
    const ask = { days: [...(journal.from === null ? [] : [first(journal.from)]), last(journal.until)] };
    return asPage(journalDocument(journal), links(journal.operationId, ask), ask);
  },
  pdf: (journal) => asPaper(journalDocument(journal)),
});
registerWriters(pages.rollForwardPage, {
  html: (report) => {
    const by = { name: 'by', label: 'Rows', chosen: report.by, of: { kind: 'Kinds', lot: 'Lots', ranch: 'Ranches' } };
    const ask = { days: [first(report.from), last(report.until)], units: report.units, choices: [by] };
    return asPage(rollForwardDocument(report), links(report.operationId, ask), ask);
  },
  pdf: (report) => asPaper(rollForwardDocument(report)),
});
registerWriters(pages.moneyBudgetPage, {
  html: (report) => {
    const month = (name: string, label: string, day: string) => ({ name, label, day, type: 'month' as const });
    const ask = {
      days: [month('from', 'First month', report.from), month('until', 'Last month', report.until)],
      units: report.units,
    };
    return asPage(moneyBudgetDocument(report), links(report.operationId, ask), ask);
  },
  pdf: (report) => asPaper(moneyBudgetDocument(report)),
});
