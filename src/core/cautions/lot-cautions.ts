import type { RaisedCaution } from './caution.js';
import { observationCautions, type ObservedLot } from './hay-observations.js';
import { labTestCautions, type LotTesting } from './lab-tests.js';

/** What the books know of lots besides what is in them. */
export interface LotsKnown {
  readonly testing?: readonly LotTesting[] | undefined;
  readonly observed?: readonly ObservedLot[] | undefined;
}

/** The cautions that lots carry wherever they are fed: how each was tested, and what was seen of it. */
export function lotCautions({ testing = [], observed = [] }: LotsKnown): RaisedCaution[] {
  return [...testing.flatMap((lot) => labTestCautions(lot)), ...observed.flatMap((lot) => observationCautions(lot))];
}
