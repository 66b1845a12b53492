import { z } from 'zod';
import { rohweder1978RelativeFeedValue } from '../../core/forage/forage-index.js';
import { type Calculation, calculation } from './calculation.js';

const forageValue = calculation({
  name: 'forage-value', family: 'forage', summary: 'Relative feed value of a hay from its fibre',
  source: [{ formula: 'DDM = 88.9 − 0.779·ADF; DMI = 120/NDF; RFV = DDM·DMI/1.29', author: 'Rohweder, Barnes & Jorgensen', year: 1978, where: 'J. Anim. Sci. 47:747-759' }],
  body: z.strictObject({
    acidDetergentFiberPercent: z.number().gt(0).max(75).describe('ADF, % of dry matter'), neutralDetergentFiberPercent: z.number().gt(0).max(95).describe('NDF, % of dry matter'),
  }),
  answer: {
    relativeFeedValue: z.number().describe('RFV, an index: full-bloom alfalfa is about 100'), digestibleDryMatterPercent: z.number().describe('DDM, % of dry matter'),
    dryMatterIntakePercentOfBodyWeight: z.number().describe('DMI, % of body weight a day'),
  },
  run: (body) => rohweder1978RelativeFeedValue(body),
});

export const FORAGE_CALCULATIONS: readonly Calculation[] = [forageValue];
