import { registerWriters } from '../../platform/http/writers.js';
import { askedAs } from '../ask-form.js';
import { asPage } from '../document/as-page.js';
import { asPaper } from '../document/as-paper.js';
import type { Link } from '../links.js';
import { herdDocument } from './herd.document.js';
import { herdPage } from './herd-page.schema.js';

registerWriters(herdPage, {
  html: async (page) => {
    const { operationId, from, until, units, state, seesPrices, mayDesk } = page;
    const at = `/yard/operations/${operationId}`;
    const ask = {
      days: [
        { name: 'from', label: 'First day', day: from },
        { name: 'until', label: 'Last day', day: until },
      ],
      units,
    };
    const links: Link[] = [
      { href: at, words: 'All sheets' },
      { href: `${at}/ration-report?herdId=${state.herdId}`, words: 'Ration report' },
      ...(mayDesk ? [{ href: `${at}/herds/${state.herdId}/ration-desk`, words: 'Lay a ration' }] : []),
      ...(seesPrices ? [{ href: `${at}/herds/${state.herdId}/closeout`, words: 'Closeout' }] : []),
      { href: askedAs(ask, { format: 'pdf' }), words: 'PDF' },
    ];
    return asPage(await herdDocument(page), links, ask);
  },
  pdf: async (page) => asPaper(await herdDocument(page)),
});
