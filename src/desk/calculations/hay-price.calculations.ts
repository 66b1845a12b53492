import { z } from 'zod';
import { baleDensity, baleWeight, outerLayerShare, roundBaleVolume, squareBaleVolume } from '../../core/forage/bale.js';
import { breakEvenPriceByNutrient, petersen1932FeedValue } from '../../core/forage/break-even.js';
import {
  deliveredCost,
  freightForDistance,
  pricePerMegacalorie,
  pricePerNutrient,
  rankByNutrientPrice,
} from '../../core/forage/price.js';
import { decimalFromFloat } from '../../core/units/decimal.js';
import { Mass, type MassUnit } from '../../core/units/mass.js';
import { Money } from '../../core/units/money.js';
import { type Calculation, calculation, type Source } from './calculation.js';
import {
  densityIn,
  densityOut,
  dryMatterPercent,
  energyIn,
  kilograms,
  lengthIn,
  lossPercent,
  massIn,
  massOut,
  moneyIn,
  moneyOut,
  priceIn,
  type PriceIn,
  pricePerMassOut,
  smallUnit,
  tidy,
  toKgPerM3,
  toMass,
  toMcalPerKg,
  toMeters,
  toMoney,
  toPrice,
  volumeOut,
  formatDecimal,
  formatDensity,
  formatMass,
  formatMoney,
  formatPrice,
  formatVolume,
} from './quantities.js';

const NUTRIENT_PRICE: Source = {
  formula: 'price as fed ÷ (DM/100 · nutrient/100)',
  author: 'North Dakota State and Penn State extension',
  year: null,
  where: 'price per pound of TDN',
};
const DELIVERED: Source = {
  formula: '(price + freight + charges) ÷ ((1 − loss)·(1 − waste))',
  author: 'Iowa State University Extension',
  year: null,
  where: 'waste as divisor',
};
const nutrientPercent = z.number().gt(0).max(100).describe('The nutrient, % of dry matter');
const label = z.string().trim().min(1).max(80);

const nutrientPrice = calculation({
  name: 'nutrient-price',
  family: 'forage',
  summary: 'Price per unit of a nutrient in a hay, and of its dry matter',
  source: [NUTRIENT_PRICE],
  body: z.strictObject({
    price: priceIn,
    dryMatterPercent,
    nutrient: z.strictObject({
      name: label.describe('Name of the nutrient: TDN, crude protein or another'),
      percentOfDryMatter: nutrientPercent,
    }),
    energy: energyIn('A net energy of the hay, to price it per Mcal').optional(),
  }),
  answer: {
    nutrient: z.string().describe('Nutrient that the price is put on'),
    pricePerNutrient: pricePerMassOut.describe('Price of a unit of the nutrient'),
    pricePerDryMatter: pricePerMassOut.describe('Price of the dry matter'),
    pricePerMcal: z
      .object({
        amount: z.string().describe('The figure as decimal text'),
        currency: z.string().describe('ISO 4217 code of the currency'),
        per: z.literal('Mcal').describe('Unit of energy that the price is for'),
      })
      .describe('Price of the energy named; null if none was named')
      .nullable(),
    inOneUnit: z
      .object({ hay: massOut, dryMatter: massOut, nutrient: massOut })
      .describe('What one priced unit of the hay contains'),
  },
  run: ({ price, dryMatterPercent: dm, nutrient, energy }) => {
    const asFedPrice = toPrice(price);
    const answer = pricePerNutrient({
      asFedPrice,
      dryMatterPercent: dm,
      nutrientPercentOfDryMatter: nutrient.percentOfDryMatter,
    });
    const one = Mass.of(1, price.per);
    const small = smallUnit(price.per);
    return {
      nutrient: nutrient.name,
      pricePerNutrient: formatPrice(answer.pricePerNutrient, small),
      pricePerDryMatter: formatPrice(answer.pricePerDryMatter, price.per),
      pricePerMcal:
        energy === undefined
          ? null
          : {
              amount: formatDecimal(
                pricePerMegacalorie({
                  asFedPrice,
                  dryMatterPercent: dm,
                  energyMcalPerKgDryMatter: toMcalPerKg(energy),
                }),
              ),
              currency: asFedPrice.currency,
              per: 'Mcal' as const,
            },
      inOneUnit: {
        hay: formatMass(one, small),
        dryMatter: formatMass(
          one.times(answer.nutrientShareAsFed).dividedBy(decimalFromFloat(nutrient.percentOfDryMatter, 12).div(100)),
          small,
        ),
        nutrient: formatMass(one.times(answer.nutrientShareAsFed), small),
      },
    };
  },
});

const haul = z
  .strictObject({
    rate: moneyIn.describe('Price per loaded mile or kilometer'),
    per: z.enum(['mi', 'km']).describe('Unit of distance of the rate and the distance'),
    distance: z.number().min(0).max(20_000).describe('Distance driven with the load, in the unit of `per`'),
  })
  .describe('Freight by distance');
const offer = {
  price: priceIn,
  bought: massIn,
  freight: moneyIn.optional().describe('Freight of the load, as billed'),
  haul: haul.optional(),
  charges: moneyIn.optional().describe('Loading, stacking and other charges'),
  storageLossPercent: lossPercent('Hay lost in storage').default(0),
  feedingWastePercent: lossPercent('Hay wasted at feeding').default(0),
};
const arithmetic = z
  .enum(['divide', 'multiply'])
  .default('divide')
  .describe('How loss and waste are counted: spread over what is left (exact), or added, as some guides print it');

function delivered(
  given: {
    price: PriceIn;
    bought: z.output<typeof massIn>;
    freight?: z.output<typeof moneyIn> | undefined;
    haul?: z.output<typeof haul> | undefined;
    charges?: z.output<typeof moneyIn> | undefined;
    storageLossPercent: number;
    feedingWastePercent: number;
  },
  how: 'divide' | 'multiply',
) {
  const price = toPrice(given.price);
  const none = Money.zero(price.currency);
  const freight = (given.freight === undefined ? none : toMoney(given.freight)).plus(
    given.haul === undefined
      ? none
      : freightForDistance({ ratePerLoadedDistance: toMoney(given.haul.rate), distance: given.haul.distance }),
  );
  const charges = given.charges === undefined ? none : toMoney(given.charges);
  return {
    freight,
    charges,
    ...deliveredCost({
      price,
      bought: toMass(given.bought),
      freightAndCharges: freight.plus(charges),
      storageLossPercent: given.storageLossPercent,
      feedingWastePercent: given.feedingWastePercent,
      arithmetic: how,
    }),
  };
}

const MULTIPLIED: Source = {
  formula: '(price + freight + charges) · (1 + loss)·(1 + waste)',
  author: 'University of Missouri Extension',
  year: 2011,
  where: 'waste as multiplier',
};
const deliveredCostOfHay = calculation({
  name: 'delivered-cost',
  family: 'forage',
  summary: 'What a ton of hay costs as delivered, as fed and as eaten',
  source: [DELIVERED],
  body: z.strictObject({ ...offer, arithmetic }),
  answer: {
    hay: moneyOut,
    freight: moneyOut,
    charges: moneyOut,
    landedCost: moneyOut.describe('Landed cost of the whole load'),
    landedPrice: pricePerMassOut.describe('Price per unit of mass as delivered'),
    pricePerFed: pricePerMassOut.describe('Price per unit of mass after storage loss'),
    pricePerEaten: pricePerMassOut.describe('Price per unit of mass after storage loss and feeding waste'),
    arithmetic: z.enum(['divide', 'multiply']).describe('How loss and waste were counted'),
  },
  run: ({ arithmetic: how, ...body }) => {
    const answer = delivered(body, how);
    const { per } = body.price;
    return {
      ...(how === 'multiply' ? { source: [MULTIPLIED] } : {}),
      hay: formatMoney(toPrice(body.price).for(toMass(body.bought))),
      freight: formatMoney(answer.freight),
      charges: formatMoney(answer.charges),
      landedCost: formatMoney(answer.landedCost),
      landedPrice: formatPrice(answer.landedPrice, per),
      pricePerFed: formatPrice(answer.pricePerFed, per),
      pricePerEaten: formatPrice(answer.pricePerEaten, per),
      arithmetic: answer.arithmetic,
    };
  },
});

const nutrientPriceRanking = calculation({
  name: 'nutrient-price-ranking',
  family: 'forage',
  summary: 'Several hays ranked by the price of one nutrient as eaten',
  description: 'Prices are delivered, after storage loss and feeding waste; cheapest first.',
  source: [NUTRIENT_PRICE, DELIVERED],
  body: z.strictObject({
    nutrient: label.describe('Nutrient to compare'),
    hays: z
      .array(
        z.strictObject({
          name: label.describe('Name of the hay'),
          ...offer,
          dryMatterPercent,
          nutrientPercentOfDryMatter: nutrientPercent,
        }),
      )
      .min(1)
      .max(100),
    arithmetic,
  }),
  answer: {
    nutrient: z.string().describe('Nutrient compared'),
    ranking: z.array(
      z.object({
        rank: z.number().int().describe('Rank by price; 1 is the cheapest'),
        name: z.string().describe('Name of the hay'),
        pricePerNutrient: pricePerMassOut,
        landedPrice: pricePerMassOut,
        pricePerEaten: pricePerMassOut,
      }),
    ),
  },
  run: ({ nutrient, hays, arithmetic: how }) => {
    const priced = hays.map((hay, place) => ({ hay, id: String(place), ...delivered(hay, how) }));
    const ranked = rankByNutrientPrice(
      priced.map(({ hay, id, pricePerEaten }) => ({
        id,
        price: pricePerEaten,
        dryMatterPercent: hay.dryMatterPercent,
        nutrientPercentOfDryMatter: hay.nutrientPercentOfDryMatter,
      })),
    );
    return {
      nutrient,
      ranking: ranked.flatMap(({ id, rank, pricePerNutrient: price }) => {
        const found = priced.find((one) => one.id === id);
        return found === undefined
          ? []
          : [
              {
                rank,
                name: found.hay.name,
                pricePerNutrient: formatPrice(price, smallUnit(found.hay.price.per)),
                landedPrice: formatPrice(found.landedPrice, found.hay.price.per),
                pricePerEaten: formatPrice(found.pricePerEaten, found.hay.price.per),
              },
            ];
      }),
    };
  },
});

const referenceFeed = z.strictObject({
  name: label.describe('Name of the feed'),
  price: priceIn.describe('Price of the feed delivered to the yard'),
  dryMatterPercent,
  totalDigestibleNutrientsPercent: nutrientPercent.describe('TDN, % of dry matter'),
  crudeProteinPercent: nutrientPercent.describe('Crude protein, % of dry matter'),
});
const breakEvenHayPrice = calculation({
  name: 'break-even-hay-price',
  family: 'forage',
  summary: 'What a hay is worth against other feeds on offer',
  description:
    'By the cheapest price of TDN and of crude protein among the feeds and, where exactly two feeds are given, by ' +
    'energy and protein together.',
  source: [
    NUTRIENT_PRICE,
    {
      formula: 'two reference feeds price energy and protein: two equations in two unknowns',
      author: 'Petersen',
      year: 1932,
      where: 'J. Dairy Sci. 15:293 (from memory)',
    },
  ],
  body: z.strictObject({
    hay: z.strictObject({
      dryMatterPercent,
      totalDigestibleNutrientsPercent: nutrientPercent.describe('TDN, % of dry matter'),
      crudeProteinPercent: nutrientPercent.describe('Crude protein, % of dry matter'),
    }),
    feeds: z.array(referenceFeed).min(1).max(50),
  }),
  answer: {
    byEnergy: z.object({ price: pricePerMassOut, cheapest: z.string().describe('Feed with the cheapest TDN') }),
    byProtein: z.object({ price: pricePerMassOut, cheapest: z.string().describe('Feed with the cheapest protein') }),
    byBoth: z
      .object({
        price: pricePerMassOut,
        pricePerEnergyUnit: pricePerMassOut,
        pricePerProteinUnit: pricePerMassOut,
        aPriceIsNegative: z.boolean().describe('True if the two feeds cannot price both nutrients above 0'),
      })
      .describe('Price by energy and protein together; null unless exactly two reference feeds are given')
      .nullable(),
  },
  run: ({ hay, feeds }) => {
    const per: MassUnit = feeds[0]?.price.per ?? 'ton';
    const by = (nutrient: 'totalDigestibleNutrientsPercent' | 'crudeProteinPercent') => {
      const answer = breakEvenPriceByNutrient({
        hay: { dryMatterPercent: hay.dryMatterPercent, nutrientPercentOfDryMatter: hay[nutrient] },
        alternatives: feeds.map((feed) => ({
          id: feed.name,
          price: toPrice(feed.price),
          dryMatterPercent: feed.dryMatterPercent,
          nutrientPercentOfDryMatter: feed[nutrient],
        })),
      });
      return { price: formatPrice(answer.breakEvenPrice, per), cheapest: answer.cheapest };
    };
    const asCore = (feed: {
      dryMatterPercent: number;
      totalDigestibleNutrientsPercent: number;
      crudeProteinPercent: number;
    }) => ({
      dryMatterPercent: feed.dryMatterPercent,
      energyPercentOfDryMatter: feed.totalDigestibleNutrientsPercent,
      crudeProteinPercentOfDryMatter: feed.crudeProteinPercent,
    });
    const [energyFeed, proteinFeed, third] = feeds;
    const both =
      energyFeed === undefined || proteinFeed === undefined || third !== undefined
        ? undefined
        : petersen1932FeedValue({
            hay: asCore(hay),
            energyFeed: { id: energyFeed.name, price: toPrice(energyFeed.price), ...asCore(energyFeed) },
            proteinFeed: { id: proteinFeed.name, price: toPrice(proteinFeed.price), ...asCore(proteinFeed) },
          });
    return {
      byEnergy: by('totalDigestibleNutrientsPercent'),
      byProtein: by('crudeProteinPercent'),
      byBoth:
        both === undefined
          ? null
          : {
              price: formatPrice(both.value, per),
              pricePerEnergyUnit: formatPrice(both.pricePerEnergyUnit, smallUnit(per)),
              pricePerProteinUnit: formatPrice(both.pricePerProteinUnit, smallUnit(per)),
              aPriceIsNegative: both.aPriceIsNegative,
            },
    };
  },
});

const baleOf = z.discriminatedUnion('form', [
  z.strictObject({ form: z.literal('round'), width: lengthIn('Width'), diameter: lengthIn('Diameter') }),
  z.strictObject({
    form: z.literal('square'),
    length: lengthIn('Length'),
    width: lengthIn('Width'),
    height: lengthIn('Height'),
  }),
]);
const baleWeights = calculation({
  name: 'bale-weight',
  family: 'forage',
  summary: 'Volume of a bale, and its weight or its density',
  description: 'Give a density for the weight, or a weight for the density.',
  source: [
    {
      formula: 'round: width·π·(diameter/2)²; weight = volume·density',
      author: 'Banta, Texas A&M AgriLife Extension',
      year: null,
      where: 'Do you have enough hay?',
    },
  ],
  body: z
    .strictObject({
      bale: baleOf,
      density: densityIn.optional(),
      weight: massIn.optional(),
      weatheredDepth: lengthIn('Depth of the weathered outer layer of a round bale').optional(),
    })
    .refine((body) => (body.density === undefined) !== (body.weight === undefined), {
      path: ['density'],
      message: 'Give a density or a weight, not both',
    })
    .refine(
      (body) =>
        body.weatheredDepth === undefined ||
        (body.bale.form === 'round' && toMeters(body.weatheredDepth) <= toMeters(body.bale.diameter) / 2),
      { path: ['weatheredDepth'], message: 'goes with a round bale and is at most half its diameter' },
    ),
  answer: {
    volume: volumeOut,
    weight: massOut.describe('Weight of the hay, as fed'),
    density: densityOut,
    weatheredSharePercent: z
      .number()
      .describe('Share of the bale in the weathered layer, %; null where no such layer is given')
      .nullable(),
  },
  run: ({ bale, density, weight, weatheredDepth }) => {
    const { volumeM3 } =
      bale.form === 'round'
        ? roundBaleVolume({ widthM: toMeters(bale.width), diameterM: toMeters(bale.diameter) })
        : squareBaleVolume({
            lengthM: toMeters(bale.length),
            widthM: toMeters(bale.width),
            heightM: toMeters(bale.height),
          });
    const us = bale.width.unit === 'ft' || bale.width.unit === 'in';
    const weightKg =
      density === undefined ? undefined : baleWeight({ volumeM3, densityKgPerM3: toKgPerM3(density) }).weightKg;
    const { densityKgPerM3 } =
      density !== undefined
        ? { densityKgPerM3: toKgPerM3(density) }
        : baleDensity({ volumeM3, weightKg: weight === undefined ? 0 : kilograms(weight) });
    const diameterM = bale.form === 'round' ? toMeters(bale.diameter) : undefined;
    return {
      volume: formatVolume(volumeM3, us ? 'ft3' : 'm3'),
      density: formatDensity(densityKgPerM3, us ? 'lb/ft3' : 'kg/m3'),
      weight:
        weight !== undefined
          ? formatMass(toMass(weight), weight.unit)
          : formatMass(Mass.kilograms(decimalFromFloat(weightKg ?? 0, 9)), us ? 'lb' : 'kg'),
      weatheredSharePercent:
        weatheredDepth === undefined || diameterM === undefined
          ? null
          : tidy(100 * outerLayerShare({ diameterM, depthM: toMeters(weatheredDepth) }).share),
    };
  },
});

export const HAY_PRICE_CALCULATIONS: readonly Calculation[] = [
  nutrientPrice,
  nutrientPriceRanking,
  deliveredCostOfHay,
  breakEvenHayPrice,
  baleWeights,
];
