import { newPrint, type PrintFont, printable } from '../print/fonts.js';
import type { FeedSheetAnswer } from '../../desk/feed-sheets/feed-sheet.schema.js';
import {
  ALREADY_FED,
  baleWords,
  bringWords,
  carriedWords,
  cautionNumbers,
  confirmedWords,
  dangersOf,
  dayWords,
  freeChoiceWords,
  type HerdSheet,
  leftWords,
  NOT_JUDGED,
  notJudgedWords,
  orderWords,
  otherFeedings,
  planWords,
  SEVERITY_WORDS,
  SHEET_FOOTER,
  type SheetLine,
  sourceWords,
  waterWords,
  asWeighed,
  weighed,
  whoDrinks,
  whole,
} from './feed-sheet.words.js';

type Document = ReturnType<typeof newPrint>;

const MARGIN = 40;
const BOLD: PrintFont = 'Bold';
const PLAIN: PrintFont = 'Plain';

/** The feed sheet printed on Letter, in large type: the same words and numbers as the page. */
export async function feedSheetPdf(sheet: FeedSheetAnswer): Promise<Buffer> {
  const made = new Date(sheet.madeAt);
  const document = newPrint({
    size: 'LETTER',
    margin: MARGIN,
    bufferPages: true,
    lang: 'en',
    info: {
      Title: printable(`Feed sheet ${sheet.place} ${sheet.onDay}`),
      Creator: 'Rickyard',
      Producer: 'Rickyard',
      CreationDate: made,
      ModDate: made,
    },
  });
  const chunks: Buffer[] = [];
  document.on('data', (chunk: Buffer) => chunks.push(chunk));
  const finished = new Promise<void>((resolve, reject) => {
    document.on('end', resolve);
    document.on('error', reject);
  });
  title(document, sheet);
  bringPart(document, sheet);
  if (sheet.herds.length === 0) line(document, 'No herd with cattle is at this place today.', { font: BOLD, size: 16 });
  sheet.herds.forEach((herd, index) => {
    if (index > 0) {
      document.addPage();
      title(document, sheet);
    }
    herdPart(document, herd);
  });
  waterPart(document, sheet);
  numberPages(document);
  document.end();
  await finished;
  return Buffer.concat(chunks);
}

function title(document: Document, sheet: FeedSheetAnswer): void {
  const width = document.page.width - 2 * MARGIN;
  const top = document.y;
  document
    .font(BOLD)
    .fontSize(26)
    .text(printable(sheet.place), MARGIN, top, { width: width * 0.6 });
  const below = document.y;
  document
    .font(BOLD)
    .fontSize(16)
    .text(dayWords(sheet.onDay), MARGIN + width * 0.6, top + 8, { width: width * 0.4, align: 'right' });
  document.font(PLAIN).fontSize(12).text(printable(sheet.ranch), MARGIN, Math.max(below, document.y));
  rule(document, 4);
}

function herdPart(document: Document, herd: HerdSheet): void {
  herdHead(document, herd);
  if (herd.nothingBecause !== null) {
    line(document, herd.nothingBecause, { font: BOLD, size: 16 });
    fedPart(document, herd);
    return;
  }
  line(document, [orderWords(herd), confirmedWords(herd) ?? ''].join(' ').trim(), { size: 12 });
  fedPart(document, herd);
  cautions(document, dangersOf(herd));
  rule(document, 1);
  for (const layer of herd.layers)
    layer.lines.forEach((one, index) => layerLine(document, layer, one, { herd, first: index === 0 }));
  factsPart(document, herd);
  for (const one of herd.shortLots)
    box(document, {
      head: `NOT ENOUGH  ${one.hayLot} is ${weighed(one.shortBy)} short. Ask before you lay.`,
      advice: '',
      loud: true,
      thick: true,
    });
  if (herd.notJudgedBecause.length > 0)
    box(document, { head: `${NOT_JUDGED}  ${notJudgedWords(herd)}`, advice: '', loud: false, thick: true });
  cautions(
    document,
    herd.cautions.filter((one) => one.severity !== 'danger'),
  );
}

/** The herd on the left, its head count on the right. */
function herdHead(document: Document, herd: HerdSheet): void {
  const width = document.page.width - 2 * MARGIN;
  const top = document.y + 8;
  document
    .font(BOLD)
    .fontSize(22)
    .text(printable(herd.herd), MARGIN, top, { width: width * 0.7 });
  const below = document.y;
  document
    .font(BOLD)
    .fontSize(20)
    .text(`${whole(herd.head)} head`, MARGIN + width * 0.7, top + 1, { width: width * 0.3, align: 'right' });
  document.y = Math.max(below, document.y);
  document.x = MARGIN;
}

/** Where a line's lot begins, and the space for the weight at the right end. */
const LOT_AT = MARGIN + 52;
const LAY_WIDTH = 185;

/** One line to lay: the step if it is the layer's first line, the lot and its place, weight and bales. */
function layerLine(
  document: Document,
  layer: HerdSheet['layers'][number],
  one: SheetLine,
  { herd, first }: { herd: HerdSheet; first: boolean },
): void {
  room(document, 76);
  const width = document.page.width - 2 * MARGIN;
  const y = document.y + 4;
  if (first) document.font(BOLD).fontSize(42).text(String(layer.step), MARGIN, y, { width: 44, align: 'center' });
  const lot = { width: width - 52 - 190 };
  document
    .font(BOLD)
    .fontSize(22)
    .text(printable(one.hayLot), LOT_AT, y + 2, lot);
  const where = [
    layer.role,
    ...(one.liesAt === null ? [] : [one.liesAt]),
    ...(layer.step === 1 && first ? ['goes down first'] : []),
  ];
  document
    .font(PLAIN)
    .fontSize(13)
    .text(printable(where.join(', ')), LOT_AT, document.y, lot);
  const left = document.y;
  const lay = { width: LAY_WIDTH, align: 'right' } as const;
  const layAt = MARGIN + width - LAY_WIDTH;
  document.font(BOLD).fontSize(32).text(asWeighed(one.lay), layAt, y, lay);
  document
    .font(BOLD)
    .fontSize(14)
    .text(printable(baleWords(one, herd)), layAt, document.y, lay);
  document.y = Math.max(left, document.y, y + 48) + 4;
  rule(document, 1);
}

/** What was fed on this day besides the sheet. */
function fedPart(document: Document, herd: HerdSheet): void {
  for (const words of otherFeedings(herd))
    box(document, { head: `${ALREADY_FED}  ${words}`, advice: '', loud: true, thick: true });
}

/** The herd's sheet in figures, what is left over for tomorrow, and how whole bales are planned. */
function factsPart(document: Document, herd: HerdSheet): void {
  const { total, perHead, water } = herd;
  const facts = [
    total === null ? '' : `In all ${weighed(total)}`,
    perHead === null ? '' : `${Number(perHead.value).toFixed(1)} ${perHead.unit} per head`,
    water === null ? '' : `water ${whole(water.value)} ${water.unit}`,
  ].filter((part) => part !== '');
  line(document, facts.join('   \u2022   '), { font: BOLD, size: 15 });
  for (const { words, lots } of leftWords(herd))
    line(document, `${words}: ${lots.map(([hayLot, mass]) => `${hayLot} ${mass}`).join(', ')}`, { size: 14 });
  for (const words of freeChoiceWords(herd)) line(document, words, { font: BOLD, size: 14 });
  for (const words of [...planWords(herd), ...carriedWords(herd)]) line(document, words, { size: 12 });
}

function bringPart(document: Document, { toBring }: FeedSheetAnswer): void {
  if (toBring.length === 0) return;
  room(document, 40 + 20 * toBring.length);
  line(document, 'To bring for all herds here', { font: BOLD, size: 16 });
  for (const one of toBring)
    line(
      document,
      `${one.hayLot}${one.liesAt === null ? '' : ` (${one.liesAt})`}: ${asWeighed(one.lay)}${bringWords(one)}`,
      { size: 14 },
    );
}

function waterPart(document: Document, { water }: FeedSheetAnswer): void {
  room(document, 60);
  line(document, 'Water', { font: BOLD, size: 16 });
  const { known, rest } = waterWords(water);
  line(document, `${known === null ? '' : `${whoDrinks(water)} ${known} today. `}${rest}`, { size: 14 });
  for (const one of water.sources) {
    const { state, rest: found } = sourceWords(one);
    line(document, `${one.source}: ${state}${found}`, { size: 14 });
  }
  cautions(document, water.cautions);
}

function cautions(document: Document, list: HerdSheet['cautions']): void {
  for (const one of list)
    box(document, {
      head: `${SEVERITY_WORDS[one.severity]}  ${one.message}`,
      advice: `${one.advice} Ask: ${one.consult.join(', ')}. ${cautionNumbers(one)}`,
      loud: one.severity === 'danger',
      thick: one.severity !== 'notice',
    });
}

/** A caution in a box that does not break across pages; urgent ones are white on black. */
function box(
  document: Document,
  { head, advice, loud, thick }: { head: string; advice: string; loud: boolean; thick: boolean },
): void {
  const width = document.page.width - 2 * MARGIN;
  const inner = { width: width - 16 };
  const below = advice === '' ? 0 : document.font(PLAIN).fontSize(11).heightOfString(printable(advice), inner);
  const tall = document.font(BOLD).fontSize(14).heightOfString(printable(head), inner) + below + 12;
  room(document, tall + 8);
  const y = document.y + 5;
  document.lineWidth(thick ? 2.5 : 0.75).rect(MARGIN, y, width, tall);
  if (loud) document.fillAndStroke('#000000', '#000000').fillColor('#ffffff');
  else document.stroke('#000000');
  document
    .font(BOLD)
    .fontSize(14)
    .text(printable(head), MARGIN + 8, y + 6, inner);
  if (advice !== '')
    document
      .font(PLAIN)
      .fontSize(11)
      .text(printable(advice), MARGIN + 8, document.y, inner);
  document.fillColor('#000000');
  document.y = y + tall + 2;
  document.x = MARGIN;
}

/** The footer and number of each page, once their total is known. */
function numberPages(document: Document): void {
  const { start, count } = document.bufferedPageRange();
  for (let page = start; page < start + count; page += 1) {
    document.switchToPage(page);
    const { bottom } = document.page.margins;
    // Text below the margin would open a new page.
    document.page.margins.bottom = 0;
    document
      .font(PLAIN)
      .fontSize(8)
      .text(`${SHEET_FOOTER}   Page ${page - start + 1} of ${count}`, MARGIN, document.page.height - 32, {
        width: document.page.width - 2 * MARGIN,
        align: 'center',
      });
    document.page.margins.bottom = bottom;
  }
}

function line(document: Document, words: string, { font = PLAIN, size }: { font?: PrintFont; size: number }): void {
  document
    .font(font)
    .fontSize(size)
    .text(printable(words), MARGIN, document.y + 3, { width: document.page.width - 2 * MARGIN });
}

function rule(document: Document, thickness: number): void {
  const y = document.y + thickness / 2 + 1;
  document
    .lineWidth(thickness)
    .moveTo(MARGIN, y)
    .lineTo(document.page.width - MARGIN, y)
    .stroke('#000000');
  document.y = y + thickness / 2 + 3;
  document.x = MARGIN;
}

/** Begins a new page where the next block would be cut. */
function room(document: Document, height: number): void {
  if (document.y + height > document.page.height - MARGIN - 10) document.addPage();
}
