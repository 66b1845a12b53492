import { type Link, linksBar, LINKS_STYLE, text } from '../layout.js';
import type { Block, ReportDocument } from './document.js';

const STYLE = `
:root { color-scheme: light; }
body { font: 16px/1.5 Georgia, 'Times New Roman', serif; color: #1a1a1a; background: #fff; margin: 0 auto; padding: 2rem 1rem; max-width: 46rem; }
h1 { font-size: 1.6rem; margin: 0 0 .2rem; } h2 { font-size: 1.15rem; margin: 1.8rem 0 .4rem; border-bottom: 1px solid #1a1a1a; }
.subtitle { font-style: italic; margin: 0 0 1rem; } .mark { border: 2px solid #8a3b12; padding: .4rem .7rem; } .strong { font-weight: bold; }
table { border-collapse: collapse; width: 100%; font-size: .86rem; margin: .5rem 0; } caption { text-align: left; font-style: italic; padding-bottom: .2rem; }
th, td { text-align: left; padding: .22rem .5rem; border-bottom: 1px solid #ccc; vertical-align: top; } th { border-bottom: 1px solid #1a1a1a; } .number { text-align: right; font-variant-numeric: tabular-nums; }
figure { margin: .8rem 0; } figure svg { max-width: 100%; height: auto; } figcaption { font-size: .86rem; font-style: italic; }
.wide { overflow-x: auto; }
${LINKS_STYLE}
@media print { body { max-width: none; padding: 0; font-size: 11pt; } h2 { break-after: avoid; } figure, tr { break-inside: avoid; } }
`;

/** With the links of a page that a browser walks; without, as the API hands it out. */
export function asPage(report: ReportDocument, links: readonly Link[] = []): string {
  return `<!doctype html>
<html lang="en">
<head>
<meta charset="utf-8">
<meta name="viewport" content="width=device-width, initial-scale=1">
<title>${text(report.title)}</title>
<link rel="icon" href="data:,">
<style>${STYLE}</style>
</head>
<body>
${linksBar(links)}<h1>${text(report.title)}</h1>
<p class="subtitle">${text(report.subtitle)}</p>
${report.blocks.map(blockAsHtml).join('\n')}
</body>
</html>
`;
}

function blockAsHtml(block: Block): string {
  switch (block.kind) {
    case 'heading':
      return `<h2>${text(block.text)}</h2>`;
    case 'words':
      return `<p${block.strong === true ? ' class="strong"' : ''}>${text(block.text)}</p>`;
    case 'mark':
      return `<p class="mark">${text(block.text)}</p>`;
    case 'list':
      return `<ul>${block.items.map((item) => `<li>${text(item)}</li>`).join('')}</ul>`;
    case 'picture':
      return `<figure>${block.drawing.svg}<figcaption>${text(block.caption)}</figcaption></figure>`;
    case 'table': {
      const side = (index: number): string => (block.columns[index]?.numbers === true ? ' class="number"' : '');
      const caption = block.caption === undefined ? '' : `<caption>${text(block.caption)}</caption>`;
      const head = block.columns
        .map((column, index) => `<th scope="col"${side(index)}>${text(column.title)}</th>`)
        .join('');
      const rows = block.rows
        .map((row) => `<tr>${row.map((cell, index) => `<td${side(index)}>${text(cell)}</td>`).join('')}</tr>`)
        .join('');
      return `<div class="wide"><table>${caption}<thead><tr>${head}</tr></thead><tbody>${rows}</tbody></table></div>`;
    }
  }
}
