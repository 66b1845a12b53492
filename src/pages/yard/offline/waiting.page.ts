import { html } from '../../html.js';
import { yardPage } from '../entry/yard-layout.js';

/** What this phone still has to send. The page itself holds nothing of anybody: a script lists what the phone kept. */
export function waitingHtml(): string {
  return yardPage({
    title: 'On this phone',
    links: [{ href: '/yard', words: 'Home' }],
    head: html`<script src="/yard/idb.js" defer></script>`,
    body: html`<p>What was entered without signal waits here, in the order in which it was typed, and is sent by itself
as soon as there is signal. What the books refuse stays here until you mend it.</p>
<p id="none">Nothing waits on this phone.</p>
<ul id="waiting" class="waiting"></ul>
<noscript><p>Without script this phone keeps no entries: they are sent at once, or not at all.</p></noscript>`,
  });
}
