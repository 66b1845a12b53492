import { unitOf } from '../../platform/wire/unit.schema.js';
import { systemOf, toBaseUnit, type Unit } from '../../core/units/unit.js';
import { z } from 'zod';
import { CAUTION_SOURCES } from '../../core/cautions/caution-sources.data.js';
import { worstFirst, type RaisedCaution } from '../../core/cautions/caution.js';
import {
  DEFAULT_GUIDES,
  HEATING_GUIDES,
  type HeatingGuideKey,
  MOISTURE_GUIDES,
  type MoistureGuideKey,
  NITRATE_GUIDES,
  type NitrateGuideKey,
  STACKED_BALE_FORMS,
} from '../../core/cautions/guides.data.js';
import {
  heatingAction,
  prussicAcidCautions,
  spoilageCautions,
  stackingMoistureCautions,
  stackTemperatureCautions,
} from '../../core/cautions/hay-in-store.js';
import { labTestCautions } from '../../core/cautions/lab-tests.js';
import {
  mineralCautions,
  sulfurFromWater,
  sulfurMaximum,
  tetanyRatio,
  totalSulfur,
} from '../../core/cautions/minerals.js';
import { nitrateBand, nitrateCautions } from '../../core/cautions/nitrate.js';
import { dissolvedSolidsBand, waterCautions } from '../../core/cautions/water.js';
import { toDryMatterBasis } from '../../core/forage/basis.js';
import { isNitrateOfAnotherUnit, NITRATE_OF_ANOTHER_UNIT } from '../../core/forage/nitrate-unit.data.js';
import { convertNitrate, NITRATE_FORMS, type NitrateForm, wholeRationNitrate } from '../../core/forage/nitrate.js';
import { NUTRIENTS } from '../../core/nutrients/nutrients.data.js';
import { ruleBroken } from '../../platform/http/problem.js';
import { cautionOut, cautionAnswer } from '../../records/kit/caution.schema.js';
import { type Calculation, calculation, type Source } from './calculation.js';
import { basisIn } from './forage-analysis.schema.js';
import {
  dryMatterPercent,
  figure,
  figureOut,
  figureOrNull,
  kilograms,
  massIn,
  percent,
  temperatureIn,
  temperatureOut,
  tidy,
  tidyOrNull,
  toCelsius,
  toLiters,
  waterVolumeIn,
  formatTemperature,
} from './quantities.js';

const cautions = z
  .array(cautionOut)
  .describe('Worst first; each defers to a veterinarian, a licensed nutritionist, the lab or local codes');
/** In the units that were typed; cautions without a quantity read the same in both systems. */
const written = (raised: readonly RaisedCaution[], typedIn: Unit = 'lb') =>
  worstFirst(raised).map((one) => cautionAnswer(one, systemOf(typedIn)));
const name = z.string().trim().min(1).max(80);
const keysOf = <Key extends string>(guides: Readonly<Record<Key, unknown>>) => Object.keys(guides) as [Key, ...Key[]];

const CHEMISTRY: Source = {
  formula: 'NO3-N : NO3 : KNO3 by atomic masses',
  author: 'IUPAC',
  year: null,
  where: 'N 14.007, O 15.999, K 39.098',
};
const nitrateValue = z.strictObject({
  value: z.number().min(0).max(1e6).describe('The figure as the lab printed it'),
  unit: unitOf('concentration'),
  form: z.enum(NITRATE_FORMS).describe('How the lab reports nitrate'),
});
const nitrateGuide = z.enum(keysOf(NITRATE_GUIDES)).describe('Published guide to follow');
type GivenNitrate = z.infer<typeof nitrateValue>;
/** @throws Problem where all of the hay would be nitrate and more. */
function nitrogenPpm({ value, unit, form }: GivenNitrate, pointer: string): number {
  const ppm = convertNitrate({ value: toBaseUnit(value, unit), from: form, to: 'NO3-N' }).value;
  const [, most] = NUTRIENTS.nitrate.lab.limits.hay.possible;
  if (ppm > most)
    throw ruleBroken(
      `${pointer}/value`,
      'nitrate-not-possible',
      `${value} ${unit} ${form}`,
      `${most} ppm NO3-N at most`,
      `${tidy(ppm)} ppm NO3-N is more than any hay holds: check the unit.`,
    );
  return ppm;
}
const bandOut = z.object({
  guide: nitrateGuide,
  guideName: z.string().describe('Name of the published guide'),
  value: z.number().describe("The nitrate in the guide's unit"),
  unit: z.string().describe("The guide's unit"),
  label: z.string().describe('What the guide says'),
  bandFrom: z.number().describe('Lower edge of the band'),
  bandUpTo: z.number().describe('Upper edge of the band; null for the last band').nullable(),
  maxPercentOfRationPregnant: z
    .number()
    .describe('Most of the ration for pregnant cattle, %; null where the guide gives none')
    .nullable(),
  maxPercentOfRationOther: z
    .number()
    .describe('Most of the ration for other cattle, %; null where the guide gives none')
    .nullable(),
});
const bandOf = (guide: NitrateGuideKey, nitrateNitrogenPpmDm: number): z.input<typeof bandOut> => {
  const band = nitrateBand({ guide, nitrateNitrogenPpmDm });
  const inPercent = (share: number | null) => (share === null ? null : tidy(share * 100));
  return {
    guide,
    guideName: band.guideName,
    value: tidy(band.value),
    unit: band.unit,
    label: band.label,
    bandFrom: band.bandFrom,
    bandUpTo: band.bandUpTo,
    maxPercentOfRationPregnant: inPercent(band.maxSharePregnant),
    maxPercentOfRationOther: inPercent(band.maxShareOther),
  };
};

const nitrate = calculation({
  name: 'nitrate',
  family: 'forage',
  summary: 'Nitrate of a hay in every form, and what each published guide says about it',
  description: 'Guides disagree at the edges of their bands; all are shown, and the one followed is named.',
  source: [
    CHEMISTRY,
    {
      formula: 'Bands of nitrate nitrogen in dry matter',
      author: 'Clemson, New Mexico State and South Dakota State universities; Manitoba Agriculture; a laboratory guide',
      year: null,
      where: 'each guide is named',
    },
  ],
  body: z
    .strictObject({
      nitrate: nitrateValue,
      basis: basisIn.default('dry-matter'),
      dryMatterPercent: dryMatterPercent.optional(),
      guide: nitrateGuide.default(DEFAULT_GUIDES.nitrate),
      pregnant: z.boolean().default(false).describe('Whether the cattle are pregnant'),
      shareOfRationPercent: percent("Share of the ration's dry matter").default(100),
    })
    .refine((body) => body.basis === 'dry-matter' || body.dryMatterPercent !== undefined, {
      path: ['dryMatterPercent'],
      message: 'is needed where the nitrate is given as received',
    }),
  answer: {
    nitrateNitrogenPpm: z.number().describe('As NO3-N, ppm of dry matter'),
    nitratePpm: z.number().describe('As NO3, ppm of dry matter'),
    potassiumNitratePpm: z.number().describe('As KNO3, ppm of dry matter'),
    band: bandOut.describe('Band by the guide followed'),
    bands: z.array(bandOut).describe('What each published guide says about this figure'),
    cautions,
  },
  run: ({ nitrate: given, basis, dryMatterPercent: dm, guide, pregnant, shareOfRationPercent }) => {
    const asGiven = nitrogenPpm(given, '#/nitrate');
    // By itself such a figure would be called safe.
    if (isNitrateOfAnotherUnit(asGiven))
      throw ruleBroken(
        '#/nitrate/value',
        'nitrate-unit-unlikely',
        `${given.value} ${given.unit} ${given.form}`,
        `0, or ${NITRATE_OF_ANOTHER_UNIT.value} ${NITRATE_OF_ANOTHER_UNIT.unit} or more`,
        `${tidy(asGiven)} ppm NO3-N is less than forage holds: a lab prints such figures in percent. If the report ` +
          'says %, give it with unit "%".',
      );
    const ppm =
      basis === 'dry-matter' || dm === undefined
        ? asGiven
        : toDryMatterBasis({ asReceived: asGiven, dryMatterPercent: dm });
    const to = (form: NitrateForm) => tidy(convertNitrate({ value: ppm, from: 'NO3-N', to: form }).value);
    const raised = nitrateCautions({
      lots: [
        {
          name: 'This hay',
          shareOfRationDryMatter: shareOfRationPercent / 100,
          nitrateNitrogenPpmDm: ppm,
          restsOnBookValue: false,
          canGatherNitrate: true,
        },
      ],
      pregnant,
      guide,
    });
    return {
      nitrateNitrogenPpm: tidy(ppm),
      nitratePpm: to('NO3'),
      potassiumNitratePpm: to('KNO3'),
      band: bandOf(guide, ppm),
      bands: keysOf(NITRATE_GUIDES).map((key) => bandOf(key, ppm)),
      cautions: written(raised.cautions.filter(({ code }) => code === 'nitrate-single-hay')),
    };
  },
});

const rationNitrate = calculation({
  name: 'ration-nitrate',
  family: 'ration',
  summary: 'Nitrate of a whole ration, by dry matter',
  description:
    'Hays laid in layers may be eaten one at a time, so each is also judged by itself. Untested parts count as zero ' +
    'in the figure, which is then a minimum; so do parts given in a unit that they cannot be in.',
  source: [
    {
      formula: 'mean of the parts weighted by dry matter',
      author: 'Clemson University Agricultural Service Laboratory and others',
      year: null,
      where: 'the guide is named',
    },
    CHEMISTRY,
  ],
  body: z.strictObject({
    parts: z
      .array(
        z.strictObject({
          name: name.describe('Name of the hay'),
          dryMatter: massIn.describe('Dry matter per head per day'),
          nitrate: nitrateValue.optional(),
          canGatherNitrate: z
            .boolean()
            .default(false)
            .describe('True for cereal, sorghum, millet or stressed hay, which can accumulate nitrate'),
        }),
      )
      .min(1)
      .max(50),
    guide: nitrateGuide.default(DEFAULT_GUIDES.nitrate),
    pregnant: z.boolean().default(false).describe('Whether the cattle are pregnant'),
  }),
  answer: {
    nitrateNitrogenPpm: z
      .number()
      .describe('Of the whole ration, ppm NO3-N of dry matter; a minimum where parts are untested'),
    nitrateNitrogen: figureOut.describe('Nitrate nitrogen eaten per head per day'),
    dryMatter: figureOut,
    untested: z.array(
      z.object({
        name: z.string().describe('Name of the hay'),
        shareOfRationPercent: z.number().describe('Share of the dry matter, %'),
      }),
    ),
    band: bandOut.describe('Band by the guide followed; null while a part is untested').nullable(),
    cautions,
  },
  run: ({ parts, guide, pregnant }) => {
    const known = parts.map((part, place) => {
      const ppm = part.nitrate === undefined ? undefined : nitrogenPpm(part.nitrate, `#/parts/${place}/nitrate`);
      const ofAnotherUnitPpm = ppm !== undefined && isNitrateOfAnotherUnit(ppm) ? ppm : null;
      return {
        ...part,
        kg: kilograms(part.dryMatter),
        ppm: ofAnotherUnitPpm === null ? ppm : undefined,
        ofAnotherUnitPpm,
      };
    });
    const whole = wholeRationNitrate({
      parts: known.map(({ kg, ppm }, place) => ({ id: String(place), dryMatterKg: kg, nitrateNitrogenPpm: ppm })),
    });
    const raised = nitrateCautions({
      lots: known.map((part) => ({
        name: part.name,
        shareOfRationDryMatter: part.kg / whole.dryMatterKg,
        nitrateNitrogenPpmDm: part.ppm ?? null,
        ofAnotherUnitPpm: part.ofAnotherUnitPpm,
        restsOnBookValue: false,
        canGatherNitrate: part.canGatherNitrate,
      })),
      pregnant,
      guide,
    });
    const system = systemOf(parts[0]?.dryMatter.unit ?? 'kg');
    return {
      nitrateNitrogenPpm: tidy(whole.nitrateNitrogenPpm),
      nitrateNitrogen: figure(whole.nitrateNitrogenGPerDay, 'g/d', system),
      dryMatter: figure(whole.dryMatterKg, 'kg/d', system),
      untested: whole.untested.map(({ id, share }) => ({
        name: known[Number(id)]?.name ?? id,
        shareOfRationPercent: tidy(share * 100),
      })),
      band: whole.untested.length > 0 ? null : bandOf(guide, whole.nitrateNitrogenPpm),
      cautions: written(raised.cautions),
    };
  },
});

const tetany = calculation({
  name: 'tetany-ratio',
  family: 'ration',
  summary: 'K/(Ca+Mg) of a ration in equivalents, and the cautions that its minerals raise',
  source: [
    {
      formula: 'K/39.10 ÷ (Ca/20.04 + Mg/12.15); risk of grass tetany above 2.2',
      author: 'Rahman et al.',
      year: 2022,
      where: 'Open Access Library Journal 9:1-24',
    },
  ],
  body: z.strictObject({
    potassiumPercent: percent('Potassium, of dry matter', { to: 15 }),
    calciumPercent: percent('Calcium, of dry matter', { to: 20 }),
    magnesiumPercent: percent('Magnesium, of dry matter', { to: 10 }),
    phosphorusPercent: percent('Phosphorus, of dry matter', { to: 10 }).optional(),
    stage: z.enum(['growing', 'pregnant', 'early-milk', 'dry']).default('pregnant').describe('Stage of the cattle'),
  }),
  answer: {
    ratio: z
      .number()
      .describe('Ratio K/(Ca+Mg) in equivalents, a guide to grass tetany; null where it cannot be worked out')
      .nullable(),
    potassiumEquivalents: z.number().describe('Equivalents per 100 g of dry matter'),
    calciumEquivalents: z.number().describe('Equivalents per 100 g of dry matter'),
    magnesiumEquivalents: z.number().describe('Equivalents per 100 g of dry matter'),
    calciumToPhosphorus: z
      .number()
      .describe('Ratio of calcium to phosphorus; null where it cannot be worked out')
      .nullable(),
    cautions,
  },
  run: ({ stage, ...body }) => {
    const { ratio, potassiumEquivalents, calciumEquivalents, magnesiumEquivalents } = tetanyRatio(body);
    const raised = mineralCautions({
      stage,
      matureCow: stage !== 'growing',
      dryMatterKgPerDay: 1,
      forageShare: 1,
      calciumPercent: body.calciumPercent,
      phosphorusPercent: body.phosphorusPercent ?? null,
      magnesiumPercent: body.magnesiumPercent,
      potassiumPercent: body.potassiumPercent,
      sulfurPercent: null,
      sodiumPercent: null,
      sodiumNeedGPerDay: null,
      waterLPerDay: null,
      waterSulfateMgPerL: null,
      restsOnBookValue: false,
    });
    return {
      ratio: tidyOrNull(ratio),
      potassiumEquivalents: tidy(potassiumEquivalents),
      calciumEquivalents: tidy(calciumEquivalents),
      magnesiumEquivalents: tidy(magnesiumEquivalents),
      calciumToPhosphorus:
        body.phosphorusPercent === undefined || body.phosphorusPercent === 0
          ? null
          : tidy(body.calciumPercent / body.phosphorusPercent),
      cautions: written(raised),
    };
  },
});

const sulfurTotal = calculation({
  name: 'sulfur-total',
  family: 'ration',
  summary: 'Sulfur of feed and water together against the tolerated maximum',
  source: [
    {
      formula: 'sulfur = 0.334·sulfate; at most 0.30 % of dry matter, 0.50 % above 40 % forage',
      author: 'National Academies limits; Arthington, University of Florida',
      year: 2013,
      where: 'Ona Report, May 2013; the 0.50 % from memory',
    },
  ],
  body: z
    .strictObject({
      feed: z
        .strictObject({
          dryMatter: massIn.describe('Dry matter eaten per head per day'),
          sulfurPercent: percent('Sulfur, of dry matter', { to: 10 }),
          foragePercent: percent('Forage, of dry matter').default(100),
        })
        .optional(),
      water: z
        .strictObject({
          drunk: waterVolumeIn('Water drunk per head per day'),
          sulfateMgPerL: z.number().min(0).max(50_000).describe('Sulfate (SO4), mg/L, which is ppm'),
        })
        .optional(),
      matureCow: z.boolean().default(false).describe('Whether the cattle are mature cows'),
      limit: z
        .enum(['by-forage-level', 'single-0.40'])
        .default(DEFAULT_GUIDES.sulfurMaximum)
        .describe('Which published maximum to follow'),
    })
    .refine((body) => body.feed !== undefined || body.water !== undefined, {
      path: ['feed'],
      message: 'Give feed, water, or both',
    }),
  answer: {
    fromWater: figureOut.nullable(),
    fromFeed: figureOut.nullable(),
    total: figureOut.nullable().describe('Sulfur of feed and water together; null where the feed is not given'),
    percentOfDryMatter: z
      .number()
      .describe('Sulfur with that of the water, % of feed dry matter; null where the feed is not given')
      .nullable(),
    maximumPercent: z
      .number()
      .describe('Tolerated maximum, % of dry matter; null where the feed is not given')
      .nullable(),
    maximumSource: z.string().describe('Where the maximum comes from; null where the feed is not given').nullable(),
    cautions,
  },
  run: ({ feed, water, matureCow, limit }) => {
    const fromWater =
      water === undefined
        ? null
        : sulfurFromWater({ waterLPerDay: toLiters(water.drunk), sulfateMgPerL: water.sulfateMgPerL }).sulfurGPerDay;
    if (feed === undefined)
      return {
        fromWater: figureOrNull(fromWater, 'g/d', 'metric'),
        fromFeed: null,
        total: null,
        percentOfDryMatter: null,
        maximumPercent: null,
        maximumSource: null,
        cautions: [],
      };
    const ration = {
      sulfurPercent: feed.sulfurPercent,
      dryMatterKgPerDay: kilograms(feed.dryMatter),
      waterLPerDay: water === undefined ? null : toLiters(water.drunk),
      waterSulfateMgPerL: water?.sulfateMgPerL ?? null,
    };
    const total = totalSulfur(ration);
    const maximum = sulfurMaximum({ forageShare: feed.foragePercent / 100, choice: limit });
    const raised = mineralCautions({
      ...ration,
      stage: matureCow ? 'dry' : 'growing',
      matureCow,
      forageShare: feed.foragePercent / 100,
      calciumPercent: null,
      phosphorusPercent: null,
      magnesiumPercent: null,
      potassiumPercent: null,
      sodiumPercent: null,
      sodiumNeedGPerDay: null,
      restsOnBookValue: false,
      sulfurMaximum: limit,
    });
    return {
      fromWater: figureOrNull(fromWater, 'g/d', 'metric'),
      fromFeed: figureOrNull(total?.fromFeedG ?? null, 'g/d', 'metric'),
      total: figureOrNull(total?.gramsPerDay ?? null, 'g/d', 'metric'),
      percentOfDryMatter: tidyOrNull(total?.percentOfDryMatter),
      maximumPercent: maximum.value,
      maximumSource: CAUTION_SOURCES[maximum.source].citation,
      cautions: written(raised),
    };
  },
});

const HERD_WATER_MAX = 1e8;
const waterQuality = calculation({
  name: 'water-quality',
  family: 'ration',
  summary: 'Dissolved solids, sulfate, ice and supply of a water source',
  source: [
    {
      formula: 'Bands of total dissolved solids; sulfate limits',
      author:
        'Montana State University Extension; Saskatchewan Research Council; North Dakota State University Extension',
      year: 2017,
      where: 'each caution names its own',
    },
  ],
  body: z.strictObject({
    name: name.default('This water').describe('What the cautions call it'),
    dissolvedSolidsMgPerL: z.number().min(0).max(1e6).optional().describe('Total dissolved solids, mg/L'),
    sulfateMgPerL: z.number().min(0).max(1e6).optional().describe('Sulfate (SO4), mg/L'),
    frozen: z.boolean().optional().describe('Whether the water is frozen'),
    supply: waterVolumeIn('How much water it gives per day', HERD_WATER_MAX).optional(),
    need: waterVolumeIn('How much water the herd needs per day', HERD_WATER_MAX).optional(),
    pregnantOrMilking: z.boolean().default(false).describe('True if pregnant or milking cattle drink it'),
    milking: z.boolean().default(false).describe('True if milking cattle drink it'),
    calves: z.boolean().default(false).describe('True if calves drink it'),
  }),
  answer: {
    dissolvedSolids: z
      .object({
        label: z.string().describe('What the guide says'),
        fromMgPerL: z.number().describe('Lower edge of the band, mg/L'),
      })
      .nullable(),
    cautions,
  },
  run: (body) => {
    const solids = body.dissolvedSolidsMgPerL;
    const band = solids === undefined ? null : dissolvedSolidsBand({ dissolvedSolidsMgPerL: solids });
    return {
      dissolvedSolids: band === null ? null : { label: band.label, fromMgPerL: band.fromMgPerL },
      cautions: written(
        waterCautions({
          sourceName: body.name,
          frozen: body.frozen ?? null,
          supplyLPerDay: body.supply === undefined ? null : toLiters(body.supply),
          needLPerDay: body.need === undefined ? null : toLiters(body.need),
          dissolvedSolidsMgPerL: solids ?? null,
          sulfateMgPerL: body.sulfateMgPerL ?? null,
          pregnantOrMilking: body.pregnantOrMilking,
          milking: body.milking,
          calves: body.calves,
        }),
        (body.need ?? body.supply)?.unit,
      ),
    };
  },
});

const stackTemperature = calculation({
  name: 'stack-temperature',
  family: 'ration',
  summary: 'What to do at a given core temperature of a stack',
  description: 'Nobody walks on a hot stack: the steps of the guides assume that the fire service is called in time.',
  source: [
    {
      formula: 'Steps of core temperature',
      author: 'Purdue Extension; University of Kentucky; California Dairy Quality Assurance Program',
      year: 2024,
      where: 'the guide is named',
    },
  ],
  body: z.strictObject({
    name: name.default('This stack').describe('What the cautions call it'),
    temperature: temperatureIn,
    guide: z.enum(keysOf(HEATING_GUIDES)).default(DEFAULT_GUIDES.heating).describe('Published guide to follow'),
  }),
  answer: {
    guide: z.string().describe('Published guide that was followed'),
    temperature: temperatureOut,
    action: z.string().describe('What the guide says to do'),
    otherGuides: z.array(
      z.object({
        guide: z.string().describe('Published guide that the band comes from'),
        action: z.string().describe('What the guide says to do'),
      }),
    ),
    cautions,
  },
  run: ({ name: stackName, temperature, guide }) => {
    const coreTemperatureC = toCelsius(temperature);
    const answer = heatingAction({ coreTemperatureC, guide });
    return {
      guide: answer.guideName,
      temperature: formatTemperature(coreTemperatureC, temperature.unit),
      action: answer.action,
      otherGuides: keysOf(HEATING_GUIDES)
        .filter((key: HeatingGuideKey) => key !== guide)
        .map((key) => {
          const other = heatingAction({ coreTemperatureC, guide: key });
          return { guide: other.guideName, action: other.action };
        }),
      cautions: written(stackTemperatureCautions({ stackName, coreTemperatureC, guide }), temperature.unit),
    };
  },
});

const stackingMoisture = calculation({
  name: 'stacking-moisture',
  family: 'ration',
  summary: 'Whether hay is dry enough to bale or stack',
  source: [
    {
      formula: 'Highest moisture by bale form',
      author: 'Purdue Extension; California Dairy Quality Assurance Program; Cornell University',
      year: 2024,
      where: 'the guide is named',
    },
  ],
  body: z.strictObject({
    name: name.default('This hay').describe('What the cautions call it'),
    baleForm: z.enum(STACKED_BALE_FORMS).describe('Form of the bales in the stack'),
    moisturePercent: percent('Moisture, of the weight as fed'),
    preservative: z
      .boolean()
      .default(false)
      .describe('True if the hay is treated with a preservative, which shifts the limit'),
    guide: z
      .enum(keysOf(MOISTURE_GUIDES))
      .default(DEFAULT_GUIDES.moisture)
      .describe('Published guide that is followed'),
  }),
  answer: {
    guide: z.string().describe('Published guide that was followed'),
    maximumPercent: z.number().describe('Highest moisture without a preservative, %'),
    tooWet: z.boolean().describe('Whether the hay is above that limit'),
    otherGuides: z.array(
      z.object({
        guide: z.string().describe('Published guide that the band comes from'),
        maximumPercent: z.number().describe('Highest moisture that this guide allows without a preservative, %'),
      }),
    ),
    cautions,
  },
  run: ({ name: lotName, baleForm, moisturePercent, preservative, guide }) => ({
    guide: MOISTURE_GUIDES[guide].name,
    maximumPercent: MOISTURE_GUIDES[guide].maxMoisturePercent[baleForm],
    tooWet: moisturePercent > MOISTURE_GUIDES[guide].maxMoisturePercent[baleForm],
    otherGuides: keysOf(MOISTURE_GUIDES)
      .filter((key: MoistureGuideKey) => key !== guide)
      .map((key) => ({
        guide: MOISTURE_GUIDES[key].name,
        maximumPercent: MOISTURE_GUIDES[key].maxMoisturePercent[baleForm],
      })),
    cautions: written(stackingMoistureCautions({ lotName, baleForm, moisturePercent, preservative, guide })),
  }),
});

const storedHay = calculation({
  name: 'stored-hay-cautions',
  family: 'ration',
  summary: 'Mold, spoilage and prussic acid in a lot before it is fed',
  source: [
    {
      formula: 'Thresholds of mold, pH, moisture and HCN',
      author: 'University of Kentucky; Kansas State University',
      year: 2015,
      where: 'each caution names its own',
    },
  ],
  body: z.strictObject({
    name: name.default('This lot').describe('What the cautions call it'),
    wrapped: z.boolean().default(false).describe('True for wrapped (haylage) bales'),
    mouldSeen: z.boolean().optional().describe('True if mold was seen in the hay'),
    spoiledBalesSeen: z.boolean().optional().describe('True if spoiled bales were seen'),
    moisturePercent: percent('Moisture').optional(),
    ph: z.number().min(2).max(12).optional().describe('pH of wrapped hay'),
    sorghum: z
      .strictObject({
        hydrogenCyanidePpm: z.number().min(0).max(1e5).optional().describe('HCN, ppm of dry matter'),
        daysFromFrostToFeeding: z
          .number()
          .int()
          .min(0)
          .max(1000)
          .optional()
          .describe('Days from a killing frost to feeding'),
      })
      .optional()
      .describe('For sorghums: prussic acid and frost'),
  }),
  answer: { cautions },
  run: (body) => ({
    cautions: written([
      ...spoilageCautions({
        lotName: body.name,
        wrapped: body.wrapped,
        mouldSeen: body.mouldSeen ?? null,
        spoiledBalesSeen: body.spoiledBalesSeen ?? null,
        moisturePercent: body.moisturePercent ?? null,
        ph: body.ph ?? null,
      }),
      ...prussicAcidCautions({
        lotName: body.name,
        isSorghum: body.sorghum !== undefined,
        hydrogenCyanidePpmDm: body.sorghum?.hydrogenCyanidePpm ?? null,
        daysFromFrostToFeeding: body.sorghum?.daysFromFrostToFeeding ?? null,
      }),
    ]),
  }),
});

const hayTesting = calculation({
  name: 'hay-testing-cautions',
  family: 'forage',
  summary: 'Whether a lot was tested, recently enough and from a good enough sample',
  source: [
    {
      formula: 'At least 20 bales cored, one core each; one sample for at most 200 short tons of one cutting',
      author: 'Putnam & Orloff, National Forage Testing Association; Montana Extension',
      year: 2019,
      where: 'Recommended principles for proper hay sampling',
    },
  ],
  body: z
    .strictObject({
      name: name.default('This lot').describe('What the cautions call it'),
      tested: z.boolean().describe('Whether the lot has a test'),
      daysSinceSample: z.number().int().min(0).max(5000).optional().describe('Days since the newest sample'),
      daysUntilFed: z.number().int().min(0).max(5000).optional().describe('Days until it is fed; 0 if it is in use'),
      balesCored: z.number().int().min(0).max(10_000).optional().describe('How many bales were cored for the sample'),
      lotWeight: massIn.optional().describe('Weight of the lot'),
    })
    .refine((body) => body.tested || (body.daysSinceSample === undefined && body.balesCored === undefined), {
      path: ['tested'],
      message: 'A lot without a test has no sample and no cored bales',
    }),
  answer: { cautions },
  run: (body) => {
    if (body.tested && body.daysSinceSample === undefined)
      throw ruleBroken(
        '#/daysSinceSample',
        'missing',
        null,
        'days since the newest sample',
        'A tested lot needs the days since its newest sample.',
      );
    return {
      cautions: written(
        labTestCautions({
          lotName: body.name,
          daysSinceSample: body.daysSinceSample ?? null,
          daysUntilFed: body.daysUntilFed ?? null,
          balesCored: body.balesCored ?? null,
          lotKg: body.lotWeight === undefined ? null : kilograms(body.lotWeight),
        }),
      ),
    };
  },
});

export const CAUTION_CALCULATIONS: readonly Calculation[] = [
  nitrate,
  hayTesting,
  rationNitrate,
  tetany,
  sulfurTotal,
  waterQuality,
  stackTemperature,
  stackingMoisture,
  storedHay,
];
