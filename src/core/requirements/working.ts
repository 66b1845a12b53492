import type { Words } from '../units/wording.js';
import type { RequirementFamily, RequirementNote, WorkingStep } from './requirement-set.js';

export const NRC = 'NRC 2000';

/** Collects the working of one requirement set: steps by family and notes, each in the order they were first made. */
export class Working {
  readonly parts: Partial<Record<RequirementFamily, WorkingStep[]>> = {};
  readonly notes: RequirementNote[] = [];

  step(family: RequirementFamily, name: string, value: number, unit: string, source: string): void {
    (this.parts[family] ??= []).push({ name, value, unit, source });
  }

  /** Said once, however often its reason is met. */
  note(code: string, message: Words, source: string): void {
    if (!this.notes.some((known) => known.code === code)) this.notes.push({ code, message, source });
  }
}
