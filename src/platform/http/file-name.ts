import type { AnyEndpoint } from './endpoint.js';

/** Whose and which a file is. A report tells it in its answer, a list in what was asked. */
export interface FiledUnder {
  operation?: unknown;
  from?: unknown;
  until?: unknown;
  onDay?: unknown;
}

const LETTERS_MOST = 60;

/**
 * A name under which a file sorts itself: operation, what it is, first and last day, as far as there are any. Letters
 * beyond ASCII lose their marks, since not every program that saves a file reads RFC 8187.
 */
export function fileName(
  { path }: Pick<AnyEndpoint, 'path'>,
  { operation, from, until, onDay }: FiledUnder,
  ending: string,
): string {
  const what = path.split('/').findLast((step) => step !== '' && !step.startsWith(':')) ?? 'file';
  const parts = [operation, what, from, until ?? onDay].flatMap((part) => {
    const text = typeof part === 'string' ? slug(part) : '';
    return text === '' ? [] : [text];
  });
  return `${parts.join('_')}.${ending}`;
}

function slug(text: string): string {
  return text
    .normalize('NFKD')
    .replaceAll(/\p{M}/gu, '')
    .toLowerCase()
    .replaceAll(/[^a-z0-9]+/g, '-')
    .slice(0, LETTERS_MOST)
    .replaceAll(/^-+|-+$/g, '');
}
