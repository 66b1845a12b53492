/** Everything that is written as a page, on paper or as a picture; importing this file registers it. */
import './account/account.writers.js';
import './books/books.writers.js';
import './closings/closing-page.writers.js';
import './desk/desk-page.writers.js';
import './feed-sheets/feed-sheet.writers.js';
import './herds/herd-page.writers.js';
import './office/office.writers.js';
import './trials/trial-page.writers.js';
import './yard/yard.writers.js';
