import { Parser } from 'saxen';

/** What somebody does along the way; names come without their prefix. */
interface Steps {
  open?: (name: string, attributes: Attributes) => void;
  close?: (name: string) => void;
  text?: (text: string) => void;
}
export type Attributes = Readonly<Record<string, string | undefined>>;

/**
 * Goes through XML tag by tag, by the parser of the library that reads workbooks, so that both see the same. It knows
 * the five entities of XML and character references; nothing else is replaced, and nothing outside is asked for. A
 * document type, where entities could be declared, is refused (ECMA-376 part 2 has packages without them).
 * @throws Error where it is no XML
 */
export function walkXml(xml: string, { open, close, text }: Steps): void {
  const parser = new Parser();
  if (open !== undefined)
    parser.on('openTag', (name, attributesOf, decode) => {
      const attributes = attributesOf();
      // To the letter as the library does it, or an attribute given twice would be two places for one cell.
      for (const given in attributes) attributes[attributeName(given)] = decode(attributes[given] ?? '');
      open(elementName(name), attributes);
    });
  if (close !== undefined) parser.on('closeTag', (name) => close(elementName(name)));
  if (text !== undefined) parser.on('text', (found, decode) => text(decode(found)));
  parser.on('attention', () => {
    throw new Error('It declares a document type.');
  });
  parser.parse(xml);
}

function elementName(name: string): string {
  return name.slice(name.indexOf(':') + 1);
}

/** A declaration of a namespace is no attribute, and keeps its name. */
function attributeName(name: string): string {
  return name.startsWith('xmlns:') ? name : name.slice(name.indexOf(':') + 1);
}
