import { registerWriters } from '../../platform/http/writers.js';
import { rationDeskPage, rationPage } from './desk-page.schema.js';
import { rationDeskHtml } from './ration-desk.page.js';
import { rationHtml } from './ration.page.js';

registerWriters(rationDeskPage, { html: rationDeskHtml });
registerWriters(rationPage, { html: rationHtml });
