import type { z } from 'zod';
import { typeWords } from './plain-words.js';

type Issue = z.core.$ZodIssue;
type Union = Extract<Issue, { code: 'invalid_union' }>;

/** Between forms that are equally close, what would complete one of them. */
export interface Choice {
  code: 'missing' | 'invalid-type';
  path: PropertyKey[];
  allowed: string;
  message: string;
}

/**
 * For a choice between forms, the findings of the closest form; the others would only say that the input is not theirs.
 * If several are equally close, what they all find, and the choices left.
 */
export function nearestFindings(
  issue: Issue,
  isMissing: (path: readonly PropertyKey[]) => boolean,
): (Issue | Choice)[] {
  if (issue.code !== 'invalid_union' || issue.errors.length === 0 || isMissing(issue.path)) return [issue];
  const branches = issue.errors.map((branch) => branch.map((one) => below(issue, one)));
  const distances = branches.map((branch) => distance(issue, branch, isMissing));
  const least = Math.min(...distances);
  const nearest = branches.filter((_branch, at) => distances[at] === least);
  const [first = []] = nearest;
  const found =
    nearest.length === 1 ? undefined : (choiceOfType(issue, nearest) ?? choiceOfFields(issue, nearest, isMissing));
  return found ?? first.flatMap((one) => nearestFindings(one, isMissing));
}

function below(union: Union, issue: Issue): Issue {
  return { ...issue, path: [...union.path, ...issue.path] };
}

/** An unknown field weighs most, then a value of the wrong type; a missing field does not count. */
function distance(
  union: Union,
  branch: readonly Issue[],
  isMissing: (path: readonly PropertyKey[]) => boolean,
): number {
  return branch.reduce((sum, one) => {
    if (one.code === 'unrecognized_keys') return sum + 100 * one.keys.length;
    if (isMissing(one.path)) return sum;
    return sum + (isOfAnotherType(union, one) ? 50 : 1);
  }, 0);
}

const isOfAnotherType = (union: Union, issue: Issue) =>
  issue.code === 'invalid_type' && issue.path.length === union.path.length;

function choiceOfType(union: Union, branches: readonly Issue[][]): Choice[] | undefined {
  const all = branches.flat();
  if (!all.every((one) => isOfAnotherType(union, one))) return undefined;
  const allowed = [
    ...new Set(all.map((one) => typeWords((one as Extract<Issue, { code: 'invalid_type' }>).expected))),
  ].join(' or ');
  return [{ code: 'invalid-type', path: union.path, allowed, message: `must be ${allowed}` }];
}

function choiceOfFields(
  union: Union,
  branches: readonly Issue[][],
  isMissing: (path: readonly PropertyKey[]) => boolean,
): (Issue | Choice)[] | undefined {
  const same = (one: Issue, other: Issue) =>
    one.path.join('/') === other.path.join('/') && one.code === other.code && keysOf(one) === keysOf(other);
  const isCommon = (one: Issue) => branches.every((branch) => branch.some((other) => same(one, other)));
  const common = (branches[0] ?? []).filter(isCommon);
  const own = branches.map((branch) => branch.filter((one) => !isCommon(one)));
  if (own.some((branch) => branch.length === 0) || !own.flat().every((one) => isMissing(one.path))) return undefined;
  const allowed = own
    .map((branch) => listed(branch.map((one) => one.path.slice(union.path.length).map(String).join('.'))))
    .join(', or ');
  const choice: Choice = { code: 'missing', path: union.path, allowed, message: `Give ${allowed}.` };
  return [...common.flatMap((one) => nearestFindings(one, isMissing)), choice];
}

const keysOf = (issue: Issue) => (issue.code === 'unrecognized_keys' ? issue.keys.join() : '');

const listed = (names: readonly string[]) =>
  names.length < 2 ? names.join() : `${names.slice(0, -1).join(', ')} and ${names.at(-1) ?? ''}`;
