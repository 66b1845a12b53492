import { feedSheetFor } from '../../desk/feed-sheets/feed-sheet.schema.js';
import { registerWriters } from '../../platform/http/writers.js';
import { feedSheetPage } from './feed-sheet.page.js';
import { feedSheetPaper } from './feed-sheet.paper.js';

registerWriters(feedSheetFor, { html: (sheet) => feedSheetPage(sheet), pdf: feedSheetPaper });
