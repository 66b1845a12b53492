import { z } from 'zod';
import { layerRole } from '../../records/kit/layer.schema.js';
import { worstFirst, type RaisedCaution } from '../../core/cautions/caution.js';
import { DEFAULT_GUIDES, HEATING_GUIDES, MOISTURE_GUIDES, NITRATE_GUIDES } from '../../core/cautions/guides.data.js';
import { FEED_ACCESSES, SPACE_CLASSES } from '../../core/laying/feeding-space.data.js';
import { BULK_DENSITIES, bookBulkDensity, HAY_FORMS } from '../../core/feeds/hay-densities.data.js';
import { HAY_TEXTURES, LAYER_BASES, LAYING_WEATHER } from '../../core/laying/layer.js';
import { convertShares, type ConvertedShares, type StatedValue } from '../../core/laying/layer-shares.js';
import { LAYER_TEMPLATES } from '../../core/laying/layer-templates.data.js';
import { hayVolume, layingCautions, likelyEatenOrder } from '../../core/laying/laying-cautions.js';
import { BALE_ROUNDINGS, planWholeBales } from '../../core/laying/whole-bales.js';
import { dietContextOf } from '../../core/judge/diet-context.js';
import { evaluateRation } from '../../core/judge/evaluate.js';
import type { RationEvaluation } from '../../core/judge/evaluation.js';
import { rationFromShares } from '../../core/ration/from-shares.js';
import { JUDGED_NUTRIENTS, LEAST_COST_MINERALS } from '../../core/nutrients/nutrients.js';
import type { RationLayer } from '../../core/ration/ration.js';
import type { WantedRation } from '../../core/ration/agreed-ration.js';
import { CAUTION_LIMITS } from '../../core/ration/ration-rows.js';
import { safeRation } from '../../core/ration/safe-ration.js';
import { rationSupply } from '../../core/judge/ration-supply.js';
import type { LeastCostRation } from '../../core/ration/solve.js';
import { ANIMAL_CLASSES, type DietContext } from '../../core/requirements/requirement-set.js';
import { requirementsFor } from '../../core/requirements/requirements-for.js';
import { decimalFromFloat } from '../../core/units/decimal.js';
import { Mass } from '../../core/units/mass.js';
import { massInOrZero, type UnitSystem, unitSystem } from '../../platform/wire/quantity.schema.js';
import { cautionOut, cautionAnswer } from '../../records/kit/caution.schema.js';
import {
  animalIn,
  editionIn,
  requirementOut,
  spelledAnimal,
  toAnimal,
  toConditions,
  unitsOf,
  weatherIn,
  requirementAnswer,
} from './animal.schema.js';
import { type Calculation, calculation, type Source } from './calculation.js';
import { linearSolver } from '../linear-solver.js';
import {
  accepted,
  densityIn,
  densityOut,
  dryMatterPercent,
  figureOrNull,
  figureOut,
  kilograms,
  lengthIn,
  lossPercent,
  massIn,
  massOut,
  moneyOut,
  percent,
  present,
  type Spelling,
  pricePerMassOut,
  tidy,
  tidyOrNull,
  toKgPerM3,
  toM3,
  toMass,
  toMeters,
  volumeIn,
  volumeOut,
  waterVolumeIn,
  toLiters,
  formatDensity,
  formatMass,
  formatMoney,
  formatPrice,
  formatVolume,
} from './quantities.js';
import { conflictWordsIn, shadowPriceIn, unusedLotIn } from '../../core/ration/least-cost-words.js';
import { figureIn, wordsIn } from '../../core/units/wording.js';
import { systemOf } from '../../core/units/unit.js';
import { rationLotIn, toRationLot } from './ration-lot.schema.js';

const cautions = z
  .array(cautionOut)
  .describe('Worst first; each defers to a veterinarian, a licensed nutritionist, the lab or local codes');
const written = (raised: readonly RaisedCaution[], system: UnitSystem) =>
  worstFirst(raised).map((one) => cautionAnswer(one, system));
const keysOf = <Key extends string>(guides: Readonly<Record<Key, unknown>>) => Object.keys(guides) as [Key, ...Key[]];
const name = z.string().trim().min(1).max(80);
const role = layerRole;
const basis = z.enum(LAYER_BASES).describe('What the shares are shares of: volume, weight as fed or dry matter');

const NRC: Source = {
  formula: 'supply by dry matter against the need of the equations',
  author: 'National Research Council',
  year: 2000,
  where: 'Nutrient Requirements of Beef Cattle, Update 2000; or NASEM 2016 by edition',
};
const RULE_OF_THUMB: Source = {
  formula: 'shares of layers by role',
  author: 'common practice, no source',
  year: null,
  where: 'rule of thumb',
};

const line = z
  .object({
    nutrient: z.enum(JUDGED_NUTRIENTS).describe('Nutrient, energy or limit that is judged'),
    supply: figureOut.describe('What the ration supplies; null where it is not known').nullable(),
    supplyIsAtLeast: z
      .boolean()
      .describe(
        'True where a feed that is a small part of the dry matter lacks the value and counts as zero: the ration ' +
          'supplies this much or more',
      ),
    need: figureOut.nullable(),
    surplus: figureOut.describe('Supply less need; null where either is not known').nullable(),
    surplusPercent: z
      .number()
      .describe('Supply less need, % of the need; null where there is no need or it is not known')
      .nullable(),
    verdict: z
      .enum(['short', 'near', 'meets', 'excess', 'no-need', 'unknown'])
      .describe('How the supply compares with the requirement'),
    unknownBecause: z.string().describe('Why a figure is missing; null where none is').nullable(),
    missingIn: z.array(z.string()).describe('Feeds that lack it'),
    restsOnBookValues: z.boolean().describe('True if book values went in, not only tests'),
  })
  .meta({ id: 'CalculatedNutrientLine', description: 'One nutrient: supply against need' });
const layerOut = z.object({
  role,
  parts: z.array(
    z.object({
      lot: z.string().describe('Name of the feed, as given in the request'),
      asFed: massOut.describe('As fed, per head per day'),
    }),
  ),
});

const sharesOut = z.array(
  z.object({
    name: z.string().describe('Name of the layer, or its number from the bottom'),
    volumePercent: z.number().describe('Share of the volume, %'),
    asFedPercent: z.number().describe('Share of the weight as fed, %'),
    dryMatterPercent: z.number().describe('Share of the dry matter, %'),
    density: densityOut,
    densityFrom: z.string().describe('Where the density comes from'),
    hayDryMatterPercent: z.number().describe('Dry matter of the hay, %'),
  }),
);
const sharesAnswer = (shares: ConvertedShares, unit: 'lb/ft3' | 'kg/m3'): z.input<typeof sharesOut> =>
  shares.layers.map((layer) => ({
    name: layer.name,
    volumePercent: tidy(100 * layer.volumeShare),
    asFedPercent: tidy(100 * layer.asFedShare),
    dryMatterPercent: tidy(100 * layer.dryMatterShare),
    density: formatDensity(layer.bulkDensityKgPerM3.value, unit),
    densityFrom: layer.bulkDensityKgPerM3.source,
    hayDryMatterPercent: layer.dryMatterPercent.value,
  }));

const densityOr = {
  density: densityIn.optional(),
  form: z.enum(HAY_FORMS).optional().describe('Form of the hay, for a book density where none was measured'),
};
const hasDensity = (given: { density?: unknown; form?: unknown }) =>
  (given.density === undefined) !== (given.form === undefined);
const DENSITY_MESSAGE = {
  path: ['density'],
  message: 'Give a measured density, or the form of the hay for a book density',
};
function toDensity({
  density,
  form,
}: {
  density?: z.output<typeof densityIn> | undefined;
  form?: z.output<typeof densityOr.form>;
}): StatedValue {
  if (density !== undefined) return { value: toKgPerM3(density), origin: 'measured', source: 'as given' };
  const row = bookBulkDensity({ form: form ?? 'loose-hay' });
  return { value: row.kgPerM3, origin: 'book-value', source: row.source };
}

const layerShares = calculation({
  name: 'layer-shares',
  family: 'ration',
  summary: 'Shares of layers by volume, by weight as fed and by dry matter',
  description:
    'The densities and dry matter contents that turn one into the other are shown; the three bases are ' +
    'never mixed silently.',
  source: [
    {
      formula: 'weight = volume × density; dry matter = weight × DM',
      author: 'Arithmetic',
      year: null,
      where: 'book densities name their source',
    },
  ],
  body: z.strictObject({
    basis,
    layers: z
      .array(
        z
          .strictObject({
            name: name.describe('Name of the layer, or its number from the bottom'),
            sharePercent: percent('Share of the whole ration'),
            ...densityOr,
            dryMatterPercent,
          })
          .refine(hasDensity, DENSITY_MESSAGE),
      )
      .min(1)
      .max(20),
  }),
  answer: { basis, layers: sharesOut, restsOnBookValues: z.boolean().describe('True if any density is a book value') },
  run: ({ basis: from, layers }) => {
    const shares = accepted(
      convertShares({
        basis: from,
        layers: layers.map((layer) => ({
          name: layer.name,
          share: layer.sharePercent / 100,
          bulkDensityKgPerM3: toDensity(layer),
          dryMatterPercent: { value: layer.dryMatterPercent, origin: 'measured' as const, source: 'as given' },
        })),
      }),
      { share: 'sharePercent', bulkDensityKgPerM3: 'density/value' },
    ).value;
    return {
      basis: from,
      layers: sharesAnswer(shares, layers[0]?.density?.unit ?? 'lb/ft3'),
      restsOnBookValues: shares.restsOnBookValues,
    };
  },
});

const layerTemplates = calculation({
  name: 'layer-templates',
  family: 'ration',
  summary: 'Starting points for laying hay in layers',
  description:
    'Rules of thumb. None of them is published, and no trial known to us shows that layers beat the same hay mixed: ' +
    'that is what trials are for.',
  source: [RULE_OF_THUMB],
  answer: {
    items: z.array(
      z.object({
        key: z.string().describe('Key of the row, to be named in a request'),
        name: z.string().describe('Name of the template'),
        classes: z.array(z.enum(ANIMAL_CLASSES)).describe('Classes of cattle it is meant for; empty for any'),
        basis,
        layers: z
          .array(z.object({ role, sharePercent: z.number().describe('Share of the whole, %') }))
          .describe('Layers in build order, bottom first'),
        source: z.string().describe('Where it comes from'),
      }),
    ),
  },
  run: () => ({
    items: LAYER_TEMPLATES.map(({ key, name: called, classes, basis: on, layers, source }) => ({
      key,
      name: called,
      classes: [...classes],
      basis: on,
      source,
      layers: layers.map((layer) => ({ role: layer.role, sharePercent: tidy(layer.share * 100) })),
    })),
  }),
});

const hayDensities = calculation({
  name: 'hay-densities',
  family: 'ration',
  summary: 'Book densities of hay as stored',
  source: [
    {
      formula: 'Bulk density as fed',
      author: 'Banta, Texas A&M AgriLife Extension, and others',
      year: null,
      where: 'each row names its own',
    },
  ],
  answer: {
    items: z.array(
      z.object({
        form: z.enum(HAY_FORMS).describe('Form of the hay, for a book density'),
        density: densityOut,
        low: densityOut,
        high: densityOut,
        source: z.string().describe('Where it comes from'),
      }),
    ),
  },
  run: () => ({
    items: BULK_DENSITIES.map(({ form, kgPerM3, rangeKgPerM3: [low, high], source }) => ({
      form,
      density: formatDensity(kgPerM3, 'lb/ft3'),
      low: formatDensity(low, 'lb/ft3'),
      high: formatDensity(high, 'lb/ft3'),
      source,
    })),
  }),
});

const laying = calculation({
  name: 'laying-cautions',
  family: 'ration',
  summary: 'Cautions about the way hay is laid in layers',
  description: 'Layers in build order, bottom first. Cattle still sort: what they eat first is only likely.',
  source: [
    {
      formula: 'texture order, wet hay, blending, room',
      author: 'common practice, no source',
      year: null,
      where: 'each caution names its own',
    },
    {
      formula: 'feeding length a head',
      author: 'Federation of Animal Science Societies',
      year: 2020,
      where: 'Guide for the Care and Use of Agricultural Animals, as tabulated by Penn State Extension',
    },
  ],
  body: z.strictObject({
    layers: z
      .array(
        z
          .strictObject({
            name: name.describe('Name of the layer, or its number from the bottom'),
            role,
            texture: z.enum(HAY_TEXTURES).optional().describe('Texture of the hay; left out, it follows from the role'),
            asFed: massIn.describe('Weight of the layer for all head, as fed'),
            ...densityOr,
          })
          .refine(hasDensity, DENSITY_MESSAGE),
      )
      .min(1)
      .max(20),
    weather: z.enum(LAYING_WEATHER).default('dry').describe('Weather at laying'),
    hayWasWet: z.boolean().optional().describe('True if frost or wet was seen on the hay itself'),
    blended: z.boolean().default(false).describe('True if the hay was stirred or mixed after laying'),
    legumePercent: percent('Legume, of the dry matter').optional(),
    head: z.number().int().min(1).max(1e6).describe('Number of head that are fed'),
    spaceClass: z.enum(SPACE_CLASSES).default('cow-1300-lb').describe('Class of cattle, for the feeding length'),
    access: z.enum(FEED_ACCESSES).default('once-daily').describe('Whether all eat at once or hay is available all day'),
    feedingLength: lengthIn(
      'Length at which cattle can stand, both sides counted where both can be reached',
    ).optional(),
    room: volumeIn.optional().describe('Space that the layers fill, and what the feeder holds'),
  }),
  answer: {
    likelyEatenFirst: z
      .array(z.string())
      .describe('Layers in the order they are likely to be eaten, the top layer first'),
    likelyEatenSource: z.string().describe('What that order rests on'),
    hayVolume: volumeOut,
    cautions,
  },
  run: (body) => {
    const layers = body.layers.map((layer) => ({
      name: layer.name,
      role: layer.role,
      kgAsFed: kilograms(layer.asFed),
      bulkDensityKgPerM3: toDensity(layer).value,
      ...present({ texture: layer.texture }),
    }));
    const { order, source } = likelyEatenOrder({ layers });
    return {
      likelyEatenFirst: order.map((layer) => layer.name),
      likelyEatenSource: source,
      hayVolume: formatVolume(hayVolume({ layers }).volumeM3, body.room?.unit ?? 'ft3'),
      cautions: written(
        layingCautions({
          layers,
          weather: body.weather,
          hayWasWet: body.hayWasWet ?? null,
          blended: body.blended,
          legumeShareOfDryMatter: body.legumePercent === undefined ? null : body.legumePercent / 100,
          head: body.head,
          space: {
            spaceClass: body.spaceClass,
            access: body.access,
            feedingLengthM: body.feedingLength === undefined ? null : toMeters(body.feedingLength),
            volumeM3: body.room === undefined ? null : toM3(body.room),
          },
        }),
        systemOf(body.layers[0]?.asFed.unit ?? 'lb'),
      ),
    };
  },
});

const wholeBales = calculation({
  name: 'whole-bales',
  family: 'ration',
  summary: 'Whole bales for a need, and what is carried over',
  source: [
    {
      formula: 'open enough, or the nearest whole number',
      author: 'common practice, no source',
      year: null,
      where: 'both ways are named',
    },
  ],
  body: z.strictObject({
    need: massInOrZero,
    baleWeight: massIn,
    carriedIn: massInOrZero.default({ value: '0', unit: 'kg' }).describe('Hay on hand from opened bales'),
    rounding: z.enum(BALE_ROUNDINGS).default('open-enough').describe('How to round to whole bales'),
  }),
  answer: {
    bales: z.number().int().describe('How many bales to open for this layer'),
    opened: massOut,
    fed: massOut,
    carriedOut: massOut.describe('Left for the next feeding; below zero where whole bales fell short'),
  },
  run: (body) => {
    const plan = planWholeBales({
      need: toMass(body.need),
      baleWeight: toMass(body.baleWeight),
      carriedIn: toMass(body.carriedIn),
      rounding: body.rounding,
    });
    const { unit } = body.baleWeight;
    return {
      bales: plan.bales,
      opened: formatMass(plan.opened, unit),
      fed: formatMass(plan.fed, unit),
      carriedOut: formatMass(plan.carriedOut, unit),
    };
  },
});

const guidesIn = z
  .strictObject({
    nitrate: z.enum(keysOf(NITRATE_GUIDES)).default(DEFAULT_GUIDES.nitrate).describe('Published guide for nitrate'),
    heating: z
      .enum(keysOf(HEATING_GUIDES))
      .default(DEFAULT_GUIDES.heating)
      .describe('Published guide for heating in the stack'),
    moisture: z
      .enum(keysOf(MOISTURE_GUIDES))
      .default(DEFAULT_GUIDES.moisture)
      .describe('Published guide for moisture in the stack'),
    sulfurMaximum: z
      .enum(['by-forage-level', 'single-0.40'])
      .default(DEFAULT_GUIDES.sulfurMaximum)
      .describe('Which published maximum to follow for sulfur'),
  })
  .describe('Which published guides to follow');

const byWeight = z
  .array(
    z.strictObject({
      role,
      parts: z
        .array(z.strictObject({ lot: rationLotIn, asFed: massInOrZero.describe('Offered per head per day, as fed') }))
        .min(1)
        .max(10),
    }),
  )
  .min(1)
  .max(10)
  .describe('Layers in build order, bottom first');
const byShare = z
  .strictObject({
    basis,
    amount: z
      .union([z.strictObject({ asFed: massIn }), z.strictObject({ dryMatter: massIn })])
      .describe('Laid per head per day, as fed or as dry matter'),
    layers: z
      .array(
        z
          .strictObject({ role, lot: rationLotIn, sharePercent: percent('Share of the whole ration'), ...densityOr })
          .refine(hasDensity, DENSITY_MESSAGE),
      )
      .min(1)
      .max(10),
  })
  .describe('A ration given in shares');

type Laid = Extract<ReturnType<typeof rationFromShares>, { readonly ok: true }>['value'];

/** Layers by weight as given, or by shares, which the answer then includes. */
function layersStated(stated: {
  readonly layers?: z.output<typeof byWeight> | undefined;
  readonly shares?: z.output<typeof byShare> | undefined;
}): { readonly layers: readonly RationLayer[]; readonly laid: Laid | undefined } {
  if (stated.shares !== undefined) {
    const laid = layShares(stated.shares);
    return { layers: laid.layers, laid };
  }
  const layers = (stated.layers ?? []).map((layer, place) => ({
    role: layer.role,
    lots: layer.parts.map((part, at) => ({
      lot: toRationLot(part.lot, `layers/${place}/parts/${at}/lot`),
      asFedKgPerHeadPerDay: kilograms(part.asFed),
    })),
  }));
  return { layers, laid: undefined };
}

function layShares({ basis: sharesOf, amount, layers }: z.output<typeof byShare>): Laid {
  return accepted(
    rationFromShares({
      basis: sharesOf,
      amount: 'asFed' in amount ? { asFedKg: kilograms(amount.asFed) } : { dryMatterKg: kilograms(amount.dryMatter) },
      layers: layers.map((layer, place) => ({
        role: layer.role,
        lot: toRationLot(layer.lot, `shares/layers/${place}/lot`),
        share: layer.sharePercent / 100,
        bulkDensityKgPerM3: toDensity(layer),
      })),
    }),
    sharesSpelling,
  ).value;
}

const evaluation = calculation({
  name: 'evaluate-ration',
  family: 'ration',
  summary: 'A layered ration against what one animal needs',
  description: 'Unknown values stay unknown and are named; figures that rest on a book, not a test, say so.',
  source: [NRC],
  body: z
    .strictObject({
      animal: animalIn,
      edition: editionIn,
      weather: weatherIn.optional(),
      layers: byWeight.optional(),
      shares: byShare.optional(),
      wastedPercent: lossPercent('Hay refused or wasted, of what is offered').default(0),
      fedWet: z.boolean().default(false).describe('True if the hay is laid wet'),
      guides: guidesIn.optional(),
      water: z
        .strictObject({
          name: name.default('Water').describe('What the cautions call it'),
          frozen: z.boolean().optional().describe('True if the water is frozen'),
          sulfateMgPerL: z.number().min(0).max(1e6).optional().describe('Sulfate in the drinking water, mg/L'),
          dissolvedSolidsMgPerL: z.number().min(0).max(1e6).optional().describe('Total dissolved solids, mg/L'),
          supply: waterVolumeIn('How much water it gives per head per day').optional(),
        })
        .optional()
        .describe('Water of the herd'),
      tableNeeds: z
        .strictObject({
          totalDigestibleNutrients: massIn.describe('TDN, per head per day'),
          crudeProtein: massIn.describe('Crude protein, per head per day'),
          source: name.describe('Table they were taken from'),
        })
        .optional()
        .describe('Needs of a published table, judged beside the equations'),
      units: unitSystem.optional().describe('Units of the answer; those of the body weight if left out'),
    })
    .refine((body) => (body.layers === undefined) !== (body.shares === undefined), {
      path: ['layers'],
      message: 'Give layers by weight, or shares',
    }),
  answer: {
    layers: z.array(layerOut),
    shares: sharesOut.describe('The shares on every basis; null unless the ration was given in shares').nullable(),
    requirement: requirementOut,
    lines: z.array(line),
    expectedDailyGain: figureOut
      .describe(
        'Growing cattle: the smaller of the gains that energy and protein allow, below zero where the cattle lose ' +
          'weight; null where there is none to predict',
      )
      .nullable(),
    energyAllowableGain: figureOut.describe('Below zero where the ration lacks energy').nullable(),
    proteinAllowableGain: figureOut.nullable(),
    gainRuledBy: z.string().describe('What limits the gain; null where no gain is predicted').nullable(),
    gainInWords: z.string().describe('Where cattle lose weight: what they lack and draw from their bodies').nullable(),
    condition: z
      .object({
        netEnergyBalance: figureOut.nullable(),
        direction: z
          .enum(['gain', 'loss', 'steady'])
          .describe('Which way body condition is going; null where it is not known')
          .nullable(),
        daysToOneScore: z
          .number()
          .describe('Days to gain or lose one condition score; null where it does not apply')
          .nullable(),
      })
      .describe('Cows, and heifers that carry or nurse a calf: how body condition is expected to change'),
    degradableProteinBalance: figureOut.nullable(),
    calciumToPhosphorus: z.number().describe('Ratio of calcium to phosphorus; null where it is not known').nullable(),
    tetanyRatio: z
      .number()
      .describe('Ratio K/(Ca+Mg) in equivalents, a guide to grass tetany; null where it is not known')
      .nullable(),
    sulfurPercent: z
      .number()
      .describe('Sulfur with that of the water, % of dry matter; null where it is not known')
      .nullable(),
    nitrateNitrogenPpm: z
      .number()
      .describe('NO3-N of the whole ration, ppm of dry matter; null where it is not known')
      .nullable(),
    foragePercent: z.number().describe('Share of forage in the dry matter, %'),
    longStemPercent: z.number().describe('Share of long-stem forage in the dry matter, %'),
    costPerHeadDay: moneyOut.describe('Cost per head per day; null while a feed has no price').nullable(),
    bookValues: z.array(
      z.object({
        lot: z.string().describe('Name of the feed, as given in the request'),
        fields: z.array(z.string()).describe('Values taken from a book'),
      }),
    ),
    cautions,
  },
  run: (body) => {
    const { layers, laid } = layersStated(body);
    const animal = toAnimal(body.animal);
    const wastedShare = body.wastedPercent / 100;
    const where = body.shares === undefined ? 'layers' : 'shares';
    // The diet is what the layers make, so a diet that the equations cannot handle is a fault of the layers.
    const requirement = accepted(
      requirementsFor(animal, {
        ...toConditions({ edition: body.edition, weather: body.weather }),
        diet: dietContextOf(rationSupply({ layers, wastedShare })),
      }),
      (field) => (field.startsWith('diet.') ? where : spellAnimal(field)),
    ).value;
    const system = unitsOf(body.animal, body.units);
    const milking = animal.daysInMilk !== undefined || animal.milkKgPerDay !== undefined;
    const judged = accepted(
      evaluateRation({
        animal,
        requirement,
        layers,
        wastedShare,
        showCost: true,
        fedWet: body.fedWet,
        ...present({
          guides: body.guides,
          tableNeeds: body.tableNeeds && {
            totalDigestibleNutrientsKgPerDay: kilograms(body.tableNeeds.totalDigestibleNutrients),
            crudeProteinGPerDay: kilograms(body.tableNeeds.crudeProtein) * 1000,
            source: body.tableNeeds.source,
          },
          water: body.water && {
            sourceName: body.water.name,
            frozen: body.water.frozen ?? null,
            supplyLPerDay: body.water.supply === undefined ? null : toLiters(body.water.supply),
            needLPerDay: requirement.waterLPerDay,
            dissolvedSolidsMgPerL: body.water.dissolvedSolidsMgPerL ?? null,
            sulfateMgPerL: body.water.sulfateMgPerL ?? null,
            pregnantOrMilking: milking || (animal.daysPregnant ?? 0) > 0,
            milking,
            calves: animal.class === 'growing-calf',
          },
        }),
      }),
      { lots: 'parts', asFedKgPerHeadPerDay: 'asFed', wastedShare: 'wastedPercent' },
    ).value;
    return {
      layers: layersAnswer(layers, system),
      shares: laid === undefined ? null : sharesAnswer(laid.shares, system === 'us' ? 'lb/ft3' : 'kg/m3'),
      requirement: requirementAnswer(requirement, system),
      ...judgementAnswer(judged, system),
    };
  },
});

const spellAnimal = (field: string): string => (typeof spelledAnimal === 'function' ? spelledAnimal(field) : field);
const SHARE_FIELDS: Readonly<Record<string, string>> = {
  share: 'sharePercent',
  bulkDensityKgPerM3: 'density',
  dryMatterPercent: 'lot/analysis/dryMatterPercent',
};
const sharesSpelling: Spelling = (field) =>
  `shares/${field
    .replaceAll(/\[(\d+)\]/g, '.$1')
    .split('.')
    .map((step) => SHARE_FIELDS[step] ?? step)
    .join('/')}`;

function layersAnswer(layers: readonly RationLayer[], system: UnitSystem): z.input<typeof layerOut>[] {
  return layers.map((layer) => ({
    role: layer.role,
    parts: layer.lots.map(({ lot, asFedKgPerHeadPerDay }) => ({
      lot: lot.lotName,
      asFed: formatMass(Mass.kilograms(decimalFromFloat(asFedKgPerHeadPerDay, 9)), system === 'us' ? 'lb' : 'kg'),
    })),
  }));
}

function judgementAnswer(judged: RationEvaluation, system: UnitSystem) {
  const { gain, condition, cost } = judged;
  return {
    lines: judged.lines.map((one) => ({
      nutrient: one.nutrient,
      supply: figureOrNull(one.supply, one.unit, system),
      supplyIsAtLeast: one.supplyIsAtLeast,
      need: figureOrNull(one.need, one.unit, system),
      surplus: figureOrNull(one.surplus, one.unit, system),
      surplusPercent: tidyOrNull(one.surplusPercent),
      verdict: one.verdict,
      unknownBecause: one.unknownBecause,
      missingIn: [...one.missingIn],
      restsOnBookValues: one.restsOnBookValues,
    })),
    expectedDailyGain: figureOrNull(gain.expectedKgPerDay, 'kg/d', system),
    energyAllowableGain: figureOrNull(gain.energyAllowableKgPerDay, 'kg/d', system),
    proteinAllowableGain: figureOrNull(gain.proteinAllowableKgPerDay, 'kg/d', system),
    gainRuledBy: gain.ruledBy,
    gainInWords: gain.words === null ? null : wordsIn(system, gain.words),
    condition: {
      netEnergyBalance: figureOrNull(condition.netEnergyBalanceMcalPerDay, 'Mcal/d', system),
      direction: condition.direction,
      daysToOneScore: tidyOrNull(condition.daysToOneScore),
    },
    degradableProteinBalance: figureOrNull(judged.degradableProteinBalanceG, 'g/d', system),
    calciumToPhosphorus: tidyOrNull(judged.calciumToPhosphorus),
    tetanyRatio: tidyOrNull(judged.tetanyRatio),
    sulfurPercent: tidyOrNull(judged.sulfurPercentOfDryMatter),
    nitrateNitrogenPpm: tidyOrNull(judged.nitrate.wholeRationNitrateNitrogenPpmDm),
    foragePercent: tidy(100 * judged.forageShare),
    longStemPercent: tidy(100 * judged.longStemShare),
    costPerHeadDay: cost.perHeadDay === null ? null : formatMoney(cost.perHeadDay),
    bookValues: judged.bookValues.map(({ lotName, fields }) => ({ lot: lotName, fields: [...fields] })),
    cautions: written(judged.cautions, system),
  };
}

const conflictOut = z.object({
  row: z.string().describe('Row of the ration problem, by its code'),
  words: z.string().describe('What the row demands of the ration, in words'),
  missesBy: z
    .number()
    .describe('By how much it is missed if all others are met; null if even then there is no ration')
    .nullable(),
  unit: z.string().describe('Unit of the row'),
});
const leastCost = calculation({
  name: 'least-cost-ration',
  heavy: true,
  family: 'ration',
  summary: 'The cheapest ration over the feeds on offer that meets every demand',
  description:
    'Solved as a linear program with a row for each demand. If no ration meets every row, rows in conflict are ' +
    'named. Feeds without a price or without a value that a row needs are left out and named.',
  source: [
    NRC,
    {
      formula: 'linear program; share of feed for maintenance by golden section',
      author: 'Huangfu & Hall',
      year: 2018,
      where: 'Math. Prog. Comp. 10:119-142 (the HiGHS solver)',
    },
  ],
  body: z
    .strictObject({
      animal: animalIn,
      edition: editionIn,
      weather: weatherIn.optional(),
      candidates: z
        .array(
          z.strictObject({
            lot: rationLotIn,
            role,
            available: massIn.optional().describe('Weight on hand for the whole period; left out, there is no limit'),
            density: densityIn.optional(),
          }),
        )
        .min(1)
        .max(30),
      head: z.number().int().min(1).max(1e6).default(1).describe('Number of head'),
      days: z.number().int().min(1).max(1000).default(1).describe('Number of days'),
      proteinSystem: z
        .enum(['metabolizable', 'crude'])
        .default('metabolizable')
        .describe('Which protein must meet the need'),
      minerals: z
        .array(z.enum(LEAST_COST_MINERALS))
        .max(LEAST_COST_MINERALS.length)
        .default(['calcium', 'phosphorus'])
        .describe('Minerals that the feeds must cover'),
      intakeCapPercent: z.number().gt(0).max(200).default(100).describe('Most dry matter, % of the predicted intake'),
      wastedPercent: lossPercent('Hay refused or wasted, of what is offered').default(0),
      shareBands: z
        .strictObject({
          basis,
          bands: z
            .array(
              z.strictObject({
                role,
                atLeastPercent: percent('Smallest share of the role').optional(),
                atMostPercent: percent('Largest share of the role').optional(),
              }),
            )
            .min(1)
            .max(3),
        })
        .optional(),
      allowUntested: z
        .boolean()
        .default(false)
        .describe('true: feeds of kinds that can accumulate nitrate are taken without a nitrate value'),
      nitrate: z
        .enum(['by-guide', 'told'])
        .default('by-guide')
        .describe('by-guide: feeds and ration as the nitrate guide allows them for the animal; told: cautions only'),
      minDegradableProteinPercent: percent(
        'Least degradable protein, of what the microbes of the rumen need; 0 demands none',
      ).default(100),
      maxLegumePercent: percent('Most legume, of the dry matter').optional(),
      maxNitrateNitrogenPpm: z
        .number()
        .min(0)
        .max(1e5)
        .optional()
        .describe('Most NO3-N in the whole ration, ppm of dry matter'),
      maxSulfurPercent: percent('Most sulfur, of the dry matter', { to: 5 }).optional(),
      minCalciumToPhosphorus: z
        .number()
        .min(0)
        .max(10)
        .default(CAUTION_LIMITS.minCalciumToPhosphorus)
        .describe('Least ratio of calcium to phosphorus that is accepted'),
      minLongStem: massIn.optional().describe('Least long-stem dry matter per head per day'),
      maxFiberPercentOfBodyWeight: z.number().gt(0).max(5).optional().describe('Most NDF per day, % of body weight'),
      units: unitSystem.optional().describe('Units of the answer; those of the body weight if left out'),
    })
    .refine(
      (body) => body.shareBands?.basis !== 'volume' || body.candidates.every((one) => one.density !== undefined),
      { path: ['candidates'], message: 'must each have a density where shares are by volume' },
    ),
  answer: {
    status: z.enum(['solved', 'infeasible']).describe('Whether any ration meets every row'),
    requirement: requirementOut,
    layers: z.array(layerOut).describe('Layers in build order; empty where there is no ration'),
    costPerHeadDay: moneyOut.nullable(),
    shadowPrices: z.array(
      z.object({
        row: z.string().describe('Row of the ration problem, by its code'),
        perUnit: z
          .object({
            amount: z.string().describe('The figure as decimal text'),
            currency: z.string().describe('ISO 4217 code of the currency'),
          })
          .describe('Change of the cost for one more unit'),
        unit: z.string().describe('Unit of the row'),
        words: z.string().describe('The same in words'),
      }),
    ),
    unusedFeeds: z.array(
      z.object({
        lot: z.string().describe('Name of the feed, as given in the request'),
        role,
        comesInAt: pricePerMassOut
          .describe('Price below which it comes in; null where no price would bring it in')
          .nullable(),
        words: z.string().describe('The same in words'),
      }),
    ),
    excluded: z.array(
      z.object({
        lot: z.string().describe('Name of the feed, as given in the request'),
        because: z.string().describe('Why it was left out'),
        missing: z.array(z.string()).describe('Values that the composition of the feed lacks'),
      }),
    ),
    cautions,
    conflict: z
      .array(conflictOut)
      .describe('Rows in conflict with none to spare: without any one of them, the others can be met together'),
  },
  run: async (body) => {
    const animal = toAnimal(body.animal);
    const system = unitsOf(body.animal, body.units);
    const part = (percentage: number | undefined) => (percentage === undefined ? undefined : percentage / 100);
    const conditions = toConditions({ edition: body.edition, weather: body.weather });
    accepted(requirementsFor(animal, conditions), spelledAnimal);
    const wanted: WantedRation = {
      proteinSystem: body.proteinSystem,
      minerals: body.minerals,
      intakeCapShare: body.intakeCapPercent / 100,
      wastedShare: body.wastedPercent / 100,
      head: body.head,
      days: body.days,
      allowUntested: body.allowUntested,
      nitrate: body.nitrate,
      minDegradableShare: body.minDegradableProteinPercent / 100,
      minCalciumToPhosphorus: body.minCalciumToPhosphorus,
      ...present({
        shareBands: body.shareBands && {
          basis: body.shareBands.basis,
          bands: body.shareBands.bands.map((band) => ({
            role: band.role,
            ...present({ atLeast: part(band.atLeastPercent), atMost: part(band.atMostPercent) }),
          })),
        },
        maxLegumeShare: part(body.maxLegumePercent),
        maxNitrateNitrogenPpm: body.maxNitrateNitrogenPpm,
        maxSulfurPercent: body.maxSulfurPercent,
        minLongStemKg: body.minLongStem && kilograms(body.minLongStem),
        maxFiberPercentOfWeight: body.maxFiberPercentOfBodyWeight,
      }),
    };
    const candidates = body.candidates.map((one, place) => ({
      lot: toRationLot(one.lot, `candidates/${place}/lot`),
      role: one.role,
      availableKg: one.available === undefined ? null : kilograms(one.available),
      ...present({ bulkDensityKgPerM3: one.density && toKgPerM3(one.density) }),
    }));
    const needOn = (diet: DietContext) => requirementsFor(animal, { ...conditions, diet });
    const answer = accepted(
      safeRation({ candidates, animal, wanted, needOn, waterSulfateMgPerL: null, solve: await linearSolver() }),
      { maxLegumeShare: 'maxLegumePercent', wastedShare: 'wastedPercent' },
    ).value;
    const judged =
      answer.status === 'solved'
        ? evaluateRation({
            animal,
            requirement: answer.requirement,
            layers: answer.layers,
            wastedShare: body.wastedPercent / 100,
          })
        : null;
    return {
      status: answer.status,
      requirement: requirementAnswer(answer.requirement, system),
      ...(answer.status === 'solved' ? solvedAnswer(answer, system) : conflictAnswer(answer, system)),
      cautions: judged?.ok === true ? written(judged.value.cautions, system) : [],
      excluded: answer.excluded.map(({ lotName, because, missing }) => ({
        lot: lotName,
        because,
        missing: [...missing],
      })),
    };
  },
});

function conflictAnswer({ conflict }: Extract<LeastCostRation, { readonly status: 'infeasible' }>, system: UnitSystem) {
  return {
    layers: [],
    costPerHeadDay: null,
    shadowPrices: [],
    unusedFeeds: [],
    conflict: conflict.map(({ row, words, missesBy, unit, asks }) => ({
      row,
      words: conflictWordsIn(system, { words, missesBy, unit, asks }),
      missesBy: missesBy === null ? null : tidy(figureIn(system, { value: missesBy, unit }).value),
      unit: figureIn(system, { value: 0, unit }).unit,
    })),
  };
}

function solvedAnswer(solved: Extract<LeastCostRation, { readonly status: 'solved' }>, system: UnitSystem) {
  return {
    layers: layersAnswer(solved.layers, system),
    costPerHeadDay: formatMoney(solved.costPerHeadDay),
    conflict: [],
    shadowPrices: solved.shadowPrices.map((price) => {
      const { perUnit, unit, words } = shadowPriceIn(system, price);
      const amount = perUnit.amount.toDecimalPlaces(6).toFixed();
      return { row: price.row, perUnit: { amount, currency: perUnit.currency }, unit, words };
    }),
    unusedFeeds: solved.unusedLots.map((unused) => ({
      lot: unused.lotName,
      role: unused.role,
      comesInAt: unused.comesInAt === null ? null : formatPrice(unused.comesInAt, system === 'us' ? 'ton' : 't'),
      words: unusedLotIn(system, unused, solved.costPerHeadDay.currency),
    })),
  };
}

export const RATION_CALCULATIONS: readonly Calculation[] = [
  evaluation,
  leastCost,
  layerShares,
  layerTemplates,
  hayDensities,
  laying,
  wholeBales,
];
