import { designFigures } from './simulated-designs.js';
import { trialSimulationFigures } from './trial-simulation.js';

jest.setTimeout(1_200_000);

describe('trial simulation', () => {
  it('covers at its stated rate and finds as often as planned, within four standard errors', () => {
    const figures = trialSimulationFigures(Number(process.env['TRIALS'] ?? '10000'));
    for (const figure of figures) process.stdout.write(`${JSON.stringify(figure)}\n`);
    const simulated = figures.filter((figure) => figure['figure'] === 'simulated');
    expect(simulated).toHaveLength(36);
    for (const figure of simulated) {
      expect(Math.abs(Number(figure['coverageAwayInStandardErrors']))).toBeLessThan(4);
      expect(Math.abs(Number(figure['foundAwayInStandardErrors']))).toBeLessThan(4);
    }
  });

  // Two-sided shares within four standard errors; false alarms and one herd an arm, from above alone.
  it('judges each design at its size, coverage and planned power, with deaths and herds that differ', () => {
    const trials = Number(process.env['DESIGN_TRIALS'] ?? '50');
    for (const figure of designFigures(trials, '20261130')) {
      process.stdout.write(`${JSON.stringify(figure)}\n`);
      const error = (share: number) => 4 * Math.sqrt((share * (1 - share)) / trials) + 1e-9;
      const { size, coverage, power, planned } = figure;
      expect(size).toBeLessThan(0.05 + error(0.05));
      if (coverage === null) expect([size, power]).toEqual([0, 0]);
      else expect(Math.abs(coverage - 0.95)).toBeLessThan(error(0.95));
      if (planned !== null) expect(Math.abs(power - planned)).toBeLessThan(error(planned) + 0.01);
    }
  });
});
