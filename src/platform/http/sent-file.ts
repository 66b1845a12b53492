/** What a file came as, where that was not text in UTF-8. */
export type SentForm = 'windows-1252' | 'utf-16' | 'xlsx';

/** A noncharacter, which Unicode keeps for use inside a program: no text that a person writes has it. */
const MARK = '\uFDD0';

/** The body of a file that did not come as text in UTF-8: its text (of a workbook its bytes in base64), marked. */
export function markedFile(form: SentForm, text: string): string {
  return `${MARK}${form}${MARK}${text}`;
}

/** The text of a body, and what it came as. */
export function sentFile(body: string): { readonly form: SentForm | 'utf-8'; readonly text: string } {
  const [before, form, text] = body.startsWith(MARK) ? body.split(MARK, 3) : [];
  return before === undefined || text === undefined ? { form: 'utf-8', text: body } : { form: form as SentForm, text };
}
