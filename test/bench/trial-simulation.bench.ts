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
});
