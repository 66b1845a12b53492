/*
 * Text as the books keep it: without control characters (they could forge a line in a log or a header), without signs
 * that turn the direction of what is read (Unicode UAX 9: embeddings, overrides, isolates), and without halves of a
 * surrogate pair, which would not read back as they were typed. PostgreSQL keeps no NUL, and its JSON neither that nor
 * such a half. One rule for bodies and for files.
 */
const UNKEPT = '[\\u0000-\\u0008\\u000b-\\u001f\\u007f\\u0085\\u2028\\u2029\\u202a-\\u202e\\u2066-\\u2069]|\\p{Cs}';
const ONE_UNKEPT = new RegExp(UNKEPT, 'u');
const EACH_UNKEPT = new RegExp(UNKEPT, 'gu');
/** What Unicode has for a sign that cannot be shown. */
const STAND_IN = '\uFFFD';

export function isPlainText(text: string): boolean {
  return !ONE_UNKEPT.test(text);
}

/** The text with a stand-in for each sign that is not kept. */
export function madePlain(text: string): string {
  return ONE_UNKEPT.test(text) ? text.replaceAll(EACH_UNKEPT, STAND_IN) : text;
}

/** The beginning of a text; a letter that takes two places is not cut in halves. */
export function beginning(text: string, most: number): string {
  return text.length <= most ? text : text.slice(0, most).replace(/[\uD800-\uDBFF]$/, '');
}
