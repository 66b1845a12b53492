import { html as escaping, raw } from 'hono/html';

declare const escaped: unique symbol;
/** A piece of a page: what a person typed stands in it as text. Only `html` and the two functions below make one. */
export interface Html {
  readonly [escaped]: true;
  toString(): string;
}

/** What may be put into a piece: texts are escaped, pieces are not escaped again, nothing is written for null. */
export type Part = string | number | Html | null | readonly Part[];

/** A piece of a page, written as a template. The renderer is synchronous as long as no part is a promise. */
export function html(template: TemplateStringsArray, ...parts: Part[]): Html {
  return escaping(template, ...(parts as unknown[])) as unknown as Html;
}

/** A style sheet of our own. */
export function styleSheet(...rules: readonly string[]): Html {
  return raw(rules.join('\n')) as unknown as Html;
}

/** A picture that was drawn here: its texts were escaped when it was drawn. */
export function picture({ svg }: { svg: string }): Html {
  return raw(svg) as unknown as Html;
}

/** The parts with a separator between them; a text is escaped like any other. */
export function between(parts: readonly Part[], separator: Part): Part[] {
  return parts.flatMap((part, index) => (index === 0 ? [part] : [separator, part]));
}

/** The separator of lines. */
export const BREAK = html`<br>`;
