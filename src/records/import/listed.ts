import { beginning, madePlain } from '../../platform/wire/plain-text.js';
import { LISTED } from './reading/file-bounds.data.js';

/** As many of a list as an answer holds, be they short or long; the first one always. */
export function listed<Item>(items: readonly Item[], most: number = LISTED.problems): Item[] {
  let letters = 0;
  const end = items.slice(0, most).findIndex((item, at) => {
    letters += JSON.stringify(item).length;
    return at > 0 && letters > LISTED.listLetters;
  });
  return items.slice(0, end === -1 ? most : end);
}

/** A text of a file as an answer shows it. */
export function shortened(text: string, most: number = LISTED.textLetters): string {
  return madePlain(text.length <= most ? text : `${beginning(text, most - 2)} …`);
}
