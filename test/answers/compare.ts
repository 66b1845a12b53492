import { differencesOf, type Difference } from './differences.js';
import { Labels, unlabeled } from './labels.js';
import { type Entry, readRecording } from './recording.js';

/** What differs at one place of one or more answers. */
export interface Finding extends Difference {
  /** The answers in which it differs like this. */
  asks: string[];
}

export interface Comparison {
  answers: number;
  /** Asked in one of the recordings alone. */
  missing: string[];
  added: string[];
  findings: Finding[];
}

/** Holds two recordings against each other, answer by answer; findings that are alike are told once. */
export async function compare(before: string, after: string): Promise<Comparison> {
  const others = new Map<string, Entry>();
  for await (const entry of readRecording(after)) others.set(entry.ask, entry);
  const labels = new Labels();
  const findings = new Map<string, Finding>();
  const missing: string[] = [];
  let answers = 0;
  for await (const entry of readRecording(before)) {
    answers += 1;
    const other = others.get(entry.ask);
    if (other === undefined) missing.push(entry.ask);
    else {
      for (const difference of differencesOf(entry, other, labels)) {
        const { place, before: one, after: another } = difference;
        const key = JSON.stringify([place.replaceAll(/\d+/g, '*'), unlabeled(one), unlabeled(another)]);
        const known = findings.get(key);
        if (known === undefined) findings.set(key, { ...difference, asks: [entry.ask] });
        else known.asks.push(entry.ask);
      }
      others.delete(entry.ask);
    }
  }
  return { answers, missing, added: [...others.keys()], findings: [...findings.values()] };
}

/** The comparison as text; empty where nothing differs. */
export function told({ missing, added, findings }: Comparison): string {
  const section = (title: string, lines: string[]): string[] =>
    lines.length === 0 ? [] : [`## ${title}`, '', ...lines];
  const list = (asks: readonly string[]): string[] => [...asks.map((ask) => `- ${ask}`), ''];
  const lines = (words: boolean): string[] => findings.filter((one) => one.words === words).flatMap(lined);
  return [
    ...section('Fields, codes and figures that differ', lines(false)),
    ...section('Words that differ', lines(true)),
    ...section('Asked in the first recording alone', list(missing)),
    ...section('Asked in the second recording alone', list(added)),
  ].join('\n');
}

function lined({ asks, place, before, after }: Finding): string[] {
  const [first = ''] = asks;
  const others = asks.length === 1 ? '' : ` (and ${asks.length - 1} more)`;
  return [`${first}${others}`, `  at ${place}`, `  - ${before}`, `  + ${after}`, ''];
}
