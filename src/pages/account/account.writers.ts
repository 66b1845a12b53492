import { registerWriters } from '../../platform/http/writers.js';
import { accountHtml, emailProofHtml } from './account.page.js';
import * as pages from './account.schema.js';

registerWriters(pages.accountPage, { html: accountHtml });
registerWriters(pages.addPasskeyByForm, { html: accountHtml });
registerWriters(pages.emailProofPage, { html: emailProofHtml });
