/** The package has no types of its own: what is used of it. */
declare module 'saxen' {
  type Decode = (text: string) => string;

  export class Parser {
    on(name: 'openTag', call: (name: string, attributes: () => Record<string, string>, decode: Decode) => void): this;
    on(name: 'closeTag', call: (name: string) => void): this;
    on(name: 'text', call: (text: string, decode: Decode) => void): this;
    on(name: 'attention', call: (text: string) => void): this;
    on(name: 'error', call: (error: Error) => void): this;
    parse(xml: string): void;
  }
}
