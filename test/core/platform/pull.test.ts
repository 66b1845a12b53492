/* What is taken piece by piece: an end is an end, and a text begun elsewhere goes on only if it is the same. */
import { continued, pulledWithin, TextSoFar } from '../../../src/platform/database/pull.js';
import fc from '../../support/properties.js';

const AN_HOUR = 3_600_000;

async function* piecesOf(pieces: readonly string[], fails = false): AsyncGenerator<string> {
  for (const piece of pieces) {
    await Promise.resolve();
    yield piece;
  }
  if (fails) throw new Error('The database is gone');
}

async function textOf(pieces: AsyncIterable<string>): Promise<string> {
  let text = '';
  for await (const piece of pieces) text += piece;
  return text;
}

describe('what is taken piece by piece', () => {
  const clocks = (): number => process.getActiveResourcesInfo().filter((one) => one === 'Timeout').length;

  it.each([
    ['at its end', false, ['hay', 'lot']],
    ['where it fails later', true, ['hay', 'lot']],
    ['where it fails at once', true, []],
  ])('leaves no clock behind %s', async (_where, fails, pieces) => {
    const before = clocks();
    const taken = pulledWithin(piecesOf(pieces, fails), AN_HOUR).then(textOf);
    await (fails ? expect(taken).rejects.toThrow('The database is gone') : expect(taken).resolves.toBe('haylot'));
    expect(clocks()).toBe(before);
  });
});

describe('a text begun elsewhere', () => {
  const cut = fc.array(fc.string({ unit: 'grapheme', maxLength: 5 }), { maxLength: 8 });

  it('goes on where it was left, however either was cut', async () => {
    await fc.assert(
      fc.asyncProperty(cut, cut, fc.nat(40), async (first, rest, size) => {
        const taken = new TextSoFar();
        first.forEach((piece) => taken.add(piece));
        const whole = [...first, ...rest].join('');
        const again = whole.match(new RegExp(`[^]{1,${size + 1}}`, 'g')) ?? [];
        expect(first.join('') + (await textOf(continued(taken, piecesOf(again))))).toBe(whole);
      }),
    );
  });

  it('does not go on if it begins otherwise, or is shorter', async () => {
    const taken = new TextSoFar();
    taken.add('2027-01-12,400\n');
    for (const other of ['2027-01-13,400\n2027-01-14,1\n', '2027-01-12,4', ''])
      await expect(textOf(continued(taken, piecesOf([other])))).rejects.toMatchObject({ code: 'not-ready' });
  });
});
