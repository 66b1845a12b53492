import { newPrint, type PrintFont, printable } from '../print/fonts.js';
import type { Block, ReportDocument } from './document.js';
import type { Drawing } from './draw-plot.js';
import { drawSvgOn } from './svg-on-pdf.js';

const MARGIN = 54;
const BODY = 10;
const SMALL = 8.5;

/** A report as a PDF. Loads the print library and its fonts: `asPaper` imports it when a sheet is asked for. */
export function printed(report: ReportDocument): Promise<Buffer> {
  const paper = newPrint({
    size: report.paper === 'letter' ? 'LETTER' : 'A4',
    margins: { top: MARGIN, bottom: MARGIN, left: MARGIN, right: MARGIN },
    bufferPages: true,
    lang: 'en',
    displayTitle: true,
    info: {
      Title: printable(report.title),
      Subject: printable(report.subtitle),
      Creator: 'Rickyard',
      CreationDate: new Date(report.written),
    },
  });
  const chunks: Buffer[] = [];
  const done = new Promise<Buffer>((resolve, reject) => {
    paper.on('data', (chunk: Buffer) => chunks.push(chunk));
    paper.on('end', () => resolve(Buffer.concat(chunks)));
    paper.on('error', reject);
  });
  const press = new Press(paper);
  press.write('Bold', 17, report.title, 3);
  press.write('Slanted', 11, report.subtitle, 10);
  report.blocks.forEach((block, index) => press.block(block, report.blocks[index + 1]));
  press.numberPages(report.title);
  paper.end();
  return done;
}

class Press {
  constructor(private readonly paper: PDFKit.PDFDocument) {}

  get #width(): number {
    return this.paper.page.width - 2 * MARGIN;
  }

  get #end(): number {
    return this.paper.page.height - MARGIN;
  }

  write(font: PrintFont, size: number, words: string, after: number, indent = 0): void {
    const { paper } = this;
    const printed = printable(words);
    paper.font(font).fontSize(size).fillColor('#1a1a1a');
    this.#need(Math.min(paper.heightOfString(printed, { width: this.#width - indent }), 200));
    paper.text(printed, MARGIN + indent, paper.y, { width: this.#width - indent });
    paper.y += after;
  }

  block(block: Block, next?: Block): void {
    const { paper } = this;
    switch (block.kind) {
      case 'heading':
        // A heading stays with what follows it.
        this.#need(
          next?.kind === 'picture' ? 60 + next.drawing.height * Math.min(1, this.#width / next.drawing.width) : 90,
        );
        paper.y += 10;
        this.write('Bold', 12.5, block.text, 2);
        paper
          .moveTo(MARGIN, paper.y)
          .lineTo(MARGIN + this.#width, paper.y)
          .lineWidth(0.7)
          .stroke('#1a1a1a');
        paper.y += 6;
        return;
      case 'words':
        return this.write(block.strong === true ? 'Bold' : 'Plain', BODY, block.text, 5);
      case 'mark':
        return this.#mark(block.text);
      case 'list':
        for (const item of block.items) {
          paper.font('Plain').fontSize(BODY);
          this.#need(paper.heightOfString(printable(item), { width: this.#width - 14 }));
          paper.circle(MARGIN + 4, paper.y + 4.4, 1.5).fill('#1a1a1a');
          this.write('Plain', BODY, item, 3, 14);
        }
        paper.y += 3;
        return;
      case 'ways':
        return;
      case 'picture':
        return this.#picture(block.drawing, block.caption);
      case 'table':
        return this.#table(block);
    }
  }

  numberPages(title: string): void {
    const { start, count } = this.paper.bufferedPageRange();
    for (let index = 0; index < count; index += 1) {
      this.paper.switchToPage(start + index);
      this.paper.page.margins.bottom = 0;
      this.paper
        .font('Plain')
        .fontSize(8)
        .fillColor('#444444')
        .text(`${printable(title)} · page ${index + 1} of ${count}`, MARGIN, this.paper.page.height - MARGIN + 18, {
          width: this.#width,
          align: 'right',
          lineBreak: false,
        });
    }
  }

  #need(height: number): void {
    if (this.paper.y + height <= this.#end) return;
    this.paper.addPage();
    this.paper.y = MARGIN;
  }

  #mark(words: string): void {
    const { paper } = this;
    const printed = printable(words);
    paper.font('Bold').fontSize(BODY).fillColor('#1a1a1a');
    const height = paper.heightOfString(printed, { width: this.#width - 16 }) + 10;
    this.#need(height);
    const top = paper.y;
    paper.rect(MARGIN, top, this.#width, height).lineWidth(1.2).stroke('#8a3b12');
    paper.fillColor('#1a1a1a').text(printed, MARGIN + 8, top + 6, { width: this.#width - 16 });
    paper.y = top + height + 8;
  }

  #picture(drawing: Drawing, caption: string): void {
    const { paper } = this;
    const scale = Math.min(1, this.#width / drawing.width);
    const height = drawing.height * scale;
    this.#need(height + 26);
    const top = paper.y;
    drawSvgOn(paper, drawing.svg, { x: MARGIN, y: top, scale }, printable);
    paper.y = top + height + 6;
    this.write('Slanted', SMALL, caption, 8);
  }

  #table({ columns, rows, caption }: Extract<Block, { kind: 'table' }>): void {
    const { paper } = this;
    if (caption !== undefined) {
      this.#need(60);
      this.write('Slanted', SMALL, caption, 2);
    }
    const shares = columns.map((column) => column.width ?? 1);
    const whole = shares.reduce((sum, share) => sum + share, 0);
    const widths = shares.map((share) => (share / whole) * this.#width);
    const row = (cells: readonly string[], font: PrintFont, rule: string): void => {
      paper.font(font).fontSize(SMALL).fillColor('#1a1a1a');
      const printed = cells.map(printable);
      const height =
        Math.max(
          ...printed.map((cell, index) =>
            paper.heightOfString(cell === '' ? ' ' : cell, { width: (widths[index] ?? 0) - 6 }),
          ),
        ) + 4;
      if (paper.y + height > this.#end) {
        this.#need(this.#end);
        if (font === 'Plain')
          row(
            columns.map((column) => column.title),
            'Bold',
            '#1a1a1a',
          );
        paper.font(font).fontSize(SMALL).fillColor('#1a1a1a');
      }
      const top = paper.y;
      let x = MARGIN;
      printed.forEach((cell, index) => {
        const width = widths[index] ?? 0;
        paper.text(cell, x + 3, top + 2, {
          width: width - 6,
          align: columns[index]?.numbers === true ? 'right' : 'left',
        });
        x += width;
      });
      paper
        .moveTo(MARGIN, top + height)
        .lineTo(MARGIN + this.#width, top + height)
        .lineWidth(0.5)
        .stroke(rule);
      paper.y = top + height + 1;
    };
    row(
      columns.map((column) => column.title),
      'Bold',
      '#1a1a1a',
    );
    for (const cells of rows) row(cells, 'Plain', '#cccccc');
    paper.y += 6;
  }
}
