import { registerWriters } from '../../platform/http/writers.js';
import { closeBooksByForm, closingsPage } from './closing-page.schema.js';
import { closingsHtml } from './closings.page.js';

registerWriters(closingsPage, { html: closingsHtml });
registerWriters(closeBooksByForm, { html: closingsHtml });
