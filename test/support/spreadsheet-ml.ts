import { strToU8, zipSync } from 'fflate';

const NS = 'http://schemas.openxmlformats.org/spreadsheetml/2006/main';
const RELS = 'http://schemas.openxmlformats.org/officeDocument/2006/relationships';
const PACKAGE = 'http://schemas.openxmlformats.org/package/2006';

/** XML beside the sheets. */
interface Beside {
  styles?: string;
  /** Texts that cells share, in their order. */
  shared?: readonly string[];
}

/** The parts of a workbook in SpreadsheetML (ECMA-376, part 1), sheet by sheet, each with the XML of its rows. */
export function workbookParts(
  sheets: Readonly<Record<string, string>>,
  { styles = '', shared = [] }: Beside = {},
): Record<string, string> {
  const names = Object.keys(sheets);
  const relation = (id: string, kind: string, target: string): string =>
    `<Relationship Id="${id}" Type="${RELS}/${kind}" Target="${target}"/>`;
  return {
    '[Content_Types].xml':
      `<Types xmlns="${PACKAGE}/content-types">` +
      '<Default Extension="rels" ContentType="application/vnd.openxmlformats-package.relationships+xml"/>' +
      '<Default Extension="xml" ContentType="application/xml"/></Types>',
    '_rels/.rels':
      `<Relationships xmlns="${PACKAGE}/relationships">` +
      `${relation('rId1', 'officeDocument', 'xl/workbook.xml')}</Relationships>`,
    'xl/workbook.xml':
      `<workbook xmlns="${NS}" xmlns:r="${RELS}"><sheets>` +
      names.map((name, at) => `<sheet name="${name}" sheetId="${at + 1}" r:id="rId${at + 1}"/>`).join('') +
      '</sheets></workbook>',
    'xl/_rels/workbook.xml.rels':
      `<Relationships xmlns="${PACKAGE}/relationships">` +
      names.map((_, at) => relation(`rId${at + 1}`, 'worksheet', `worksheets/sheet${at + 1}.xml`)).join('') +
      `${relation('rIdS', 'styles', 'styles.xml')}${relation('rIdT', 'sharedStrings', 'sharedStrings.xml')}` +
      '</Relationships>',
    'xl/styles.xml': `<styleSheet xmlns="${NS}">${styles}</styleSheet>`,
    'xl/sharedStrings.xml': `<sst xmlns="${NS}">${shared.map((one) => `<si><t>${one}</t></si>`).join('')}</sst>`,
    ...Object.fromEntries(
      names.map((name, at) => [
        `xl/worksheets/sheet${at + 1}.xml`,
        `<worksheet xmlns="${NS}"><sheetData>${sheets[name] ?? ''}</sheetData></worksheet>`,
      ]),
    ),
  };
}

export function zipped(parts: Readonly<Record<string, string>>): Buffer {
  return Buffer.from(
    zipSync(Object.fromEntries(Object.entries(parts).map(([name, text]) => [name, strToU8(text)])), { level: 9 }),
  );
}

export function workbook(sheets: Readonly<Record<string, string>>, beside: Beside = {}): Buffer {
  return zipped(workbookParts(sheets, beside));
}

/** The letters of a column, counted from 0. */
export function lettersOfColumn(column: number): string {
  const before = Math.floor(column / 26);
  return (before === 0 ? '' : lettersOfColumn(before - 1)) + String.fromCharCode(65 + (column % 26));
}

/** A cell with a text of its own. */
export function textCell(ref: string, value: string): string {
  return `<c r="${ref}" t="inlineStr"><is><t>${value}</t></is></c>`;
}

/** A row of texts, from the first column. */
export function textRow(row: number, values: readonly string[]): string {
  const cells = values.map((value, at) => textCell(`${lettersOfColumn(at)}${row}`, value));
  return `<row r="${row}">${cells.join('')}</row>`;
}
