import type { Ask } from '../ask-form.js';
import { html, type Html, picture, scrolling } from '../html.js';
import { htmlDocument } from '../layout.js';
import type { Link } from '../links.js';
import type { Block, ReportDocument } from './document.js';

/** With the links of a page for a browser; without them, as the API returns it. */
export function asPage(report: ReportDocument, links: readonly Link[] = [], ask?: Ask): string {
  return htmlDocument({
    title: report.title,
    links,
    ask,
    body: html`<h1>${report.title}</h1>
<p class="subtitle">${report.subtitle}</p>
${blocksAsHtml(report)}`,
  });
}

/** The parts of a report, for a page that has forms beside them. */
export function blocksAsHtml(report: Pick<ReportDocument, 'title' | 'blocks'>): Html[] {
  return namedBlocks(report).map(
    ([block, name]) => html`${blockAsHtml(block, name)}
`,
  );
}

/**
 * Each block with the name of what scrolls in it: its own, else its heading's, and which of several of that name it is,
 * so that no two regions of a page are called the same.
 */
function namedBlocks({ title, blocks }: Pick<ReportDocument, 'title' | 'blocks'>): [block: Block, name: string][] {
  let heading = title;
  const given = new Map<string, number>();
  return blocks.map((block) => {
    if (block.kind === 'heading') heading = block.text;
    if (block.kind !== 'table' && block.kind !== 'picture') return [block, heading];
    const name = block.caption ?? heading;
    const count = (given.get(name) ?? 0) + 1;
    given.set(name, count);
    return [block, count === 1 ? name : `${name} (${count})`];
  });
}

function blockAsHtml(block: Block, name: string): Html {
  switch (block.kind) {
    case 'heading':
      return html`<h2>${block.text}</h2>`;
    case 'words':
      return block.strong === true ? html`<p class="strong">${block.text}</p>` : html`<p>${block.text}</p>`;
    case 'mark':
      return html`<p class="mark">${block.text}</p>`;
    case 'list':
      return html`<ul>${block.items.map((item) => html`<li>${item}</li>`)}</ul>`;
    case 'ways':
      return html`<p class="ways">${block.links.map(({ href, words }) => html`<a href="${href}">${words}</a> `)}</p>`;
    case 'picture':
      return pictureAsHtml(block, name);
    case 'table':
      return tableAsHtml(block, name);
  }
}

/** On a narrow screen the drawing made for it, where there is one; what is not shown is not read out either. */
function pictureAsHtml({ drawing, caption }: Extract<Block, { kind: 'picture' }>, name: string): Html {
  const both =
    drawing.narrow === undefined
      ? picture(drawing)
      : html`<div class="broad">${picture(drawing)}</div><div class="narrow">${picture(drawing.narrow)}</div>`;
  return html`<figure>${scrolling(name, both)}<figcaption>${caption}</figcaption></figure>`;
}

/** A day stays on one line, however narrow the screen. */
const DAY = /^\d{4}-\d{2}-\d{2}$/;

function tableAsHtml({ columns, rows, caption }: Extract<Block, { kind: 'table' }>, name: string): Html {
  const isNumbers = (index: number): boolean => columns[index]?.numbers === true;
  const head = columns.map(({ title }, index) =>
    isNumbers(index) ? html`<th scope="col" class="number">${title}</th>` : html`<th scope="col">${title}</th>`,
  );
  const cell = (text: string, index: number): Html => {
    if (isNumbers(index)) return html`<td class="number">${text}</td>`;
    return DAY.test(text) ? html`<td class="day">${text}</td>` : html`<td>${text}</td>`;
  };
  return scrolling(
    name,
    html`<table>
${caption === undefined ? null : html`<caption>${caption}</caption>`}
<thead><tr>${head}</tr></thead>
<tbody>${rows.map(
      (row) => html`<tr>${row.map(cell)}</tr>
`,
    )}</tbody>
</table>`,
  );
}
