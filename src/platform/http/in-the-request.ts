import { withArticle } from '../../core/units/counted.js';
import { Decimal } from '../../core/units/decimal.js';
import { Mass, type MassUnit } from '../../core/units/mass.js';
import { massToldIn } from './mass-told.js';
import { type FieldProblem, Problem } from './problem.js';

interface Sent {
  params?: unknown;
  query?: unknown;
  body?: unknown;
}

type Path = readonly (string | number)[];

/** A problem about a record, with the field of the request that names it and what was asked there. */
export function placedIn(problem: Problem, sent: Sent): Problem {
  const { subject } = problem;
  if (subject === undefined || problem.errors.some((one) => one.pointer !== undefined || one.parameter !== undefined))
    return problem;
  const inBody = [...pathsOf(subject.id, sent.body)].map((path) => placedInBody(problem, sent.body, path));
  // An id in the path that does not exist means an address that does not exist.
  const parts = problem.code === 'not-found' ? [sent.query] : [sent.query, sent.params];
  const inOthers = parts.flatMap((part) =>
    [...pathsOf(subject.id, part)].map((path) => ({ parameter: path.join('.'), given: subject.id })),
  );
  const inHead = placedAtHead(problem, sent.body);
  const places = inHead === undefined ? [...inBody, ...inOthers] : [inHead];
  if (places.length === 0) return problem;
  const errors = problem.errors.length > 0 ? problem.errors : [errorOf(problem)];
  return new Problem(
    problem.code,
    problem.detail,
    errors.flatMap((one) => places.map((place): FieldProblem => ({ ...place, ...one, ...place }))),
    problem.headers,
    subject,
  );
}

function errorOf({ code, detail = '', subject }: Problem): FieldProblem {
  return { code, allowed: `the id of ${withArticle(subject?.what ?? 'record')} of this operation`, message: detail };
}

function placedInBody({ code, subject }: Problem, body: unknown, path: Path): Partial<FieldProblem> {
  const parent = path.slice(0, -1);
  const holder = at(body, parent) as Record<string, unknown>;
  if (code === 'lot-short') {
    const quantity = (holder['quantity'] ?? holder) as Quantity;
    const place = { pointer: pointerOf('quantity' in holder ? [...parent, 'quantity'] : parent) };
    return { ...place, ...asked(quantity, subject?.left, subject?.short) };
  }
  return { pointer: pointerOf(path), given: subject?.id };
}

/** The number of head that leave is in the body, the herd in the path. */
function placedAtHead({ code, subject }: Problem, body: unknown): Partial<FieldProblem> | undefined {
  const head = (body as { head?: unknown } | null | undefined)?.head;
  if (code !== 'herd-short' || typeof head !== 'number') return undefined;
  const left = Math.max(0, head - (subject?.shortHead ?? 0));
  return { pointer: '#/head', given: head, allowed: `at most ${left} head` };
}

interface Quantity {
  weight?: { value: string | number; unit: MassUnit };
  gross?: { value: string | number; unit: MassUnit };
  tare?: { value: string | number; unit: MassUnit };
  bales?: string | number;
}

/** The quantity asked for, and what the lot holds in the same unit. */
function asked(quantity: Quantity, left: Mass | undefined, short: Mass | undefined): Partial<FieldProblem> {
  const { weight, gross, tare, bales } = quantity;
  if (weight !== undefined) return { given: `${weight.value} ${weight.unit}`, ...atMost(left, weight.unit) };
  if (gross !== undefined && tare !== undefined) {
    const net = Mass.of(String(gross.value), gross.unit)
      .minus(Mass.of(String(tare.value), tare.unit))
      .in(gross.unit);
    return { given: `${net.toDecimalPlaces(1).toFixed()} ${gross.unit}`, ...atMost(left, gross.unit) };
  }
  return bales === undefined ? {} : { given: balesOf(bales), ...atMostBales(bales, left, short) };
}

function balesOf(bales: string | number): string {
  return `${bales} ${String(bales) === '1' ? 'bale' : 'bales'}`;
}

/** Of the bales asked for as many whole ones as the hay that could be drawn is a part of what was to be drawn. */
function atMostBales(bales: string | number, left: Mass | undefined, short: Mass | undefined): Partial<FieldProblem> {
  if (left === undefined || short === undefined) return {};
  const share = left.kilograms.div(left.kilograms.plus(short.kilograms));
  return { allowed: `at most ${balesOf(Decimal.max(share.times(bales).floor(), 0).toFixed())}` };
}

function atMost(left: Mass | undefined, unit: MassUnit): Partial<FieldProblem> {
  if (left === undefined) return {};
  return { allowed: `at most ${massToldIn(left, unit, 'down')}` };
}

function* pathsOf(id: string, value: unknown, path: Path = []): Generator<Path> {
  if (value === id) yield path;
  else if (Array.isArray(value)) for (const [at, one] of value.entries()) yield* pathsOf(id, one, [...path, at]);
  else if (typeof value === 'object' && value !== null)
    for (const [key, one] of Object.entries(value)) yield* pathsOf(id, one, [...path, key]);
}

function at(value: unknown, path: Path): unknown {
  return path.reduce<unknown>((inside, step) => (inside as Record<string | number, unknown>)[step], value);
}

function pointerOf(path: Path): string {
  return `#${path.map((step) => `/${String(step).replaceAll('~', '~0').replaceAll('/', '~1')}`).join('')}`;
}
