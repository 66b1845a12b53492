import { shownFormat, type ShownFormat } from './cell-format.js';
import { FILE_BOUNDS } from './file-bounds.data.js';
import { tooManySheets } from './file-measure.js';
import type { Parts } from './unpacked-workbook.js';
import { type Attributes, walkXml } from './xml-walk.js';

/** A sheet of a workbook: its XML is SpreadsheetML (ECMA-376, part 1, 18.3). */
export interface Sheet {
  readonly name: string;
  /** Its place among all sheets, charts too, from 0. */
  readonly at: number;
  readonly xml: string;
}

/** What is read of a workbook, and the parts that it is read from. */
export interface Workbook {
  /** In its order; charts are none. */
  readonly sheets: readonly Sheet[];
  /** How long each shared text is (18.4). */
  readonly sharedLengths: readonly number[];
  /** Cell styles, by number, that show more than the figure. */
  readonly styles: ReadonlyMap<string, ShownFormat>;
  readonly parts: Parts;
}

const WORKBOOK = 'xl/workbook.xml';
const RELATIONS = 'xl/_rels/workbook.xml.rels';
/** Of the transitional and of the strict conformance class (ECMA-376, part 1, 12.3). */
const RELATION_KINDS = [
  'http://schemas.openxmlformats.org/officeDocument/2006/relationships/',
  'http://purl.oclc.org/ooxml/officeDocument/relationships/',
];

/** @throws BeyondBounds, or Error where a part that it needs is missing or no XML */
export function workbookOf(parts: Parts): Workbook {
  const relations = relationsOf(partOf(parts, RELATIONS));
  const sheets: Sheet[] = [];
  let count = 0;
  walkXml(partOf(parts, WORKBOOK), {
    open: (tag, { name = '', id = '' }) => {
      if (tag !== 'sheet' || name === '') return;
      const part = relations.sheets.get(id);
      if (part !== undefined) sheets.push({ name, at: count, xml: partOf(parts, part) });
      count += 1;
      if (count > FILE_BOUNDS.sheets) throw tooManySheets(count);
    },
  });
  const [texts, styles] = [parts.get(relations.texts), parts.get(relations.styles)];
  return {
    sheets,
    sharedLengths: texts === undefined ? [] : lengthsOf(texts),
    styles: styles === undefined ? new Map() : stylesOf(styles),
    parts: new Map([...parts].filter(([name]) => relations.read.has(name))),
  };
}

function partOf(parts: Parts, name: string): string {
  const part = parts.get(name);
  if (part === undefined) throw new Error(`It has no part ${name.slice(0, 100)}.`);
  return part;
}

function relationsOf(xml: string) {
  const sheets = new Map<string, string>();
  let [texts, styles] = ['xl/sharedStrings.xml', 'xl/styles.xml'];
  walkXml(xml, {
    open: (tag, { Id = '', Type = '', Target = '' }) => {
      if (tag !== 'Relationship') return;
      const kind = RELATION_KINDS.map((base) => (Type.startsWith(base) ? Type.slice(base.length) : '')).join('');
      const at = Target.startsWith('/') ? Target.slice(1) : `xl/${Target}`;
      if (kind === 'worksheet') sheets.set(Id, at);
      else if (kind === 'sharedStrings') texts = at;
      else if (kind === 'styles') styles = at;
    },
  });
  return { sheets, texts, styles, read: new Set([WORKBOOK, RELATIONS, texts, styles, ...sheets.values()]) };
}

function lengthsOf(xml: string): number[] {
  const lengths: number[] = [];
  let length: number | undefined;
  walkXml(xml, {
    open: (tag) => {
      if (tag === 'si') length = 0;
    },
    text: (text) => {
      if (length !== undefined) length += text.length;
    },
    close: (tag) => {
      if (tag !== 'si') return;
      lengths.push(length ?? 0);
      length = undefined;
    },
  });
  return lengths;
}

/** What is shown of each cell style: by its format, built in or of the workbook. */
function stylesOf(xml: string): ReadonlyMap<string, ShownFormat> {
  const formats = new Map(
    ['9', '10'].map((id): [string, ShownFormat] => [id, { percent: true, before: '', after: '' }]),
  );
  const cells: string[] = [];
  let inCells = false;
  walkXml(xml, {
    open: (tag, attributes: Attributes) => {
      const { numFmtId = '', formatCode = '' } = attributes;
      if (tag === 'numFmt') formats.set(numFmtId, shownFormat(formatCode));
      else if (tag === 'cellXfs') inCells = true;
      else if (tag === 'xf' && inCells) cells.push(numFmtId);
    },
    close: (tag) => {
      if (tag === 'cellXfs') inCells = false;
    },
  });
  return new Map(
    cells.flatMap((id, at): [string, ShownFormat][] => {
      const format = formats.get(id);
      return format === undefined || !showsMore(format) ? [] : [[String(at), format]];
    }),
  );
}

const showsMore = ({ percent, before, after }: ShownFormat): boolean => percent || before !== '' || after !== '';
