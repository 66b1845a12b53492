import { FEED_GROUP_CODES } from '../../core/nutrients/feed-groups.data.js';
import { z } from 'zod';
import { asFedWeight, dryMatterWeight, toAsReceivedBasis, toDryMatterBasis } from '../../core/forage/basis.js';
import { nrc2000EnergyFromTdn, zinn1998NetEnergyGainFromMaintenance } from '../../core/forage/energy-from-tdn.js';
import type { ForageAnalysis, ForageAnalysisField } from '../../core/forage/forage-analysis.js';
import {
  mooreUndersander2002GrassIntake,
  mooreUndersander2002LegumeIntake,
  mooreUndersander2002RelativeForageQuality,
  rohweder1978RelativeFeedValue,
} from '../../core/forage/forage-index.js';
import { usdaAlfalfaGrade, usdaGrassGrade } from '../../core/forage/hay-grade.js';
import { checkLabTest } from '../../core/forage/lab-test-plausibility.js';
import { FEED_VALUES } from '../../core/feeds/feed-values.data.js';
import { BOOK_VALUES } from '../../core/feeds/book-values.data.js';
import { estimateTdn, TDN_METHODS, type TdnEstimate, type TdnMethod } from '../../core/forage/tdn-estimate.js';
import { dietEnergy } from '../../core/requirements/diet-energy.js';
import { decimalFromFloat } from '../../core/units/decimal.js';
import { ruleBroken } from '../../platform/http/problem.js';
import { type Calculation, calculation, type Source } from './calculation.js';
import {
  analysisIn,
  analysisOnDryMatterIn,
  basisIn,
  concentrationsOut,
  familyIn,
  toAnalysis,
  toAnalysisOnDryMatter,
  analysisAnswer,
} from './forage-analysis.schema.js';
import {
  accepted,
  dryMatterPercent,
  energyIn,
  energyUnit,
  figure,
  figureOut,
  massIn,
  massOut,
  noted,
  percent,
  present,
  tidy,
  tidyOrNull,
  toMass,
  toMcalPerKg,
  under,
  warnings,
  formatMass,
} from './quantities.js';

const ROHWEDER: Source = {
  formula: 'DDM = 88.9 − 0.779·ADF; DMI = 120/NDF; RFV = DDM·DMI/1.29',
  author: 'Rohweder, Barnes & Jorgensen',
  year: 1978,
  where: 'J. Anim. Sci. 47:747-759',
};
const MOORE: Source = {
  formula: 'RFQ = DMI·TDN/1.23',
  author: 'Moore & Undersander',
  year: 2002,
  where: 'Florida Ruminant Nutrition Symposium; University of Wisconsin Extension',
};
const ENERGY: Source = {
  formula:
    'DE = 4.409·TDN; ME = 0.82·DE; NEm = 1.37·ME − 0.138·ME² + 0.0105·ME³ − 1.12; NEg = 1.42·ME ' +
    '− 0.174·ME² + 0.0122·ME³ − 1.65',
  author: 'National Research Council, after Garrett (1980)',
  year: 2000,
  where: 'Nutrient Requirements of Beef Cattle, 7th rev. ed., Update 2000',
};
const CHECKS: Source = {
  formula: 'Impossible values are refused, unlikely ones raise a warning',
  author: 'Limits by field',
  year: null,
  where: 'each warning names its own',
};

/** Judges fibers like a lab test of these alone: the impossible is refused, the unlikely comes back as warnings. */
function checkedFibers(fibers: { acidDetergentFiberPercent: number; neutralDetergentFiberPercent: number }) {
  return accepted(
    checkLabTest({
      analysis: toAnalysisOnDryMatter(fibers as z.output<typeof analysisOnDryMatterIn>),
      basis: 'dry-matter',
    }),
  ).value.warnings;
}

const forageValue = calculation({
  name: 'forage-value',
  family: 'forage',
  summary: 'Relative feed value of a hay from its fiber',
  description:
    'Nothing is rounded along the way: printed tables that round DDM and DMI first read up to two points lower.',
  source: [ROHWEDER],
  body: z.strictObject({
    acidDetergentFiberPercent: z.number().gt(0).max(100).describe('ADF, % of dry matter'),
    neutralDetergentFiberPercent: z.number().gt(0).max(100).describe('NDF, % of dry matter'),
  }),
  answer: {
    relativeFeedValue: z.number().describe('RFV, an index: full-bloom alfalfa is about 100'),
    digestibleDryMatterPercent: z.number().describe('DDM, % of dry matter'),
    dryMatterIntakePercentOfBodyWeight: z.number().describe('DMI, % of body weight per day'),
    warnings,
  },
  run: (body) => {
    const found = checkedFibers(body);
    const { relativeFeedValue, digestibleDryMatterPercent, dryMatterIntakePercentOfBodyWeight } =
      rohweder1978RelativeFeedValue(body);
    return {
      relativeFeedValue: tidy(relativeFeedValue),
      digestibleDryMatterPercent: tidy(digestibleDryMatterPercent),
      dryMatterIntakePercentOfBodyWeight: tidy(dryMatterIntakePercentOfBodyWeight),
      warnings: found.map(noted),
    };
  },
});

const tdnIn = z.number().gt(0).max(100).describe('TDN, % of dry matter');
const relativeForageQuality = calculation({
  name: 'relative-forage-quality',
  family: 'forage',
  summary: 'Relative forage quality from intake and TDN',
  source: [
    MOORE,
    {
      formula: 'Legumes: DMI = 120/NDF + (NDFD48 − 45)·0.374/1350·100. Grasses: a quadratic of CP, TDN and ADF',
      author: 'Moore & Undersander',
      year: 2002,
      where: 'coefficients from memory',
    },
  ],
  body: z
    .discriminatedUnion('intakeFrom', [
      z.strictObject({
        intakeFrom: z.literal('given'),
        dryMatterIntakePercentOfBodyWeight: z
          .number()
          .gt(0)
          .max(8)
          .describe('Dry matter intake, % of body weight per day'),
        totalDigestibleNutrientsPercent: tdnIn,
      }),
      z.strictObject({
        intakeFrom: z.literal('legume-equation'),
        neutralDetergentFiberPercent: z.number().gt(0).max(95).describe('NDF, % of dry matter'),
        fiberDigestibility48hPercentOfNdf: percent('NDF digestibility in 48 hours, of the NDF'),
        totalDigestibleNutrientsPercent: tdnIn,
      }),
      z.strictObject({
        intakeFrom: z.literal('grass-equation'),
        crudeProteinPercent: percent('Crude protein, of dry matter', { to: 40 }),
        acidDetergentFiberPercent: percent('ADF, of dry matter', { from: 5, to: 75 }),
        totalDigestibleNutrientsPercent: tdnIn,
      }),
    ])
    .describe('Intake as given, or by the equation for legumes or for grasses'),
  answer: {
    relativeForageQuality: z.number().describe('Relative forage quality (RFQ), an index without a unit'),
    dryMatterIntakePercentOfBodyWeight: z.number().describe('DMI, % of body weight per day'),
    totalDigestibleNutrientsPercent: z.number().describe('TDN, % of dry matter'),
  },
  run: (body) => {
    const { totalDigestibleNutrientsPercent } = body;
    const { dryMatterIntakePercentOfBodyWeight } =
      body.intakeFrom === 'given'
        ? body
        : body.intakeFrom === 'legume-equation'
          ? mooreUndersander2002LegumeIntake(body)
          : mooreUndersander2002GrassIntake(body);
    if (!(dryMatterIntakePercentOfBodyWeight > 0)) {
      throw ruleBroken(
        '#/intakeFrom',
        'outside-the-equation',
        body.intakeFrom,
        'values for which the equation gives an intake above 0',
        `The ${body.intakeFrom} gives an intake of ${tidy(dryMatterIntakePercentOfBodyWeight)} % of body weight.`,
      );
    }
    const { relativeForageQuality: index } = mooreUndersander2002RelativeForageQuality({
      dryMatterIntakePercentOfBodyWeight,
      totalDigestibleNutrientsPercent,
    });
    return {
      relativeForageQuality: tidy(index),
      dryMatterIntakePercentOfBodyWeight: tidy(dryMatterIntakePercentOfBodyWeight),
      totalDigestibleNutrientsPercent,
    };
  },
});

const energyFromTdn = calculation({
  name: 'energy-from-tdn',
  family: 'forage',
  summary: 'Digestible, metabolizable and net energy of a feed',
  description: 'Worked out from TDN, or backward from metabolizable or net energy.',
  source: [
    ENERGY,
    {
      formula: 'NEg = 0.877·NEm − 0.41, beside the cubic',
      author: 'Zinn & Shen',
      year: 1998,
      where: 'in J. Anim. Sci. 86:2680 (2008)',
    },
  ],
  body: z
    .strictObject({
      totalDigestibleNutrientsPercent: z.number().gt(20).max(100).optional().describe('TDN, % of dry matter'),
      metabolizableEnergy: energyIn('Metabolizable energy (ME)').optional(),
      netEnergyMaintenance: energyIn('Net energy for maintenance (NEm)').optional(),
      unit: energyUnit.default('Mcal/kg'),
    })
    .refine(
      (body) =>
        [body.totalDigestibleNutrientsPercent, body.metabolizableEnergy, body.netEnergyMaintenance].filter(
          (one) => one !== undefined,
        ).length === 1,
      {
        path: ['totalDigestibleNutrientsPercent'],
        message: 'Give one of totalDigestibleNutrientsPercent, metabolizableEnergy and netEnergyMaintenance',
      },
    ),
  answer: {
    totalDigestibleNutrientsPercent: z.number().describe('TDN, % of dry matter'),
    digestibleEnergy: figureOut.describe('Digestible energy (DE) of the dry matter'),
    metabolizableEnergy: figureOut.describe('Metabolizable energy (ME) of the dry matter'),
    netEnergyMaintenance: figureOut.describe('Net energy for maintenance (NEm) of the dry matter'),
    netEnergyGain: figureOut.describe('Net energy for gain (NEg) of the dry matter'),
    netEnergyGainFromMaintenance: figureOut.describe('NEg from NEm by the straight line'),
    efficiencyOfMaintenance: z.number().describe('Efficiency of maintenance km: NEm over ME, 0 to 1'),
  },
  run: ({ totalDigestibleNutrientsPercent, metabolizableEnergy, netEnergyMaintenance, unit }) => {
    const energy = dietEnergy(
      present({
        totalDigestibleNutrientsPercent,
        metabolizableEnergyMcalPerKg: metabolizableEnergy && toMcalPerKg(metabolizableEnergy),
        netEnergyMaintenanceMcalPerKg: netEnergyMaintenance && toMcalPerKg(netEnergyMaintenance),
      }),
    );
    if (
      energy === undefined ||
      !(energy.netEnergyMaintenanceMcalPerKg > 0) ||
      !(energy.metabolizableEnergyMcalPerKg > 0)
    )
      throw ruleBroken(
        '#',
        'outside-the-equation',
        null,
        'a feed with net energy above 0',
        'The equations give this feed no net energy for maintenance.',
      );
    const system = unit === 'Mcal/lb' ? 'us' : 'metric';
    const energyDensity = (value: number) => figure(value, 'Mcal/kg', system);
    const { digestibleEnergyMcalPerKg } = nrc2000EnergyFromTdn(energy);
    return {
      totalDigestibleNutrientsPercent: tidy(energy.totalDigestibleNutrientsPercent),
      digestibleEnergy: energyDensity(digestibleEnergyMcalPerKg),
      metabolizableEnergy: energyDensity(energy.metabolizableEnergyMcalPerKg),
      netEnergyMaintenance: energyDensity(energy.netEnergyMaintenanceMcalPerKg),
      netEnergyGain: energyDensity(energy.netEnergyGainMcalPerKg),
      netEnergyGainFromMaintenance: energyDensity(zinn1998NetEnergyGainFromMaintenance(energy).netEnergyGainMcalPerKg),
      efficiencyOfMaintenance: tidy(energy.efficiencyOfMaintenance),
    };
  },
});

/** The value that a method cannot do without; if it is missing, the next method is used. */
const RESTS_ON: Readonly<Record<TdnMethod, ForageAnalysisField>> = {
  'as-reported': 'totalDigestibleNutrientsPercent',
  'summative-legume': 'fiberDigestibility48hPercentOfNdf',
  'summative-grass': 'fiberDigestibility48hPercentOfNdf',
  lignin: 'ligninPercent',
  'adf-only': 'acidDetergentFiberPercent',
};

const tdnEstimate = calculation({
  name: 'tdn-estimate',
  family: 'forage',
  summary: 'TDN by every published equation that the analysis allows, best first',
  source: [
    {
      formula:
        'Legumes: 0.93·CP + 2.25·0.97·FA + NDFn·NDFD/100 + 0.98·NFC − 7; grasses: 0.87·CP + 2.25·0.97·FA + ' +
        'NDFn·NDFDp/100 + 0.98·NFC − 10',
      author: 'Moore & Undersander',
      year: 2002,
      where: 'University of Georgia forage glossary',
    },
    {
      formula: 'From lignin',
      author: 'Weiss, Conrad & St. Pierre',
      year: 1992,
      where: 'Anim. Feed Sci. Technol. 39:95-110 (from memory)',
    },
    {
      formula: '82.38 − 0.7515·ADF',
      author: 'Bath & Marble, University of California',
      year: 1989,
      where: 'made for alfalfa',
    },
  ],
  body: z.strictObject({ family: familyIn, analysis: analysisOnDryMatterIn }),
  answer: {
    totalDigestibleNutrientsPercent: z.number().describe('TDN by the best method, % of dry matter'),
    method: z.enum(TDN_METHODS).describe('The best method that the analysis allows'),
    methods: z
      .array(
        z.object({
          method: z.enum(TDN_METHODS).describe('Method by which it was worked out'),
          totalDigestibleNutrientsPercent: z.number().describe('TDN, % of dry matter'),
          source: z.string().describe('Where it was published'),
          assumptions: z.array(z.string()).describe('What was assumed where the test lacks a value'),
          warnings,
        }),
      )
      .describe('Each method that the analysis allows, best first'),
    warnings,
  },
  run: ({ family, analysis }) => {
    const checked = accepted(
      checkLabTest({ analysis: toAnalysisOnDryMatter(analysis), basis: 'dry-matter' }),
      under('analysis'),
    ).value;
    const found: TdnEstimate[] = [];
    let left: ForageAnalysis = checked.analysis;
    for (
      let estimate = estimateTdn({ analysis: left, family });
      estimate !== undefined;
      estimate = estimateTdn({ analysis: left, family })
    ) {
      found.push(estimate);
      const { [RESTS_ON[estimate.method]]: _used, ...rest } = left;
      left = { ...rest, dryMatterPercent: left.dryMatterPercent };
    }
    const best = found[0];
    if (best === undefined)
      throw ruleBroken(
        '#/analysis',
        'no-equation-fits',
        null,
        'TDN, or ADF, or CP, NDF, ash and lignin or fiber digestibility',
        'No published equation can be used with these values.',
      );
    return {
      totalDigestibleNutrientsPercent: tidy(best.totalDigestibleNutrientsPercent),
      method: best.method,
      warnings: checked.warnings.map(noted),
      methods: found.map((one) => ({
        method: one.method,
        totalDigestibleNutrientsPercent: tidy(one.totalDigestibleNutrientsPercent),
        source: one.source,
        assumptions: [...one.assumptions],
        warnings: one.cautions.map(noted),
      })),
    };
  },
});

const dryMatterBasis = calculation({
  name: 'dry-matter-basis',
  family: 'forage',
  summary: 'Concentrations and a weight as received and in the dry matter',
  source: [
    {
      formula: 'in dry matter = as received ÷ (DM/100)',
      author: 'Arithmetic',
      year: null,
      where: 'definition of the basis',
    },
  ],
  body: z.strictObject({
    dryMatterPercent,
    from: basisIn.describe('Basis on which the values and the weight are given'),
    values: z
      .array(
        z.strictObject({
          name: z.string().trim().min(1).max(60).describe('Name of the value, repeated in the answer'),
          value: z.number().min(0).max(1e6).describe('Concentration, in any unit'),
        }),
      )
      .max(60)
      .default([]),
    weight: massIn.optional().describe('A weight, as fed or of dry matter'),
  }),
  answer: {
    dryMatterPercent: z.number().describe('Dry matter, % of the weight as fed'),
    values: z.array(
      z.object({
        name: z.string().describe('Name of the value, as given in the request'),
        asReceived: z.number().describe('As received, in the unit given'),
        inDryMatter: z.number().describe('In the dry matter, in the unit given'),
      }),
    ),
    weight: z
      .object({ asFed: massOut, dryMatter: massOut })
      .describe('The weight on both bases; null if none was given')
      .nullable(),
  },
  run: ({ dryMatterPercent: dm, from, values, weight }) => {
    const both = (value: number) =>
      from === 'as-received'
        ? { asReceived: value, inDryMatter: toDryMatterBasis({ asReceived: value, dryMatterPercent: dm }) }
        : { asReceived: toAsReceivedBasis({ dryMatterBasis: value, dryMatterPercent: dm }), inDryMatter: value };
    // The core gives the ratio for a unit weight, so that the weight itself stays an exact decimal.
    const ratio = decimalFromFloat(
      from === 'as-received'
        ? dryMatterWeight({ asFedWeight: 1, dryMatterPercent: dm })
        : asFedWeight({ dryMatterWeight: 1, dryMatterPercent: dm }),
      15,
    );
    return {
      dryMatterPercent: dm,
      values: values.map(({ name, value }) => ({
        name,
        asReceived: tidy(both(value).asReceived),
        inDryMatter: tidy(both(value).inDryMatter),
      })),
      weight:
        weight === undefined
          ? null
          : from === 'as-received'
            ? {
                asFed: formatMass(toMass(weight), weight.unit),
                dryMatter: formatMass(toMass(weight).times(ratio), weight.unit),
              }
            : {
                asFed: formatMass(toMass(weight).times(ratio), weight.unit),
                dryMatter: formatMass(toMass(weight), weight.unit),
              },
    };
  },
});

const hayGrade = calculation({
  name: 'hay-grade',
  family: 'forage',
  summary: 'Market grade of alfalfa or grass hay',
  description: 'Each measured value is also graded by itself; market guides call their figures approximate.',
  source: [
    {
      formula: 'Bands of ADF, NDF, RFV, TDN and CP',
      author: 'USDA Agricultural Marketing Service',
      year: 2003,
      where: 'hay quality designations, as given by Montana State University Extension',
    },
  ],
  body: z.strictObject({
    hay: z.enum(['alfalfa', 'grass']).describe('Alfalfa with at most 10 % grass, or grass hay'),
    analysis: analysisOnDryMatterIn,
  }),
  answer: {
    grade: z.string().describe('Grade of the hay by the published table'),
    decidedBy: z.string().describe('The value that decided the grade'),
    findingsAgree: z.boolean().describe('Whether every value gives the same grade'),
    findings: z.array(
      z.object({
        criterion: z.string().describe('The value that is graded'),
        value: z.number().describe('The figure that was measured'),
        grade: z.string().describe('Grade by this value alone'),
      }),
    ),
  },
  run: ({ hay, analysis }) => {
    const checked = accepted(
      checkLabTest({ analysis: toAnalysisOnDryMatter(analysis), basis: 'dry-matter' }),
      under('analysis'),
    ).value;
    const grade = hay === 'alfalfa' ? usdaAlfalfaGrade(checked.analysis) : usdaGrassGrade(checked.analysis);
    if (grade === undefined)
      throw ruleBroken(
        '#/analysis',
        'nothing-to-grade-by',
        null,
        hay === 'grass' ? 'crude protein' : 'ADF, NDF, RFV, TDN or crude protein',
        'None of the values that decide a grade was measured.',
      );
    return {
      grade: grade.grade,
      decidedBy: grade.decidedBy,
      findingsAgree: grade.findingsAgree,
      findings: grade.findings.map((one) => ({ criterion: one.criterion, value: tidy(one.value), grade: one.grade })),
    };
  },
});

const labTestPlausibility = calculation({
  name: 'lab-test-plausibility',
  family: 'forage',
  summary: 'Whether a lab test is plausible, and what follows from it',
  description:
    'Impossible values are refused, with every fault listed; unlikely ones come back as warnings beside the ' +
    'values in the dry matter.',
  source: [CHECKS, ROHWEDER],
  body: z.strictObject({
    basis: basisIn,
    group: z.enum(FEED_GROUP_CODES).default('hay').describe('Kind of feed, by whose limits it is checked'),
    analysis: analysisIn,
  }),
  answer: {
    inDryMatter: concentrationsOut,
    relativeFeedValue: z.number().describe('RFV from ADF and NDF; null where either is missing').nullable(),
    warnings,
  },
  run: ({ basis, group, analysis }) => {
    const checked = accepted(checkLabTest({ analysis: toAnalysis(analysis), basis, group }), under('analysis')).value;
    const { acidDetergentFiberPercent: adf, neutralDetergentFiberPercent: ndf } = checked.analysis;
    const index =
      adf === undefined || ndf === undefined || ndf <= 0
        ? null
        : rohweder1978RelativeFeedValue({ acidDetergentFiberPercent: adf, neutralDetergentFiberPercent: ndf })
            .relativeFeedValue;
    return {
      inDryMatter: Object.fromEntries(
        Object.entries(analysisAnswer(checked.analysis)).map(([field, value]) => [field, tidy(value)]),
      ),
      relativeFeedValue: tidyOrNull(index),
      warnings: checked.warnings.map(noted),
    };
  },
});

const bookValues = calculation({
  name: 'book-values',
  family: 'forage',
  summary: 'Typical composition of hays, straws and other feeds, for lots without a test',
  source: [
    {
      formula: 'Tables of feed composition',
      author: 'National Research Council and others',
      year: null,
      where: 'each row names its own',
    },
  ],
  answer: {
    items: z.array(
      z.object({
        key: z.string().describe('Key of the row, to be named in a request'),
        name: z.string().describe('Name of the hay'),
        family: familyIn,
        maturity: z.string().describe('Stage of growth at cutting'),
        inDryMatter: concentrationsOut,
        confirmed: z.array(z.string()).describe('Fields checked against the source; the others are from memory'),
        source: z.string().describe('Where the row comes from'),
      }),
    ),
    feeds: z
      .array(
        z.object({
          key: z.string().describe('Key of the row, and the kind of a lot of it'),
          name: z.string().describe('Name of the feed'),
          group: z.enum(FEED_GROUP_CODES).describe('Kind of feed, by whose limits a test of it is checked'),
          inDryMatter: concentrationsOut,
          confirmed: z.array(z.string()).describe('Fields checked against the source; the others are from memory'),
          source: z.string().describe('Where the row comes from'),
        }),
      )
      .describe('Feeds beside hay'),
  },
  run: () => ({
    items: BOOK_VALUES.map(({ key, name, family, maturity, analysis, confirmedFields, source }) => ({
      key,
      name,
      family,
      maturity,
      inDryMatter: analysisAnswer(analysis),
      confirmed: [...confirmedFields],
      source,
    })),
    feeds: FEED_VALUES.map(({ key, name, group, analysis, confirmedFields, source }) => ({
      key,
      name,
      group,
      inDryMatter: analysisAnswer(analysis),
      confirmed: [...confirmedFields],
      source,
    })),
  }),
});

export const FORAGE_CALCULATIONS: readonly Calculation[] = [
  forageValue,
  relativeForageQuality,
  energyFromTdn,
  tdnEstimate,
  dryMatterBasis,
  hayGrade,
  labTestPlausibility,
  bookValues,
];
