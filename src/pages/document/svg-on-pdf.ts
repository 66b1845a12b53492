import { parseHTML } from 'linkedom';

/** The few operations that a drawn plot needs from a printed page. */
export interface PaperLike {
  save(): unknown;
  restore(): unknown;
  translate(x: number, y: number): unknown;
  scale(x: number, y: number): unknown;
  rotate(degrees: number): unknown;
  path(data: string): unknown;
  moveTo(x: number, y: number): unknown;
  lineTo(x: number, y: number): unknown;
  rect(x: number, y: number, width: number, height: number): unknown;
  circle(x: number, y: number, radius: number): unknown;
  lineWidth(width: number): unknown;
  lineCap(style: string): unknown;
  dash(length: number, options: { space: number }): unknown;
  undash(): unknown;
  stroke(color: string): unknown;
  fill(color: string): unknown;
  fillAndStroke(fill: string, stroke: string): unknown;
  fillColor(color: string): unknown;
  font(name: string): unknown;
  fontSize(size: number): unknown;
  widthOfString(text: string): number;
  text(text: string, x: number, y: number, options: { lineBreak: boolean; baseline: number | 'alphabetic' }): unknown;
}

interface Element {
  readonly localName: string;
  readonly children: Iterable<Element>;
  readonly textContent: string | null;
  getAttribute(name: string): string | null;
}

/** Attributes that a child inherits from its parent. */
const INHERITED = [
  'fill',
  'stroke',
  'stroke-width',
  'stroke-dasharray',
  'font-size',
  'font-weight',
  'text-anchor',
] as const;
type Style = Readonly<Partial<Record<(typeof INHERITED)[number], string>>>;

const REGULAR = 'Plain';
const BOLD = 'Bold';
const FONT_SIZE = 12;

/**
 * Draws a plot (groups, lines, paths, boxes, circles, text; translations and rotations) onto a printed page, as
 * vectors.
 */
export function drawSvgOn(
  paper: PaperLike,
  svg: string,
  at: { x: number; y: number; scale: number },
  printable: (text: string) => string,
): void {
  const { document } = parseHTML(`<!doctype html><html><body>${svg}</body></html>`) as unknown as {
    document: { querySelector(selector: string): Element | null };
  };
  const root = document.querySelector('svg');
  if (root === null) throw new RangeError('There is no drawing');
  paper.save();
  paper.translate(at.x, at.y);
  paper.scale(at.scale, at.scale);
  for (const child of root.children) drawElement(paper, child, styleOf(root, {}), printable);
  paper.restore();
}

function styleOf(element: Element, parent: Style): Style {
  const own = INHERITED.flatMap((name) => {
    const value = element.getAttribute(name);
    return value === null ? [] : [[name, value] as const];
  });
  return { ...parent, ...Object.fromEntries(own) };
}

function drawElement(paper: PaperLike, element: Element, parent: Style, printable: (text: string) => string): void {
  const style = styleOf(element, parent);
  const value = (name: string): number => Number(element.getAttribute(name) ?? '0');
  paper.save();
  transform(paper, element.getAttribute('transform'));
  switch (element.localName) {
    case 'g':
    case 'svg':
      for (const child of element.children) drawElement(paper, child, style, printable);
      break;
    case 'path': {
      const data = element.getAttribute('d') ?? '';
      if (data !== '') {
        paper.path(data);
        ink(paper, style);
      }
      break;
    }
    case 'line':
      paper.moveTo(value('x1'), value('y1'));
      paper.lineTo(value('x2'), value('y2'));
      ink(paper, { ...style, fill: 'none' });
      break;
    case 'rect':
      paper.rect(value('x'), value('y'), value('width'), value('height'));
      ink(paper, style);
      break;
    case 'circle':
      paper.circle(value('cx'), value('cy'), value('r'));
      ink(paper, style);
      break;
    case 'text':
      write(paper, element, style, printable);
      break;
    default:
      break;
  }
  paper.restore();
}

function ink(paper: PaperLike, style: Style): void {
  const fill = style.fill ?? '#000000';
  const stroke = style.stroke ?? 'none';
  paper.lineWidth(Number(style['stroke-width'] ?? '1'));
  const dash = (style['stroke-dasharray'] ?? 'none').split(/[ ,]+/).map(Number);
  if (dash.length > 1 && dash.every(Number.isFinite)) paper.dash(dash[0] ?? 1, { space: dash[1] ?? 1 });
  else paper.undash();
  if (fill !== 'none' && stroke !== 'none') paper.fillAndStroke(fill, stroke);
  else if (fill !== 'none') paper.fill(fill);
  else if (stroke !== 'none') paper.stroke(stroke);
}

function transform(paper: PaperLike, text: string | null): void {
  for (const [, kind, inside] of (text ?? '').matchAll(/(translate|rotate|scale)\(([^)]*)\)/g)) {
    const [one = 0, other = 0] = (inside ?? '').split(/[ ,]+/).map(Number);
    if (kind === 'translate') paper.translate(one, other);
    else if (kind === 'rotate') paper.rotate(one);
    else paper.scale(one, other === 0 ? one : other);
  }
}

/** A length in pixels or in multiples of the font size. */
function length(text: string | null, fontSize: number): number {
  if (text === null) return 0;
  return text.endsWith('em') ? Number(text.slice(0, -2)) * fontSize : Number(text.replace(/px$/, ''));
}

function write(paper: PaperLike, element: Element, style: Style, printable: (text: string) => string): void {
  const size = length(style['font-size'] ?? null, FONT_SIZE) || FONT_SIZE;
  const rows = [...element.children].filter((child) => child.localName === 'tspan');
  const lines =
    rows.length === 0
      ? [
          {
            text: element.textContent ?? '',
            x: element.getAttribute('x'),
            y: element.getAttribute('y'),
            dy: element.getAttribute('dy'),
          },
        ]
      : rows.map((row) => ({
          text: row.textContent ?? '',
          x: row.getAttribute('x'),
          y: row.getAttribute('y') ?? element.getAttribute('y'),
          dy: row.getAttribute('dy') ?? element.getAttribute('dy'),
        }));
  paper.font(style['font-weight'] === 'bold' ? BOLD : REGULAR);
  paper.fontSize(size);
  paper.fillColor(style.fill ?? '#000000');
  let y = 0;
  lines.forEach((row, index) => {
    y = row.y !== null || index === 0 ? length(row.y, size) : y;
    y += length(row.dy, size);
    const text = printable(row.text);
    const width = paper.widthOfString(text);
    const shift = style['text-anchor'] === 'middle' ? width / 2 : style['text-anchor'] === 'end' ? width : 0;
    if (text !== '') paper.text(text, length(row.x, size) - shift, y, { lineBreak: false, baseline: 'alphabetic' });
  });
}
