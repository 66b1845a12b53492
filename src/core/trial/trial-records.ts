/** Plain records of a trial, days counted from its first day (day 0). Weights in kilograms. */
export interface TrialArm {
  readonly id: string;
  readonly name: string;
  /** One arm is the usual feeding; every other is compared with it. */
  readonly role: 'usual' | 'change';
}

export interface Weighing {
  readonly day: number;
  readonly weightKg: number;
  readonly fill: 'full' | 'shrunk';
  readonly hoursOffFeed: number;
}

export const ANIMAL_EVENTS = ['sick', 'moved', 'wrong-feed', 'died', 'sold', 'lost'] as const;
export type AnimalEventKind = (typeof ANIMAL_EVENTS)[number];

export interface AnimalEvent {
  readonly day: number;
  readonly kind: AnimalEventKind;
  readonly note?: string;
}

export interface TrialAnimal {
  readonly id: string;
  /** The arm drawn for the animal; it stays this arm wherever the animal goes. */
  readonly armId: string;
  readonly penId: string | null;
  readonly weighings: readonly Weighing[];
  readonly events: readonly AnimalEvent[];
}

export interface TrialProtocol {
  readonly lengthDays: number;
  /** Days whose weights are averaged for the start, for example 0 and 1. */
  readonly startDays: readonly number[];
  readonly endDays: readonly number[];
  readonly fill: 'full' | 'shrunk';
  readonly hoursOffFeed: number;
}

/** Events after which an animal is no longer in the trial. */
export function leavesTrial(kind: AnimalEventKind): boolean {
  return kind === 'died' || kind === 'sold' || kind === 'lost';
}
