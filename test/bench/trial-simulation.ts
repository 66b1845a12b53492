/*
 * Coverage and power of the trial room's intervals; trial-simulation.bench.ts prints them, one JSON line a figure. Over
 * trials with no effect the interval must hold the truth at its stated rate; with an effect, a difference must be found
 * as often as the plan promises, within the error of the simulation. The second block is the plan's own table: power
 * and smallest visible difference.
 */
import { smallestVisibleDifference, twoSampleTPower } from '../../src/core/trial/power.js';
import { coverageAndPowerTable } from '../support/simulated-trials.js';
import { DEFAULT_DAILY_GAIN_SPREAD } from '../../src/core/trial/trial.data.js';

const KG_PER_LB = 0.45359237;
const SEED = '20261125';
const CONFIDENCE = 0.95;
const POWER = 0.8;
const sdKgPerDay = DEFAULT_DAILY_GAIN_SPREAD.sdKgPerDay;

export type SimulationFigure = Record<string, string | number>;

export function trialSimulationFigures(trials: number): SimulationFigure[] {
  const figures: SimulationFigure[] = [];
  const say = (figure: SimulationFigure): void => void figures.push(figure);
  if (!Number.isInteger(trials) || trials < 1) throw new RangeError('The number of trials is a whole number from 1');
  const scenarios = [3, 4, 6, 10, 20, 40].flatMap((perArm) =>
    [0, 0.25 * KG_PER_LB, 0.5 * KG_PER_LB].map((trueDifferenceKgPerDay) => ({
      perArm,
      trueDifferenceKgPerDay,
      sdKgPerDay,
      gainPerStartWeightSd: 0.4 * sdKgPerDay,
    })),
  );
  for (const row of coverageAndPowerTable({ scenarios, trials, confidence: CONFIDENCE, seed: SEED })) {
    const errors = (share: number, expected: number, error: number): number =>
      error === 0 ? 0 : Number(((share - expected) / error).toFixed(2));
    say({
      figure: 'simulated',
      method: row.method,
      headPerArm: row.perArm,
      trueDifferenceLbPerDay: Number((row.trueDifferenceKgPerDay / KG_PER_LB).toFixed(3)),
      sdLbPerDay: Number((row.sdKgPerDay / KG_PER_LB).toFixed(3)),
      trials: row.trials,
      seed: SEED,
      confidence: row.confidence,
      coverage: row.coverage,
      coverageAwayInStandardErrors: errors(row.coverage, row.confidence, row.monteCarloError.coverage),
      found: row.foundDifference,
      planned: Number(row.planned.toFixed(4)),
      foundAwayInStandardErrors: errors(row.foundDifference, row.planned, row.monteCarloError.foundDifference),
    });
  }
  for (const headPerArm of [10, 20, 40, 80, 100]) {
    const spread = { perArm: headPerArm, sd: sdKgPerDay, alpha: 1 - CONFIDENCE };
    say({
      figure: 'planned',
      headPerArm,
      sdLbPerDay: Number((sdKgPerDay / KG_PER_LB).toFixed(3)),
      power: POWER,
      smallestVisibleLbPerDay: Number((smallestVisibleDifference({ ...spread, power: POWER }) / KG_PER_LB).toFixed(3)),
      powerAtQuarterPound: Number(twoSampleTPower({ ...spread, difference: 0.25 * KG_PER_LB }).toFixed(4)),
      powerAtHalfPound: Number(twoSampleTPower({ ...spread, difference: 0.5 * KG_PER_LB }).toFixed(4)),
      powerAtSevenTenths: Number(twoSampleTPower({ ...spread, difference: 0.7 * KG_PER_LB }).toFixed(4)),
    });
  }
  return figures;
}
