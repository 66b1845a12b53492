import { html as escaping, raw } from 'hono/html';

declare const escaped: unique symbol;
/**
 * A piece of a page, in which everything a person typed is escaped text. Only `html` and the two functions below make
 * one.
 */
export interface Html {
  readonly [escaped]: true;
  toString(): string;
}

/** What can go into a piece: text is escaped, pieces are not escaped again, null writes nothing. */
export type Part = string | number | Html | null | readonly Part[];

/** Makes a piece of a page from a template. The renderer is synchronous as long as no part is a promise. */
export function html(template: TemplateStringsArray, ...parts: Part[]): Html {
  return escaping(template, ...(parts as unknown[])) as unknown as Html;
}

/** A style sheet of our own. */
export function styleSheet(...rules: readonly string[]): Html {
  return raw(rules.join('\n')) as unknown as Html;
}

/** A picture drawn here; its texts were escaped when it was drawn. */
export function picture({ svg }: { svg: string }): Html {
  return raw(svg) as unknown as Html;
}

/** What may be wider than a screen: it scrolls by itself, is reached by the keyboard, and says what it is. */
export function scrolling(name: string, content: Html): Html {
  return html`<div class="wide" role="region" aria-label="${name}" tabindex="0">${content}</div>`;
}

/** The parts joined with a separator; text in them is escaped as usual. */
export function between(parts: readonly Part[], separator: Part): Part[] {
  return parts.flatMap((part, index) => (index === 0 ? [part] : [separator, part]));
}

/** Line separator. */
export const BREAK = html`<br>`;
