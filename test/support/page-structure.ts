import { parseHTML } from 'linkedom';

interface Element {
  readonly localName: string;
  readonly textContent: string | null;
  readonly parentElement: Element | null;
  readonly firstElementChild: Element | null;
  readonly attributes: Iterable<{ readonly name: string }>;
  getAttribute(name: string): string | null;
  querySelectorAll(selector: string): Iterable<Element>;
  closest(selector: string): Element | null;
}

const MAY_SCROLL = '.wide, figure > svg, pre';

/**
 * What keeps somebody with a keyboard or a screen reader from a page, in words; empty where nothing does. By the rules
 * of WCAG 2.2 and ARIA 1.2 that a text alone can break, named beside each.
 */
export function barriersOf(page: string): string[] {
  const { document } = parseHTML(page) as unknown as { document: Element };
  const all = (selector: string): Element[] => [...document.querySelectorAll(selector)];
  const found: string[] = [];
  const must = (holds: boolean, words: string): void => {
    if (!holds) found.push(words);
  };
  // 3.1.1, 2.4.2, 1.3.1 (landmarks), 1.4.10
  must(all('html[lang]').length === 1, 'no language');
  must((all('title')[0]?.textContent ?? '').trim() !== '', 'no title');
  must(all('main').length === 1, `${all('main').length} main parts`);
  must(/<meta name="viewport" content="width=device-width, initial-scale=1">/.test(page), 'cannot be made larger');
  must(all('h1').length === 1, `${all('h1').length} headings of the first level`);
  const outside = all('body > *').filter(
    (one) => !['main', 'nav', 'header', 'footer', 'script'].includes(one.localName),
  );
  for (const one of outside) must(false, `<${one.localName}> outside of every landmark`);
  // 1.3.1: no level is skipped
  let level = 0;
  for (const heading of all('h1, h2, h3, h4, h5, h6')) {
    const next = Number(heading.localName.slice(1));
    must(next <= level + 1, `${heading.localName} "${heading.textContent ?? ''}" after h${level}`);
    level = next;
  }
  // 2.1.1: what scrolls can be reached, 4.1.2: and has a name that no other part has
  for (const one of all(MAY_SCROLL)) {
    const region = one.closest('[role="region"][tabindex="0"][aria-label]');
    must(region !== null, `<${one.localName} class="${one.getAttribute('class') ?? ''}"> scrolls out of reach`);
  }
  for (const table of all('table')) must(table.closest('.wide') !== null, 'a table that can be wider than its page');
  const names = all('nav, [role="region"], section[aria-label]').map(
    (one) => `${one.localName} ${one.getAttribute('aria-label') ?? ''}`,
  );
  for (const name of new Set(names.filter((one, index) => names.indexOf(one) !== index)))
    must(false, `two parts called ${name}`);
  for (const name of names) must(!name.endsWith(' '), `a ${name.trim()} without a name`);
  // 1.1.1: a picture has one name; ARIA 1.2, 5.2.8.4: nothing in a picture is read out
  for (const svg of all('svg')) {
    must(svg.getAttribute('role') === 'img', 'a picture without its role');
    must(svg.firstElementChild?.localName === 'title', 'a picture without a name');
    const inside = [...svg.querySelectorAll('*')].flatMap((one) =>
      [...one.attributes].map(({ name }) => name).filter((name) => name.startsWith('aria-')),
    );
    must(inside.length === 0, `${[...new Set(inside)].join()} inside of a picture`);
    // Pictures are shown at the size they are drawn in (look.style.ts), so this is what is read.
    for (const one of [svg, ...svg.querySelectorAll('[font-size]')]) {
      const size = Number.parseFloat(one.getAttribute('font-size') ?? '12');
      must(size >= 12, `letters of ${size} px in a picture`);
    }
  }
  // 1.3.1, 3.3.2, 4.1.2
  for (const field of all('input:not([type="hidden"]), select, textarea')) {
    const id = field.getAttribute('id');
    const labeled = field.closest('label') !== null || (id !== null && all(`label[for="${id}"]`).length === 1);
    must(labeled, `a field ${field.getAttribute('name') ?? ''} without a label`);
  }
  for (const one of all('a[href], button'))
    must((one.textContent ?? '').trim() !== '', `a ${one.localName} without words`);
  const ids = all('[id]').map((one) => one.getAttribute('id') ?? '');
  must(new Set(ids).size === ids.length, `two elements of one id among ${ids.join()}`);
  for (const cell of all('th')) must(['col', 'row'].includes(cell.getAttribute('scope') ?? ''), 'a th without a scope');
  return found;
}

/** One of several, a doubled possessive, and what a program shows where it has nothing to show. */
const SLIPS = RegExp(
  String.raw`.{0,30}(?:(?<![\d.,/:-])\b1 (?!goes\b|as\b)[a-z-]*[a-rt-z]s\b|s['’]s\b|` +
    String.raw`\bundefined\b|\bNaN\b|\[object ).{0,30}`,
  'g',
);

/** What reads wrong on a page: one of many, a doubled ending, what a program left. */
export function slipsOf(page: string): string[] {
  const text = page
    .replaceAll(/<style>[\s\S]*?<\/style>/g, '')
    .replaceAll(/<\/(?:p|li|td|th|tr|h\d|small|b|option|label|text|title|desc)>|<br>/g, ' | ')
    .replaceAll(/<[^>]+>/g, '')
    .replaceAll('&#39;', "'");
  // "1 goes" and "1 as" begin a sentence about the first layer or bale; a word in ss or us is no plural.
  return text.match(SLIPS) ?? [];
}
