/*
 * The look of the pages, from its tokens: contrast by the formula of WCAG 2.2 ("relative luminance", "contrast ratio"),
 * written out here.
 */
import { LOOK, ON_PAPER } from '../../../src/pages/look/look.style.js';
import { COLORS, PAIRS, SIZES } from '../../../src/pages/look/tokens.data.js';
import { FEED_SHEET_STYLE } from '../../../src/pages/feed-sheets/feed-sheet.style.js';
import { BAR_INKS, INK, inkOf } from '../../../src/pages/document/draw-plot.js';

function luminance(color: string): number {
  const [red = 0, green = 0, blue = 0] = (color.match(/[0-9a-f]{2}/gi) ?? []).map((hex) => {
    const share = Number.parseInt(hex, 16) / 255;
    return share <= 0.040_45 ? share / 12.92 : ((share + 0.055) / 1.055) ** 2.4;
  });
  return 0.2126 * red + 0.7152 * green + 0.0722 * blue;
}

function contrast(one: string, other: string): number {
  const [dark = 0, light = 0] = [luminance(one), luminance(other)].toSorted((a, b) => a - b);
  return (light + 0.05) / (dark + 0.05);
}

describe('the look of the pages', () => {
  it('is measured as WCAG measures', () => {
    // Black on white is 21:1 and #767676 on white 4.54:1, WCAG's own examples (Understanding 1.4.3, and from memory).
    expect(contrast('#000000', '#ffffff')).toBeCloseTo(21, 6);
    expect(contrast('#767676', '#ffffff')).toBeCloseTo(4.54, 2);
  });

  it.each(PAIRS.flatMap((pair) => (['light', 'dark'] as const).map((by) => [by, pair.on, pair.over, pair] as const)))(
    'by %s: %s on %s',
    (by, on, over, { least }) => {
      expect(least).toBeGreaterThanOrEqual(on === 'line' ? 3 : 4.5);
      expect(contrast(COLORS[on][by], COLORS[over][by])).toBeGreaterThanOrEqual(least);
    },
  );

  it('has a pair for every color, and a reason for every token', () => {
    const paired = new Set(PAIRS.flatMap(({ on, over }) => [on, over]));
    expect(Object.keys(COLORS).filter((name) => !paired.has(name as keyof typeof COLORS))).toEqual([]);
    for (const { why } of [...Object.values(COLORS), ...Object.values(SIZES)]) expect(why.length).toBeGreaterThan(10);
  });

  it('takes every color and size of the style from the tokens, but for paper and what is drawn for it', () => {
    const style = LOOK.join('\n').replace(/:root \{[\s\S]*?\} *\}?\n/g, '');
    const named = Object.keys({ ...COLORS, ...SIZES });
    const used = [...`${LOOK.join('\n')}${ON_PAPER}`.matchAll(/var\(--([a-z-]+)\)/g)].map(([, name]) => name ?? '');
    expect([...new Set(used)].filter((name) => !named.includes(name))).toEqual([]);
    expect(
      style
        .match(/#[0-9a-f]{3,6}\b/g)
        ?.filter((color) => !Object.values(COLORS).some((one) => one.light === color || one.dark === color)),
    ).toEqual(['#fff']);
  });

  it('keeps letters at 12 px or more, pictures at the size they are drawn in, and links as high as a thumb', () => {
    const screen = LOOK.join('\n');
    const sizes = [...`${screen}${FEED_SHEET_STYLE}`.matchAll(/font-size: ([\d.]+)(rem|px)/g)];
    expect(sizes.length).toBeGreaterThan(10);
    for (const [words, size, unit] of sizes)
      expect([words, Number(size) * (unit === 'rem' ? 16 : 1) >= 12]).toEqual([words, true]);
    for (const name of ['text', 'large', 'small'] as const)
      expect(Number.parseFloat(SIZES[name].value) * 16).toBeGreaterThanOrEqual(12);
    expect(/figure svg \{([^}]*)\}/.exec(screen)?.[1]).not.toMatch(/width/);
    // 44 px, WCAG 2.2, 2.5.5.
    expect(Number.parseFloat(SIZES.touch.value) * 16).toBeGreaterThanOrEqual(44);
    const phone = /@media screen and \(max-width: 40rem\) \{([\s\S]*?)\n\}/.exec(screen)?.[1] ?? '';
    expect(/main a \{([^}]*)\}/.exec(phone)?.[1]).toMatch(/display: inline-block;.*min-height: var\(--touch\)/s);
    expect(/nav\.links a \{([^}]*)\}/.exec(screen)?.[1]).toContain('min-height: var(--touch)');
    // A digest without a space breaks rather than making the page wider.
    expect(/\nbody \{([^}]*)\}/.exec(screen)?.[1]).toContain('overflow-wrap: break-word');
  });

  it('draws pictures in inks that can be read on white', () => {
    for (const ink of [INK, ...Array.from({ length: 6 }, (_, arm) => inkOf(arm)), ...Object.values(BAR_INKS)])
      expect([ink, contrast(ink, '#ffffff') >= 4.5]).toEqual([ink, true]);
  });
});
