/** What a spreadsheet shows of a number beside its digits: 0.145 as 14.5 %, 145 as €145 or 145 lb. */
export interface ShownFormat {
  readonly percent: boolean;
  /** A sign or words before the digits and after them; empty where there are none. */
  readonly before: string;
  readonly after: string;
}

/** A code is longer than a person reads. */
const CODE_LETTERS = 200;
/** Words, or the sign of a currency: brackets, dashes and blanks say nothing of what is meant. */
const SAYS_SOMETHING = /[\p{L}\p{Sc}%]/u;

/**
 * Of a number format (ECMA-376, part 1, 18.8.31) its first section, that of figures above zero: text in quotation marks
 * or behind a backslash, and currencies such as `[$€-407]`.
 */
export function shownFormat(code: string): ShownFormat {
  let [before, after, percent] = ['', '', false];
  let seenDigits = false;
  const show = (text: string): void => {
    if (seenDigits) after += text;
    else before += text;
  };
  // Quoted text, an escaped or repeated or skipped sign, a bracket, or any other sign.
  for (const [piece] of code.slice(0, CODE_LETTERS).matchAll(/"[^"]*"?|[\\*_].|\[[^\]]*\]?|[\s\S]/g)) {
    if (piece === ';') break;
    if (piece.startsWith('"')) show(piece.replaceAll('"', ''));
    else if (piece.startsWith('\\')) show(piece.slice(1));
    else if (piece.startsWith('[$')) show(/^\[\$([^\]-]*)/.exec(piece)?.[1] ?? '');
    else if (piece === '%') percent = true;
    else if (/^\p{Sc}$/u.test(piece)) show(piece);
    else if (/^[0#?]$/.test(piece)) seenDigits = true;
  }
  const said = (text: string): string => (SAYS_SOMETHING.test(text) ? text.trim() : '');
  // Of a day, a time or General there are no digits, and so nothing beside them.
  return { percent, before: seenDigits ? said(before) : '', after: seenDigits ? said(after) : '' };
}
