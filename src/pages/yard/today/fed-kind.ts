import { confirmFeedSheet, type FeedSheetAnswer } from '../../../desk/feed-sheets/feed-sheet.schema.js';
import type { FieldProblem } from '../../../platform/http/problem.js';
import { baleWords, dayWords, type HerdSheet } from '../../feed-sheets/feed-sheet.words.js';
import type { Typed } from '../entry/body-of-fields.js';
import type { EntryKind, FieldOfForm } from '../entry/entry-kinds.js';

/** A lot that is not on the sheet, as a line after all others. */
const OTHER = 90;
const weighedIn = (at: number): FieldOfForm['unit'] => ({
  name: `differences/${at}/weight/unit`,
  of: 'mass',
  size: 'small',
});

interface Line {
  at: number;
  step: number;
  inBales: boolean;
  line: HerdSheet['layers'][number]['lines'][number];
}

/** The sheet's lines, in the order in which they are laid. */
function linesOf(herd: HerdSheet): Line[] {
  const wholeBales = herd.carried?.rounding === 'nearest-whole';
  return herd.layers
    .flatMap(({ step, lines }) => lines.map((line) => ({ step, line })))
    .map(({ step, line }, at) => ({ at, step, line, inBales: wholeBales && line.bales !== null }));
}

/** The form on which a feeding is told as it was: each line of the sheet, with what the sheet says in it. */
export function fedKind(herd: HerdSheet | undefined, onDay: string): EntryKind {
  const lines = herd === undefined ? [] : linesOf(herd);
  const again = (herd?.fedThatDay ?? []).length > 0;
  return {
    what: 'fed',
    title: herd === undefined ? 'Fed' : `${herd.herd}, ${dayWords(onDay)}`,
    button: 'Enter this feeding',
    endpoint: confirmFeedSheet,
    fields: [
      ...lines.map((one) => lineField(one, herd)),
      ...(lines.length === 0
        ? []
        : [
            { name: `differences/${OTHER}/hayLotId`, label: 'And of another lot', from: 'lots' as const },
            { name: `differences/${OTHER}/weight/value`, label: 'How much of that', unit: weighedIn(OTHER)! },
          ]),
      { name: 'refused/value', label: 'Left uneaten', hint: 'taken up', unit: { name: 'refused/unit', of: 'mass' } },
      { name: 'note', label: 'Why it was otherwise', lines: true },
      ...(again ? [{ name: 'additional', label: 'This is a second feeding on that day', box: true as const }] : []),
    ],
  };
}

function lineField({ at, step, line, inBales }: Line, herd: HerdSheet | undefined): FieldOfForm {
  const label = `${step}. ${line.hayLot}`;
  if (inBales) return { name: `differences/${at}/bales`, label, hint: 'whole bales', required: true };
  return {
    name: `differences/${at}/weight/value`,
    label,
    ...(herd === undefined ? {} : { hint: baleWords(line, herd) }),
    required: true,
    unit: weighedIn(at)!,
  };
}

/** What stands in the form before anybody types: the sheet itself. */
export function asShown({ herdId, ...herd }: HerdSheet, onDay: string): Typed {
  const fields: Record<string, string> = { herdId, fedOn: onDay };
  for (const { at, step, line, inBales } of linesOf({ herdId, ...herd })) {
    fields[`differences/${at}/step`] = String(step);
    fields[`differences/${at}/hayLotId`] = line.hayLotId;
    const said = inBales ? String(line.bales?.open ?? 0) : line.lay.value;
    fields[`was/${at}`] = `${line.hayLot}: ${inBales ? said : `${said} ${line.lay.unit}`}`;
    fields[`differences/${at}/${inBales ? 'bales' : 'weight/value'}`] = said;
    if (!inBales) fields[`differences/${at}/weight/unit`] = line.lay.unit;
  }
  const last = herd.layers.at(-1)?.step;
  if (last !== undefined) fields[`differences/${OTHER}/step`] = String(last);
  return fields;
}

/** What goes along unseen. */
export function unseenOf(typed: Typed): [name: string, value: string][] {
  const lot = `differences/${OTHER}/hayLotId`;
  return Object.entries(typed).filter(
    ([name]) =>
      name === 'herdId' ||
      name === 'fedOn' ||
      /^was\/\d+$/.test(name) ||
      (/^differences\/\d+\/(step|hayLotId)$/.test(name) && name !== lot),
  );
}

/** What is sent on: lines that differ from the sheet, numbered anew. `sent` is where each of them stood on the form. */
export function onlyDifferences(typed: Typed): { fields: Typed; sent: number[] } {
  const fields: Record<string, string> = {};
  const lines = new Map<number, [name: string, value: string][]>();
  for (const [name, value] of Object.entries(typed)) {
    const [, at, rest] = /^differences\/(\d+)\/(.+)$/.exec(name) ?? [];
    if (at === undefined || rest === undefined) {
      if (!name.startsWith('was/')) fields[name] = value;
    } else lines.set(Number(at), [...(lines.get(Number(at)) ?? []), [rest, value.trim()]]);
  }
  const sent = [...lines.keys()]
    .sort((one, other) => one - other)
    .filter((at) => differs(at, lines.get(at) ?? [], typed));
  for (const [to, at] of sent.entries())
    for (const [rest, value] of lines.get(at) ?? []) fields[`differences/${to}/${rest}`] = value;
  return { fields, sent };
}

function differs(at: number, line: readonly (readonly [string, string])[], typed: Typed): boolean {
  const of = Object.fromEntries(line);
  if (at === OTHER) return (of['hayLotId'] ?? '') !== '' || (of['weight/value'] ?? '') !== '';
  const said = of['bales'] ?? `${of['weight/value'] ?? ''} ${of['weight/unit'] ?? ''}`;
  return said !== typed[`was/${at}`]?.split(': ').at(-1);
}

const ON_THE_SHEET = /^(?:was\/\d+|differences\/\d+\/(?:step|hayLotId))$/;
const isOnTheSheet = (name: string): boolean => ON_THE_SHEET.test(name) && !name.startsWith(`differences/${OTHER}/`);

/**
 * Whether the sheet is what the page showed. A page may be hours old, as one that a phone kept; what it calls "as
 * shown" is what stood on it.
 */
export function isAsItWasShown(herd: HerdSheet, { fedOn = '', ...typed }: Typed): boolean {
  const now = Object.entries(asShown(herd, fedOn)).filter(([name]) => isOnTheSheet(name));
  const then = Object.entries(typed).filter(([name]) => isOnTheSheet(name));
  return now.length === then.length && now.every(([name, value]) => typed[name] === value);
}

/** What was typed for hay that is still on the sheet, and the sheet as it is now. */
export function onTheSheetOfNow(herd: HerdSheet, onDay: string, typed: Typed): Typed {
  const now = asShown(herd, onDay);
  const lines = linesOf(herd).map(({ at }) => `differences/${at}/`);
  const isSame = (line: string): boolean =>
    ['step', 'hayLotId'].every((what) => typed[line + what] === undefined || typed[line + what] === now[line + what]);
  const kept = Object.entries(typed).filter(([name]) => {
    if (isOnTheSheet(name)) return false;
    const line = lines.find((one) => name.startsWith(one));
    return line === undefined ? !/^differences\/(?!90\/)/.test(name) : isSame(line);
  });
  return { ...now, ...Object.fromEntries(kept) };
}

/** A problem of a line, at the place where the line stands on the form. */
export function atItsLine(problem: FieldProblem, sent: readonly number[]): FieldProblem {
  if (problem.pointer === undefined) return problem;
  const pointer = problem.pointer.replace(/^#\/differences\/(\d+)/, (all, at: string) => {
    const line = sent[Number(at)];
    return line === undefined ? all : `#/differences/${line}`;
  });
  return { ...problem, pointer };
}

/** The sheet of one herd among those of its place. */
export const herdOf = ({ herds }: FeedSheetAnswer, herdId: string): HerdSheet | undefined =>
  herds.find((one) => one.herdId === herdId);
