/** Everything that is written as a page, on paper or as a picture. Importing this registers it (`platform/http/writers.ts`). */
import './feed-sheets/feed-sheet.writers.js';
import './trials/trial-page.writers.js';
import './yard/yard.writers.js';
