import { Injectable } from '@nestjs/common';
import { addDays } from '../../core/time/calendar-day.js';
import { animalsOfPeriod, protocolOfPeriod } from '../../core/trial/design-rows.js';
import { findGaps, type Gap } from '../../core/trial/find-gaps.js';
import { weighingDaysOfPeriods } from '../../core/trial/protocol-sheet.js';
import { feedingOf, hasPeriods, periodsOf, type TrialPeriod } from '../../core/trial/trial-design.js';

import { Mass } from '../../core/units/mass.js';
import { dayIn } from '../../platform/clock.js';
import type { OperationTenant } from '../../platform/database/types.js';
import type { AnswerOf, InputOf } from '../../platform/http/endpoint.js';
import { Problem } from '../../platform/http/problem.js';
import { type UnitSystem, formatMass } from '../../platform/wire/quantity.schema.js';
import { gapAnswer } from './judgement-answer.js';
import type { KeptGap } from './kept-judgement.js';
import { type AttachedFeeding, type TrialBooks, TrialBooksRead } from './trial-books.read.js';
import type * as api from './trial-judgement.schema.js';
import { lastWeighingDay } from './trial-plan.js';
import { TrialRead, type WholeTrial } from './trial.read.js';

type Run = AnswerOf<typeof api.getTrialRun>;

/** The progress of a trial. It does not tell anybody which arm is ahead. */
@Injectable()
export class TrialRunService {
  constructor(
    private readonly trials: TrialRead,
    private readonly books: TrialBooksRead,
  ) {}

  async get(tenant: OperationTenant, { params, query }: InputOf<typeof api.getTrialRun>): Promise<Run> {
    const trial = await this.trials.one(tenant, params.trialId);
    const begins = trial.row.begins_on;
    if (begins === null) throw new Problem('conflict', 'This trial has not begun.');
    const on = query.on ?? dayIn(tenant.operation.timeZone, tenant.moment);
    if (on < begins)
      throw new Problem('invalid-input', undefined, [
        {
          parameter: 'on',
          code: 'before-the-trial',
          given: on,
          allowed: `${begins} or later`,
          message: 'The trial had not begun on that day.',
        },
      ]);
    return answerFrom(
      trial,
      await this.books.upTo(tenant, trial, begins, on),
      begins,
      query.units ?? tenant.operation.unitPreference,
    );
  }
}

/** The core's gaps, and feed that other cattle ate along with the trial's. */
export function gapsOf(books: TrialBooks): KeptGap[] {
  const shared = books.feedings
    .filter((feeding) => feeding.trialHead !== feeding.headFed)
    .map((feeding): KeptGap => ({
      code: 'head-differ',
      day: feeding.day,
      armId: feeding.armId,
      penId: feeding.pen,
      animalId: null,
      words: `${feeding.headFed} head were fed on day ${feeding.day}, ${feeding.trialHead} of them in the trial`,
      treatment: feeding.shareOfHead.lt(1)
        ? `The hay counts by head: ${feeding.trialHead} of ${feeding.headFed} shares.`
        : 'All of the hay counts, over the animals of the trial.',
    }));
  const gaps = gapsOfPeriods(books);
  return [...gaps, ...shared].sort((one, other) => (one.day ?? -1) - (other.day ?? -1));
}

/** Gaps of each period that has begun, in days of the trial; without periods the whole trial is one. */
function gapsOfPeriods({ protocol, arms, animals, feedDays, today, designed }: TrialBooks): Gap[] {
  if (!hasPeriods(designed?.design) || designed === null) return findGaps({ protocol, arms, animals, feedDays, today });
  const trial = { ...designed, protocol };
  return periodsOf(designed.design, protocol.lengthDays)
    .filter((period) => period.from <= today)
    .flatMap((period) => {
      const there = animalsOfPeriod(trial, animals, period);
      const found = findGaps({
        protocol: protocolOfPeriod(trial, period),
        arms: arms.filter((arm) => there.some((animal) => animal.armId === arm.id)),
        animals: there,
        feedDays: feedDays.map((one) => ({ ...one, day: one.day - period.from })),
        today: today - period.from,
      });
      return found.map((gap) => ({ ...gap, day: gap.day === null ? null : gap.day + period.from }));
    });
}

/** Feeding days that are over, and how many of them have a record for every pen of the arm. */
export function daysFedOf(books: TrialBooks, armId: string): { due: number; fed: number } {
  const own = books.feedings.filter((feeding) => feeding.armId === armId);
  const { designed } = books;
  const parts = periodsOf(designed?.design, books.protocol.lengthDays)
    .filter(
      ({ number }) =>
        !hasPeriods(designed?.design) || designed?.feedings.some((one) => feedingOf(one, number) === armId) === true,
    )
    .map((period) => daysFedWithin(own, period, books.today));
  return {
    due: parts.reduce((sum, part) => sum + part.due, 0),
    fed: parts.reduce((sum, part) => sum + part.fed, 0),
  };
}

function daysFedWithin(
  ofArm: readonly AttachedFeeding[],
  { from, until }: Pick<TrialPeriod, 'from' | 'until'>,
  today: number,
): { due: number; fed: number } {
  const own = ofArm.filter((feeding) => feeding.day >= from && feeding.day < until);
  const due = Math.max(0, Math.min(today, until) - from);
  const pens = new Set(own.map((feeding) => feeding.pen)).size;
  const fed = Array.from(
    { length: due },
    (_, day) => new Set(own.filter((feeding) => feeding.day === from + day).map((feeding) => feeding.pen)).size,
  ).filter((there) => there > 0 && there === pens).length;
  return { due, fed };
}

function fedOf(feeding: AttachedFeeding): Mass {
  return Mass.sum(feeding.layers.map((layer) => layer.mass)).times(feeding.share);
}

function answerFrom(trial: WholeTrial, books: TrialBooks, begins: string, units: UnitSystem): Run {
  const { plan, protocol } = books;
  const kinds = [
    ...protocol.startDays.map((day) => ({ day, kind: 'start' as const })),
    ...[...plan.interimWeighingDays, ...weighingDaysOfPeriods(plan.design, plan.lengthDays, plan.twoWeighingDays)].map(
      (day) => ({ day, kind: 'interim' as const }),
    ),
    ...protocol.endDays.map((day) => ({ day, kind: 'end' as const })),
  ];
  const gone = (day: number): number =>
    books.animals.filter((animal) =>
      animal.events.some((event) => ['died', 'sold', 'lost'].includes(event.kind) && event.day <= day),
    ).length;
  const sum = (masses: readonly Mass[]): ReturnType<typeof formatMass> => formatMass(Mass.sum(masses), units, 'large');
  return {
    trialId: trial.row.id,
    trial: trial.row.name,
    state: trial.row.state,
    onDay: books.asOf,
    dayOfTrial: books.today,
    lengthDays: plan.lengthDays,
    units,
    weighingDays: kinds
      .sort((one, other) => one.day - other.day)
      .map(({ day, kind }) => ({
        day,
        on: addDays(begins, day),
        kind,
        weighed: books.animals.filter((animal) => animal.weighings.some((weighing) => weighing.day === day)).length,
        of: books.animals.length - gone(day),
        passed: books.today > day,
      })),
    weighIns: books.weighIns.map((one) => ({
      weighInId: one.id,
      weighedOn: one.on,
      day: one.day,
      fill: one.fill,
      animals: one.animals,
      others: one.others,
    })),
    arms: trial.arms.map((arm) => {
      const members = books.animals.filter((animal) => animal.armId === arm.id);
      const own = books.feedings.filter((feeding) => feeding.armId === arm.id);
      const days = daysFedOf(books, arm.id);
      return {
        armId: arm.id,
        arm: arm.name,
        drawn: members.length,
        left: members.filter((animal) => animal.events.some((event) => ['died', 'sold', 'lost'].includes(event.kind)))
          .length,
        feedings: own.length,
        daysFed: days.fed,
        daysToFeed: days.due,
        fed: sum(own.map(fedOf)),
        refused: sum(own.map((one) => (one.refused ?? Mass.zero).times(one.share))),
        wasted: sum(own.map((one) => (one.wasted ?? Mass.zero).times(one.share))),
      };
    }),
    gaps: gapsOf(books).map((gap) => gapAnswer(gap, begins)),
  };
}

/** Share of the trial's length covered by records: information measured by time, 0 to 1. */
export function reachedShare(books: TrialBooks): number {
  return books.today >= lastWeighingDay(books.plan) ? 1 : Math.min(1, books.today / books.plan.lengthDays);
}
