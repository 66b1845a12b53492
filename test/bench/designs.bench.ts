import { designFigures } from './simulated-designs.js';

// Two-sided shares within four standard errors; false alarms and one herd an arm, from above alone.
it('judges each design at its size, coverage and planned power, with deaths and herds that differ', () => {
  const trials = Number(process.env['DESIGN_TRIALS'] ?? '50');
  const began = Date.now();
  const figures = designFigures(trials, '20261130', (figure) => {
    process.stdout.write(`${JSON.stringify({ ...figure, seconds: Math.round((Date.now() - began) / 1000) })}\n`);
  });
  for (const { size, coverage, power, planned } of figures) {
    const error = (share: number) => 4 * Math.sqrt((share * (1 - share)) / trials) + 1e-9;
    expect(size).toBeLessThan(0.05 + error(0.05));
    if (coverage === null) expect([size, power]).toEqual([0, 0]);
    else expect(Math.abs(coverage - 0.95)).toBeLessThan(error(0.95));
    if (planned !== null) expect(Math.abs(power - planned)).toBeLessThan(error(planned) + 0.01);
  }
});
