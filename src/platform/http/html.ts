const ENTITIES: Readonly<Record<string, string>> = { '&': '&amp;', '<': '&lt;', '>': '&gt;', '"': '&quot;', "'": '&#39;' };

/** Text of anybody's making, safe inside HTML. */
export function text(value: string): string {
  return value.replaceAll(/[&<>"']/g, (character) => ENTITIES[character] ?? '');
}
