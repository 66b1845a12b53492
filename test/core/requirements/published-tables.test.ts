import { KNOWN_MISSES } from './known-misses.js';
import { publishedAgainstComputed, publishedAgainstComputedMarkdown } from './published-against-computed.js';

/**
 * Outside checks: the shared published values and the tables of test/reference/requirement-tables.json (NRC 2000 tables, Arkansas, Nebraska,
 * Arizona, Georgia, Ohio, North and South Dakota, Oklahoma, Mississippi and Montana extension, USDA-AMS), each with its source.
 */
describe('published against computed', () => {
  const { rows, unanswered } = publishedAgainstComputed();
  const reasonFor = (row: { id: string; quantity: string }) => KNOWN_MISSES[`${row.id}/${row.quantity}`];

  it.each(rows.map((row) => [`${row.id}: ${row.quantity}`, row] as const))('%s', (_name, row) => {
    expect(Number.isFinite(row.computed)).toBe(true);
    if (reasonFor(row) === undefined) expect(Math.abs(row.difference)).toBeLessThanOrEqual(row.tolerance + 1e-12);
    else expect(row.within).toBe(false);
  });

  it('explains every miss, and explains nothing that is met', () => {
    const missed = rows.filter((row) => !row.within).map((row) => `${row.id}/${row.quantity}`).sort();
    expect(Object.keys(KNOWN_MISSES).sort()).toEqual(missed);
  });

  it('says of every case that it does not answer why not', () => {
    expect(unanswered.filter((one) => one.reason === 'no reason given')).toEqual([]);
  });

  it('reproduces well over 25 rows of published requirement tables, confirmed ones among them', () => {
    const tables = rows.filter((row) => row.within && (row.id.startsWith('req-') || row.id.startsWith('nrc-') || row.id.startsWith('growing-') || row.id.startsWith('az-') || row.id.startsWith('unl-') || row.id.startsWith('reserves-')));
    expect(new Set(tables.map((row) => row.id)).size).toBeGreaterThanOrEqual(90);
    expect(new Set(tables.filter((row) => row.status.startsWith('confirmed')).map((row) => row.id)).size).toBeGreaterThanOrEqual(35);
  });

  it('writes each row, each miss with its reason and each unanswered case into the Markdown table', () => {
    const text = publishedAgainstComputedMarkdown();
    const lines = text.split('\n');
    for (const row of rows) expect(lines.filter((line) => line.startsWith(`| ${row.id} | ${row.quantity} |`))).toHaveLength(1);
    for (const [key, reason] of Object.entries(KNOWN_MISSES)) expect(text).toContain(`- ${key.replace('/', ', ')}: ${reason}`);
    for (const one of unanswered) expect(text).toContain(`- ${one.id}: ${one.reason}`);
    expect(text).not.toContain('no reason given');
    expect(text).not.toContain('NaN');
  });
});
