/* What the walk over the pages would find: each slip and barrier on a page that has it, none on one without. */
import { barriersOf, slipsOf } from '../../support/page-structure.js';

const whole = (main: string): string => `<!doctype html><html lang="en"><head><title>A page</title>
<meta name="viewport" content="width=device-width, initial-scale=1"></head>
<body><main><h1>A page</h1>${main}</main></body></html>`;
const REGION = 'class="wide" role="region" tabindex="0"';
const TABLE = '<table><thead><tr><th scope="col">Lot</th></tr></thead></table>';

describe('what keeps somebody from a page', () => {
  it.each([
    ['<p>Hay</p>', []],
    [`<div ${REGION} aria-label="Lots">${TABLE}</div>`, []],
    [TABLE, ['a table that can be wider than its page']],
    [`<div class="wide">${TABLE}</div>`, ['<div class="wide"> scrolls out of reach']],
    ['<h3>Water</h3>', ['h3 "Water" after h1']],
    ['<form><input name="on" type="date"></form>', ['a field on without a label']],
    ['<form><label>Day <input name="on" type="date"></label></form>', []],
    ['<svg role="img"><title>Gain</title><g></g></svg>', []],
    ['<svg role="img" aria-label="Gain"></svg>', ['a picture without a name']],
    ['<svg role="img"><title>Gain</title><g aria-label="bar"></g></svg>', ['aria-label inside of a picture']],
    ['<svg role="img" font-size="7"><title>Gain</title></svg>', ['letters of 7 px in a picture']],
    ['<a href="/"></a>', ['a a without words']],
  ])('%s', (main, found) => {
    expect(barriersOf(whole(main))).toEqual(found);
  });

  it('is all that a bare text lacks', () => {
    expect(barriersOf('<!doctype html><html><body><div>Hay</div></body></html>')).toEqual([
      'no language',
      'no title',
      '0 main parts',
      'cannot be made larger',
      '0 headings of the first level',
      '<div> outside of every landmark',
    ]);
  });
});

describe('what reads wrong on a page', () => {
  it.each([
    ['<p>1 lots without a test</p>', 1],
    ["<p>First-calf heifers's hay</p>", 1],
    ['<p>First-calf heifers&#39;s hay</p>', 1],
    ['<p>1 head-days</p>', 1],
    ['<p>Rests on undefined</p>', 1],
    ['<p>1 lot, 11 lots, 2026-01-1 days, 0.1 days, 1 less, 1 goes down first</p>', 0],
  ])('%s', (page, count) => {
    expect(slipsOf(page)).toHaveLength(count);
  });
});
