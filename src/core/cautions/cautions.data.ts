import { rangeWords, sentence, unitWord } from '../units/wording.js';
import type { CautionEntry } from './caution.js';

/** What little is weighed in: minerals and salt for a head. */
export const BY_THE = { metric: 'g', us: 'oz' } as const;
/**
 * Mineral is made to be taken by 2 to 4 oz a head a day (University of Nebraska Extension) or 3 to 4 oz (University of
 * Kentucky Extension on ASC-249).
 */
const TAKEN = sentence`${rangeWords(56.69904625, 113.3980925, BY_THE)} a head`;
const CHECK_AMOUNT = 'Check the amount: minerals and salt are fed by the';
const CHECK_MINERAL = 'Check what is fed and how much of it is eaten: minerals are given by the';
const OF_MAGNESIUM = 'Too much magnesium scours and lowers intake; too much potassium keeps magnesium out.';
const OF_SALT =
  'Cattle that eat much salt need much more water, open at all times and low in salts; short of water, salt poisons. ' +
  'Blindness, staggering or fits: call at once.';

/**
 * The catalogue of cautions. Each has the threshold that is followed, its source, and what other sources say; bands
 * that a reader may choose between (nitrate, heating, moisture, dissolved solids) are in `guides.data.ts`. No caution
 * is raised without a number from the records; none replaces the people named in `consult`.
 */
export const CAUTIONS = {
  'nitrate-single-hay': {
    title: 'Nitrate in one hay',
    advice:
      'Stay within the share of the ration that the guide allows, change over slowly, and never feed it to hungry ' +
      'cattle. In layered feeding one hay can be eaten alone, so judge each hay by itself. Hay loses no nitrate in ' +
      'the stack: the highest test counts until that test is reversed, whatever later ones say.',
    consult: ['veterinarian', 'nutritionist', 'laboratory'],
    thresholds: {},
  },
  'nitrate-whole-ration': {
    title: 'Nitrate of the whole ration',
    advice:
      'Lower the share of the hays that carry the nitrate; count the water too. Dilution ' +
      'works only if every animal eats the layers in proportion.',
    consult: ['veterinarian', 'nutritionist', 'laboratory'],
    thresholds: {},
  },
  'nitrate-unknown': {
    title: 'No nitrate test of a hay that can accumulate nitrate',
    advice:
      'Cereal, sorghum, millet and corn hays, and hay from drought or frost, deserve a nitrate test before they ' +
      'are fed.',
    consult: ['laboratory', 'nutritionist'],
    thresholds: {
      lotsUntested: { value: 0, unit: 'lots without a nitrate test', raisedWhen: 'above', source: 'commonPractice' },
    },
  },
  'prussic-acid': {
    title: 'Prussic acid in sorghums',
    advice:
      'Do not feed it as the only feed; let it cure longer and test again before feeding. If ' +
      'animals die suddenly, take the rest off and call at once.',
    consult: ['veterinarian', 'laboratory'],
    thresholds: {
      cautionPpmDm: {
        value: 500,
        unit: 'ppm HCN of dry matter',
        raisedWhen: 'above',
        source: 'kansasPrussicAcid',
        otherSources: [{ value: 200, unit: 'ppm HCN as fed', source: 'kansasPrussicAcid' }],
      },
      dangerPpmDm: {
        value: 1000,
        unit: 'ppm HCN of dry matter',
        raisedWhen: 'at-or-above',
        source: 'pennsylvaniaPrussicAcid',
      },
      daysAfterFrost: {
        value: 7,
        unit: 'days between killing frost and feeding',
        raisedWhen: 'below',
        source: 'kansasPrussicAcid',
      },
    },
  },
  'moisture-at-stacking': {
    title: 'Hay stacked too wet',
    advice:
      'Leave the bales apart to cure, probe the temperature daily for the first weeks, and do not put them ' +
      'under a roof with other hay.',
    consult: ['fire service', 'local codes'],
    thresholds: {},
  },
  'stack-temperature': {
    title: 'Hay heating in the stack',
    advice:
      'Follow the steps of the guide. Never walk on a hot stack without a line and a second person; hot hay can ' +
      'burst into flame when air reaches it.',
    consult: ['fire service', 'local codes'],
    thresholds: {
      smokyLots: {
        value: 0,
        unit: 'lots smelling of smoke',
        raisedWhen: 'above',
        source: 'pennStateHotHay',
      },
      hotLots: {
        value: 0,
        unit: 'lots warm or hot to the hand',
        raisedWhen: 'above',
        source: 'pennStateHotHay',
      },
    },
  },
  'heat-damaged-protein': {
    title: 'Protein bound by heat',
    advice:
      'Ask the lab for heat-damaged (acid detergent insoluble) protein, by chemistry: a usual crude protein counts ' +
      'what cattle cannot use. They like such hay, which says nothing of its worth.',
    consult: ['laboratory', 'nutritionist'],
    thresholds: {
      heatedLots: {
        value: 0,
        unit: 'lots brown, or smelling of caramel or tobacco',
        raisedWhen: 'above',
        source: 'nebraskaHeatDamage',
        otherSources: [{ value: 10, unit: '% of crude protein bound by heat', source: 'nebraskaHeatDamage' }],
      },
    },
  },
  'visible-mould': {
    title: 'Moldy or dusty hay',
    advice: 'Keep it away from pregnant cows and young stock; test it rather than dilute it by guess.',
    consult: ['veterinarian', 'laboratory'],
    thresholds: {
      moldyLots: {
        value: 0,
        unit: 'lots seen moldy',
        raisedWhen: 'above',
        source: 'commonPractice',
        otherSources: [
          { value: 1_000_000, unit: 'mold spores per gram, relatively safe up to here', source: 'georgiaMold' },
        ],
      },
      moldyBales: {
        value: 0,
        unit: 'bales seen moldy',
        raisedWhen: 'above',
        source: 'commonPractice',
        otherSources: [
          { value: 1_000_000, unit: 'mold spores per gram, relatively safe up to here', source: 'georgiaMold' },
        ],
      },
      dustyLots: { value: 0, unit: 'lots very dusty or musty', raisedWhen: 'above', source: 'commonPractice' },
      moisturePercent: { value: 20, unit: '% moisture', raisedWhen: 'at-or-above', source: 'kentuckySpoilage' },
    },
  },
  'legume-bloat': {
    title: 'Bloat on legume hay',
    advice:
      'Feed grass hay first so the animals are full, bring legume in over several days, and check the ' +
      'herd after feeding. The risk is fine, leafy, early-cut or wet legume.',
    consult: ['veterinarian', 'nutritionist'],
    thresholds: {
      legumeShare: { value: 0.5, unit: 'share of ration dry matter', raisedWhen: 'above', source: 'legumeBloat' },
    },
  },
  'grass-tetany-ratio': {
    title: 'Grass tetany ratio',
    advice:
      'Offer magnesium mineral before calving and through early milk, and do not fertilize heavily with potassium.',
    consult: ['veterinarian', 'nutritionist'],
    thresholds: {
      ratio: { value: 2.2, unit: 'K/(Ca+Mg) in equivalents', raisedWhen: 'above', source: 'tetanyRatio' },
    },
  },
  'magnesium-low': {
    title: 'Magnesium low',
    advice: 'Offer magnesium mineral; absorption falls further where potassium is high.',
    consult: ['veterinarian', 'nutritionist'],
    thresholds: {
      growing: { value: 0.1, unit: '% of dry matter', raisedWhen: 'below', source: 'arkansasMinerals' },
      pregnant: { value: 0.12, unit: '% of dry matter', raisedWhen: 'below', source: 'arkansasMinerals' },
      earlyMilk: {
        value: 0.2,
        unit: '% of dry matter',
        raisedWhen: 'below',
        source: 'ohioTetany',
        otherSources: [{ value: 0.2, unit: '% of dry matter', source: 'arkansasMinerals' }],
      },
    },
  },
  'calcium-phosphorus-ratio': {
    title: 'Calcium to phosphorus',
    advice:
      'Below 1:1 urinary stones threaten steers and bulls; far above 7:1 phosphorus runs short. Correct with mineral.',
    consult: ['nutritionist', 'veterinarian'],
    thresholds: {
      low: { value: 1, unit: 'Ca:P by weight', raisedWhen: 'below', source: 'nrcCalciumPhosphorus' },
      high: { value: 7, unit: 'Ca:P by weight', raisedWhen: 'above', source: 'nrcCalciumPhosphorus' },
    },
  },
  'sulfur-total': {
    title: 'Sulfur from feed and water together',
    advice:
      'Look for another water source first; then feed less of what carries the ' +
      'sulfur. If animals go blind or stagger, call at once.',
    consult: ['veterinarian', 'nutritionist', 'laboratory'],
    thresholds: {
      lowForagePercent: {
        value: 0.3,
        unit: '% of dry matter',
        raisedWhen: 'above',
        source: 'sulfurLowForage',
        otherSources: [{ value: 0.4, unit: '% of dry matter', source: 'arkansasMinerals' }],
      },
      highForagePercent: {
        value: 0.5,
        unit: '% of dry matter',
        raisedWhen: 'above',
        source: 'sulfurHighForage',
        otherSources: [{ value: 0.4, unit: '% of dry matter', source: 'arkansasMinerals' }],
      },
      oldMaximumPercent: { value: 0.4, unit: '% of dry matter', raisedWhen: 'above', source: 'arkansasMinerals' },
    },
  },
  'sulfur-antagonism': {
    title: 'Sulfur ties up copper and selenium',
    advice: 'Check copper and selenium in the mineral and, if needed, by liver or blood samples.',
    consult: ['veterinarian', 'nutritionist'],
    thresholds: {
      percent: { value: 0.3, unit: '% of dry matter', raisedWhen: 'above', source: 'sulfurAntagonism' },
    },
  },
  'sulfur-mature-cow': {
    title: 'Sulfur above the limit for a mature cow',
    advice: 'Add up feed, molasses, mineral and water; find the largest source.',
    consult: ['veterinarian', 'nutritionist'],
    thresholds: {
      gramsPerDay: { value: 32, unit: 'g S per day', raisedWhen: 'above', source: 'sulfurAntagonism' },
    },
  },
  acidosis: {
    title: 'Starch with little long forage',
    advice: 'Bring grain up in steps over weeks, split the meals, and keep long hay in front of the animals.',
    consult: ['nutritionist', 'veterinarian'],
    thresholds: {
      grainPercentOfWeight: {
        value: 0.5,
        unit: '% of body weight as starchy grain',
        raisedWhen: 'above',
        source: 'illinoisAcidosis',
      },
      effectiveFiberPercent: {
        value: 10,
        unit: '% of dry matter as long-stem fiber',
        raisedWhen: 'below',
        source: 'effectiveFiber',
      },
    },
  },
  'abrupt-change': {
    title: 'Abrupt change of ration',
    advice: 'Change over one to two weeks, a part of the ration at a time, so the rumen can adapt.',
    consult: ['nutritionist'],
    thresholds: {
      changedShare: {
        value: 0.25,
        unit: 'share of ration dry matter changed at once',
        raisedWhen: 'above',
        source: 'commonPractice',
        otherSources: [{ value: 7, unit: 'days at least to adapt', source: 'manitobaAdaptation' }],
      },
    },
  },
  'short-day': {
    title: 'Less laid than the herd needs',
    advice:
      'Part a bale, or lay one more today and less tomorrow: hungry cattle crowd and eat too fast at the next feeding.',
    consult: ['nutritionist'],
    thresholds: {
      shareOfNeed: {
        value: 0.75,
        unit: "share of the day's need that is laid",
        raisedWhen: 'below',
        source: 'commonPractice',
      },
    },
  },
  'open-bale-lasts': {
    title: 'A wrapped bale stands open too long',
    advice:
      'Open wrapped bales only as fast as the herd eats them: put more cattle on one bale, feed a larger part of it, ' +
      'or feed smaller bales. Throw out what is warm, slimy or moldy.',
    consult: ['nutritionist', 'veterinarian'],
    thresholds: {
      days: { value: 2, unit: 'days that an opened bale lasts', raisedWhen: 'above', source: 'georgiaBaleage' },
      daysInWarmth: {
        value: 1,
        unit: 'days that an opened bale lasts',
        raisedWhen: 'above',
        source: 'georgiaBaleage',
      },
      warmC: { value: 15.5555556, unit: '°C', raisedWhen: 'above', source: 'georgiaBaleage' },
    },
  },
  'urea-share': {
    title: 'Urea or other non-protein nitrogen',
    advice:
      'Cut the urea or feed natural protein instead; poor hay has too little ready energy to use it. Never ammoniate ' +
      'good hay.',
    consult: ['nutritionist', 'veterinarian'],
    thresholds: {
      shareOfCrudeProtein: { value: 1 / 3, unit: 'share of crude protein', raisedWhen: 'above', source: 'ureaShare' },
      lowQualityHayCrudeProteinPercent: {
        value: 7,
        unit: '% crude protein of the hay',
        raisedWhen: 'below',
        source: 'arizonaProtein',
      },
      calfWeightKg: { value: 204.1165665, unit: 'kg body weight', raisedWhen: 'below', source: 'ohioUreaCalves' },
    },
  },
  'urea-amount': {
    title: 'Much urea in a day',
    advice:
      'Cut it, or split it and raise it over some weeks with grain or molasses beside it. Never give it to hungry ' +
      'cattle, nor to some that are not used to it; call the veterinarian at once if cattle bloat, stagger or drool.',
    consult: ['nutritionist', 'veterinarian'],
    thresholds: {
      percentOfDryMatter: { value: 1, unit: '% urea of dry matter', raisedWhen: 'above', source: 'ureaOfDryMatter' },
      gramsPerKgOfWeight: {
        value: 0.3,
        unit: 'g urea per kg body weight a day',
        raisedWhen: 'at-or-above',
        source: 'ureaToxicDose',
        otherSources: [{ value: 0.44, unit: 'g urea per kg body weight at once', source: 'ureaByDrench' }],
      },
    },
  },
  'water-frozen': {
    title: 'Water source frozen',
    advice:
      'Open the water before feeding. Dry cattle that are used to it can live on ' +
      'clean, loose snow; milking cows are unlikely to.',
    consult: ['veterinarian'],
    thresholds: {
      frozenSources: { value: 0, unit: 'frozen sources', raisedWhen: 'above', source: 'nebraskaSnow' },
    },
  },
  'water-short': {
    title: 'Water supply below the need',
    advice: 'Cattle short of water stop eating. Add a tank, raise the flow or split the herd before adding hay.',
    consult: ['veterinarian'],
    thresholds: {
      shareOfNeed: {
        value: 1,
        unit: 'supply as a share of the daily need',
        raisedWhen: 'below',
        source: 'commonPractice',
      },
    },
  },
  'water-dissolved-solids': {
    title: 'Salts dissolved in the water',
    advice:
      'Have a laboratory identify the salts; sulfate and sodium matter most. Bring animals onto saltier water slowly.',
    consult: ['laboratory', 'veterinarian'],
    thresholds: {},
  },
  'water-sulfate': {
    title: 'Sulfate in the water',
    advice:
      'Find another source, or count this sulfur in the ration. Much sulfate brings on polioencephalomalacia, a ' +
      'softening of the brain: animals that go blind, stagger or press their heads need the veterinarian at once.',
    consult: ['laboratory', 'veterinarian'],
    thresholds: {
      adultMgPerL: {
        value: 1000,
        unit: 'mg sulfate per L',
        raisedWhen: 'at-or-above',
        source: 'saskatchewanSulfate',
        otherSources: [{ value: 1000, unit: 'mg sulfate per L', source: 'northDakotaSulfate' }],
      },
      dangerMgPerL: {
        value: 3000,
        unit: 'mg sulfate per L',
        raisedWhen: 'above',
        source: 'southDakotaSulfate',
        otherSources: [{ value: 2000, unit: 'mg sulfate per L', source: 'prairieSulfate' }],
      },
      calfMgPerL: { value: 500, unit: 'mg sulfate per L', raisedWhen: 'at-or-above', source: 'northDakotaSulfate' },
    },
  },
  'trace-mineral-above-maximum': {
    title: 'Trace mineral or vitamin above the highest tolerable share',
    advice:
      'Check what is fed and how much of it is eaten, and every premix, block and water that ' +
      'adds to it. Copper and selenium do harm soonest; how much copper cattle tolerate depends ' +
      'on the sulfur, molybdenum and iron they get with it.',
    consult: ['veterinarian', 'nutritionist', 'laboratory'],
    thresholds: {},
  },
  'mineral-above-maximum': {
    title: 'Mineral above the highest tolerable share',
    advice: sentence`${CHECK_MINERAL} ${unitWord(BY_THE)}. ${OF_MAGNESIUM}`,
    consult: ['nutritionist', 'veterinarian'],
    thresholds: {
      magnesiumWatch: { value: 0.4, unit: '% of dry matter', raisedWhen: 'above', source: 'arkansasMinerals' },
      magnesium: { value: 0.6, unit: '% of dry matter', raisedWhen: 'above', source: 'nrcMineralTolerance' },
      potassium: {
        value: 3,
        unit: '% of dry matter',
        raisedWhen: 'above',
        source: 'arkansasMinerals',
        otherSources: [{ value: 2, unit: '% of dry matter', source: 'nrcMineralTolerance' }],
      },
      phosphorus: { value: 0.7, unit: '% of dry matter', raisedWhen: 'above', source: 'nrcMineralTolerance' },
    },
  },
  'salt-above-maximum': {
    title: 'Salt above the highest tolerable share',
    advice: sentence`Take salt back: it is given by the ${unitWord(BY_THE)}. ${OF_SALT}`,
    consult: ['veterinarian', 'nutritionist'],
    thresholds: {
      percent: {
        value: 4.5,
        unit: '% salt of dry matter',
        raisedWhen: 'above',
        source: 'nrcMineralTolerance',
        otherSources: [{ value: 3, unit: '% salt of dry matter', source: 'nrcMineralTolerance' }],
      },
      milkingPercent: { value: 3, unit: '% salt of dry matter', raisedWhen: 'above', source: 'nrcMineralTolerance' },
    },
  },
  'mineral-by-the-pound': {
    title: 'Salt and minerals in large amounts',
    advice: sentence`${CHECK_AMOUNT} ${unitWord(BY_THE)}, ${TAKEN}. They count in the dry matter, but feed nobody.`,
    consult: ['nutritionist', 'veterinarian'],
    thresholds: {
      watch: { value: 0.05, unit: 'share of ration dry matter', raisedWhen: 'above', source: 'commonPractice' },
      danger: { value: 0.1, unit: 'share of ration dry matter', raisedWhen: 'above', source: 'commonPractice' },
      // Two ounces: mature cattle need less than one (University of Nebraska Extension G2046).
      saltKg: { value: 0.05669904625, unit: 'kg salt a head a day', raisedWhen: 'above', source: 'commonPractice' },
    },
  },
  'heat-stress': {
    title: 'Heat stress',
    advice:
      'Shade and much more water, feed in the evening, leave cattle unworked by day, and watch for open-mouth panting.',
    consult: ['veterinarian'],
    thresholds: {
      alert: { value: 75, unit: 'temperature-humidity index', raisedWhen: 'at-or-above', source: 'livestockWeather' },
      danger: { value: 79, unit: 'temperature-humidity index', raisedWhen: 'at-or-above', source: 'livestockWeather' },
      emergency: {
        value: 84,
        unit: 'temperature-humidity index',
        raisedWhen: 'at-or-above',
        source: 'livestockWeather',
      },
    },
  },
  'cold-left-out': {
    title: 'Cold is not counted',
    advice:
      'Record the weather of the ranch, or state it where the question is asked. Until then feed for the cold that ' +
      'they stand in, not for the figures of mild weather.',
    consult: ['nutritionist'],
    thresholds: {
      addedByCold: {
        value: 0,
        unit: 'Mcal/d of net energy that a usual cold would add',
        raisedWhen: 'above',
        source: 'januaryNormals',
      },
    },
  },
  'more-than-eaten': {
    title: 'More laid than they can hold',
    advice:
      'Where hay is racked for them to pick over, enter what they leave as refused or wasted. Where it is to be ' +
      'cleaned up, lay less. If they lack energy on it, they need better feed: they cannot eat more.',
    consult: ['nutritionist'],
    thresholds: {
      shareOfPredicted: {
        value: 1.05,
        unit: 'dry matter offered as a share of the predicted intake',
        raisedWhen: 'above',
        source: 'commonPractice',
      },
    },
  },
  'less-than-keeps-weight': {
    title: 'Less than keeps their weight',
    advice:
      'Check the amount, its unit and the head. Where they get more that day, or graze, that is not counted here: ' +
      'enter what is fed. If this is all that they get, feed more: thin cattle stand no cold and lose calves.',
    consult: ['nutritionist'],
    thresholds: {
      shareOfEnergy: {
        value: 0.9,
        unit: 'net energy for maintenance eaten as a share of the need',
        raisedWhen: 'below',
        source: 'commonPractice',
      },
      dangerousShareOfEnergy: {
        value: 0.4,
        unit: 'net energy for maintenance eaten as a share of the need',
        raisedWhen: 'below',
        source: 'commonPractice',
      },
    },
  },
  'sodium-low': {
    title: 'Sodium short',
    advice: 'Hay alone seldom has enough: keep salt in front of the herd.',
    consult: ['nutritionist'],
    thresholds: {
      shareOfNeed: { value: 1, unit: 'supply as a share of the need', raisedWhen: 'below', source: 'commonPractice' },
    },
  },
  'spoiled-bales': {
    title: 'Spoiled big bales: listeria and botulism',
    advice:
      'Do not feed spoiled or torn wrapped bales, or bales with a dead animal in them; take the ' +
      'rest away and watch for weakness, circling or a slack tongue.',
    consult: ['veterinarian', 'laboratory'],
    thresholds: {
      wrappedPh: { value: 4.5, unit: 'pH', raisedWhen: 'above', source: 'kentuckyBotulism' },
      wrappedMoisturePercent: { value: 70, unit: '% moisture', raisedWhen: 'above', source: 'kentuckyBotulism' },
      spoiledLots: { value: 0, unit: 'lots with spoiled bales', raisedWhen: 'above', source: 'kentuckySpoilage' },
      spoiledBales: { value: 0, unit: 'bales seen spoiled', raisedWhen: 'above', source: 'kentuckySpoilage' },
      foulLots: { value: 0, unit: 'lots smelling rotten or of ammonia', raisedWhen: 'above', source: 'commonPractice' },
    },
  },
  'straw-impaction': {
    title: 'Impaction on straw with too little protein',
    advice: 'Give degradable protein every day and plenty of open water; watch for firm manure and poor appetite.',
    consult: ['veterinarian', 'nutritionist'],
    thresholds: {
      strawShare: { value: 0.5, unit: 'share of ration dry matter as straw', raisedWhen: 'above', source: 'ahdbStraw' },
      crudeProteinPercent: {
        value: 9,
        unit: '% crude protein of dry matter',
        raisedWhen: 'below',
        source: 'ahdbStraw',
        otherSources: [{ value: 7, unit: '% crude protein of dry matter', source: 'arizonaProtein' }],
      },
    },
  },
  'low-protein-forage': {
    title: 'Too little protein for the rumen',
    advice:
      'Below about 7 % crude protein, intake and digestion of hay drop; a ' +
      'little protein may do more good than more hay.',
    consult: ['nutritionist'],
    thresholds: {
      crudeProteinPercent: {
        value: 7,
        unit: '% crude protein of dry matter',
        raisedWhen: 'below',
        source: 'arizonaProtein',
      },
    },
  },
  'lab-test-missing': {
    title: 'No lab test for a hay in use',
    advice: 'Core at least 20 bales of the lot and send the sample in; until then every number rests on a book value.',
    consult: ['laboratory', 'nutritionist'],
    thresholds: {
      untestedLots: { value: 0, unit: 'lots without a test', raisedWhen: 'above', source: 'commonPractice' },
    },
  },
  'lab-test-old': {
    title: 'Lab test is old',
    advice: 'Hay loses value in storage; retest hay that has weathered.',
    consult: ['laboratory'],
    thresholds: {
      ageDays: { value: 365, unit: 'days since sampling', raisedWhen: 'above', source: 'commonPractice' },
    },
  },
  'lab-lead-time': {
    title: 'Too late for the lab',
    advice: 'Send the sample now and feed a tested hay first.',
    consult: ['laboratory'],
    thresholds: {
      days: {
        value: 14,
        unit: 'days from mailing the sample to the result',
        raisedWhen: 'below',
        source: 'commonPractice',
      },
    },
  },
  'sample-too-small': {
    title: 'Sample does not represent the lot',
    advice: 'Core at least 20 bales, at random, from one lot.',
    consult: ['laboratory'],
    thresholds: {
      cores: {
        value: 20,
        unit: 'bales cored',
        raisedWhen: 'below',
        source: 'montanaSampling',
        otherSources: [{ value: 20, unit: 'bales cored', source: 'nftaSampling' }],
      },
      lotTons: { value: 200, unit: 'ton in one lot', raisedWhen: 'above', source: 'nftaSampling' },
      cameInAfter: {
        value: 0,
        unit: 'ton that came in after the sample',
        raisedWhen: 'above',
        source: 'commonPractice',
      },
    },
  },
  'few-head-fed': {
    title: 'Fed to few of the herd',
    advice:
      'If it went to more head, take the feeding back and enter it again with the head that were fed. If it went to ' +
      'so few, what they got per head and what the others got are judged apart.',
    consult: ['nutritionist'],
    thresholds: {
      percentOfHerd: { value: 50, unit: '% of the herd', raisedWhen: 'below', source: 'commonPractice' },
    },
  },
  'leafy-under-coarse': {
    title: 'Leafy hay under coarser hay',
    advice:
      'Lay the coarse hay first and the leafy hay last: weight and trampling shatter leaves, and the leaves ' +
      'carry the protein.',
    consult: ['nutritionist'],
    thresholds: {
      coarseAbove: { value: 0, unit: 'coarser layers above it', raisedWhen: 'above', source: 'commonPractice' },
    },
  },
  'laid-while-wet': {
    title: 'Hay laid wet with dew, frost, rain or snow',
    advice: 'Wait until the hay is dry, or feed only what is eaten at once; wet hay is wasted and spoils sooner.',
    consult: ['veterinarian'],
    thresholds: {
      wetLayings: { value: 0, unit: 'layings on wet or frosted hay', raisedWhen: 'above', source: 'commonPractice' },
    },
  },
  'blended-after-laying': {
    title: 'Layers were blended after laying',
    advice: 'Record it as a mixed feeding: what was learned about layers does not hold for it.',
    consult: ['nutritionist'],
    thresholds: {
      blendedFeedings: {
        value: 0,
        unit: 'layered feedings that were blended',
        raisedWhen: 'above',
        source: 'commonPractice',
      },
    },
  },
  'bunk-length-short': {
    title: 'Too little feeding length per head',
    advice: 'Timid animals eat last and worst. Lengthen the line, feed twice, or split the herd.',
    consult: ['nutritionist'],
    thresholds: {},
  },
  'hay-exceeds-space': {
    title: 'More hay than the space holds',
    advice: 'Feed in two rounds or lengthen the line; what hangs over gets pulled out and trampled.',
    consult: ['nutritionist'],
    thresholds: {
      filledShare: {
        value: 1,
        unit: 'hay volume as a share of the room',
        raisedWhen: 'above',
        source: 'commonPractice',
      },
    },
  },
} as const satisfies Record<string, CautionEntry>;

export type CautionCode = keyof typeof CAUTIONS;
