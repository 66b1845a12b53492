/* Names are what people know records and each other by: no two may look alike and be two by a sign that nobody sees. */
import { name } from '../../src/platform/wire/common.schema.js';

describe('A name', () => {
  /*
   * Of Unicode's Default_Ignorable_Code_Point (DerivedCoreProperties.txt): zero width space, word joiner, zero width
   * no-break space, soft hyphen, a Hangul filler, a left-to-right mark, a tag letter. RFC 8264, 9.13, disallows them.
   */
  it.each(['\u200b', '\u2060', '\ufeff', '\u00ad', '\u3164', '\u200e', '\u{e0041}'])(
    'is not taken with %j',
    (hidden) => {
      expect(name.safeParse(`North${hidden} stack`).success).toBe(false);
    },
  );

  // A Persian word with its joiner, a farmer of joined emoji, a heart as an emoji (RFC 5892, A.1 and A.2; UTS 51).
  const shown = ['نمی\u200cدانم', '👩\u200d🌾 herd', 'Stack ❤\ufe0f', 'Ñandú 2', '牛'];
  it.each(shown)('may be %s', (text) => {
    expect(name.parse(text)).toBe(text);
  });
});
