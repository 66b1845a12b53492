import { type Ask, ASK_STYLE } from '../ask-form.js';
import { html, type Html, picture, styleSheet } from '../html.js';
import { htmlDocument } from '../layout.js';
import { type Link, LINKS_STYLE } from '../links.js';
import type { Block, ReportDocument } from './document.js';

const STYLE = `
:root { color-scheme: light; }
body {
  font: 16px/1.5 Georgia, 'Times New Roman', serif; color: #1a1a1a; background: #fff;
  margin: 0 auto; padding: 2rem 1rem; max-width: 46rem;
}
h1 { font-size: 1.6rem; margin: 0 0 .2rem; }
h2 { font-size: 1.15rem; margin: 1.8rem 0 .4rem; border-bottom: 1px solid #1a1a1a; }
.subtitle { font-style: italic; margin: 0 0 1rem; }
.mark { border: 2px solid #8a3b12; padding: .4rem .7rem; }
.strong { font-weight: bold; }
table { border-collapse: collapse; width: 100%; font-size: .86rem; margin: .5rem 0; }
caption { text-align: left; font-style: italic; padding-bottom: .2rem; }
th, td { text-align: left; padding: .22rem .5rem; border-bottom: 1px solid #ccc; vertical-align: top; }
th { border-bottom: 1px solid #1a1a1a; }
.number { text-align: right; font-variant-numeric: tabular-nums; }
figure { margin: .8rem 0; } figure svg { max-width: 100%; height: auto; }
figcaption { font-size: .86rem; font-style: italic; }
.day { white-space: nowrap; }
.wide { overflow-x: auto; }
@media screen and (max-width: 40rem) {
  table { font-size: .75rem; } th, td { padding: .2rem .25rem; }
  figure { overflow-x: auto; } figure svg { max-width: none; min-width: 40rem; }
}`;
const ON_PAPER = `
@media print {
  body { max-width: none; padding: 0; font-size: 11pt; }
  h2 { break-after: avoid; } figure, tr { break-inside: avoid; }
}`;

/** With the links of a page for a browser; without them, as the API returns it. */
export function asPage(report: ReportDocument, links: readonly Link[] = [], ask?: Ask): string {
  return htmlDocument({
    title: report.title,
    style: styleSheet(STYLE, LINKS_STYLE, ASK_STYLE, ON_PAPER),
    links,
    ask,
    body: html`<h1>${report.title}</h1>
<p class="subtitle">${report.subtitle}</p>
${report.blocks.map(
  (block) => html`${blockAsHtml(block)}
`,
)}`,
  });
}

function blockAsHtml(block: Block): Html {
  switch (block.kind) {
    case 'heading':
      return html`<h2>${block.text}</h2>`;
    case 'words':
      return block.strong === true ? html`<p class="strong">${block.text}</p>` : html`<p>${block.text}</p>`;
    case 'mark':
      return html`<p class="mark">${block.text}</p>`;
    case 'list':
      return html`<ul>${block.items.map((item) => html`<li>${item}</li>`)}</ul>`;
    case 'picture':
      return html`<figure>${picture(block.drawing)}<figcaption>${block.caption}</figcaption></figure>`;
    case 'table':
      return tableAsHtml(block);
  }
}

/** A day stays on one line, however narrow the screen. */
const DAY = /^\d{4}-\d{2}-\d{2}$/;

function tableAsHtml({ columns, rows, caption }: Extract<Block, { kind: 'table' }>): Html {
  const isNumbers = (index: number): boolean => columns[index]?.numbers === true;
  const head = columns.map(({ title }, index) =>
    isNumbers(index) ? html`<th scope="col" class="number">${title}</th>` : html`<th scope="col">${title}</th>`,
  );
  const cell = (text: string, index: number): Html => {
    if (isNumbers(index)) return html`<td class="number">${text}</td>`;
    return DAY.test(text) ? html`<td class="day">${text}</td>` : html`<td>${text}</td>`;
  };
  return html`<div class="wide"><table>
${caption === undefined ? null : html`<caption>${caption}</caption>`}
<thead><tr>${head}</tr></thead>
<tbody>${rows.map(
    (row) => html`<tr>${row.map(cell)}</tr>
`,
  )}</tbody>
</table></div>`;
}
