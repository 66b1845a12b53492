import type { FieldProblem, Problem } from '../../../platform/http/problem.js';
import { PROBLEMS } from '../../../platform/http/problem-catalogue.js';

/** What a problem says on the form that it is about. */
export interface ToldOnForm {
  title: string;
  /** What is about no one field, or about the whole. */
  words: string[];
  /** By the name of the field. */
  atField: Record<string, string>;
  /** Codes to say yes to, where it is only unlikely; else null. */
  confirm: string | null;
}

/** An API says how a program goes on; on a form there is a button or a box for that. */
const FOR_PROGRAMS: readonly (readonly [RegExp, string])[] = [
  [/ If this is a second feeding, say `additional: true`\./, ' If this is a second feeding, tick the box for it.'],
];

export function toldOnForm({ code, detail, errors }: Problem, fields: readonly string[]): ToldOnForm {
  const atField: Record<string, string> = {};
  const words: string[] = [];
  const about = detail !== undefined && errors.every(({ message }) => message !== detail) ? [detail] : [];
  for (const one of errors) {
    const field = fieldOf(one, fields);
    const sentence = sentenceOf(one);
    if (field === undefined) words.push(sentence);
    else atField[field] = atField[field] === undefined ? sentence : `${atField[field]} ${sentence}`;
  }
  const isAsked = code === 'confirm';
  return {
    title: isAsked ? 'Is this right?' : PROBLEMS[code].title,
    words: [...new Set(isAsked ? errors.map(sentenceOf) : [...about, ...words])].map(forPeople),
    atField: isAsked ? {} : Object.fromEntries(Object.entries(atField).map(([name, told]) => [name, forPeople(told)])),
    confirm: isAsked ? [...new Set(errors.map((one) => one.code))].join(',') : null,
  };
}

function sentenceOf({ message, usual, allowed, code }: FieldProblem): string {
  if (usual !== undefined) return `${message} Usual: ${usual}.`;
  // A zod finding says what is allowed already.
  return code.startsWith('at-most') || /^at most /.test(allowed) ? `${message} Allowed: ${allowed}.` : message;
}

function forPeople(words: string): string {
  return FOR_PROGRAMS.reduce((text, [found, instead]) => text.replace(found, instead), words);
}

/** The field at the problem's place, or the one that shares the most steps with it. */
function fieldOf({ pointer }: FieldProblem, fields: readonly string[]): string | undefined {
  const steps = (pointer ?? '').replace(/^#\/?/, '').split('/');
  for (let shared = steps.length; shared > 0; shared -= 1) {
    const begin = steps.slice(0, shared).join('/');
    const found = fields.find((name) => name === begin || name.startsWith(`${begin}/`));
    if (found !== undefined && begin !== '') return found;
  }
  return undefined;
}
