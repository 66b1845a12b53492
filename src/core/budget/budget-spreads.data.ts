/**
 * How far the figures of a hay budget may be off: one standard deviation as a share of the figure. Losses that have
 * bounds of their own (published figures, an interval of the ranch's measurements) use those instead.
 */
export const BUDGET_SPREADS = {
  intakeOfAll: {
    share: 0.07,
    what: 'intake of all herds together: the equation, the actual hay, this winter',
    source: 'common practice, no source',
  },
  intakeOfHerd: {
    share: 0.05,
    what: 'intake of one herd against the others: weight, condition, who eats what',
    source: 'common practice, no source',
  },
  cold: {
    share: 0.03,
    what: 'intake over a winter that is colder or milder than usual',
    source: 'steps of 3 to 16 % in NRC 2000 (from memory); the share is common practice, no source',
  },
  wasteWithoutBounds: {
    share: 0.25,
    what: 'feeding waste given as one figure without bounds',
    source: 'common practice, no source',
  },
  storageWithoutBounds: {
    share: 0.25,
    what: 'storage loss given as one figure without bounds',
    source: 'common practice, no source',
  },
  weightNotKnown: {
    share: 0.05,
    what: 'a balance from bales of which too few were weighed to know their spread',
    source: 'common practice, no source',
  },
  weightByScale: {
    share: 0.01,
    what: 'a balance from scale tickets, net weights or transfers',
    source: 'common practice, no source',
  },
} as const;

export const LIKELY_RANGE = { percent: 90, draws: 400, seed: '20261125' } as const;
